"""The changes that turn a puzzle into the same puzzle seen otherwise: lines moved, digits renamed.

Bands, stacks and the lines inside them may change places, the grid may be mirrored on its diagonal
where the boxes are square, and digits may be renamed. Where diagonals are houses or boxes are
irregular, only those changes are made that keep every house a house. Nothing about a puzzle's
logic changes.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import permutations, product
from random import Random

from engine.board.grid import Grid
from engine.board.layout import Layout, iterate_bits


@dataclass(frozen=True, slots=True)
class Symmetry:
    """`cells[old]` is the new cell, `digits[old - 1]` the new digit."""

    layout: Layout
    cells: tuple[int, ...]
    digits: tuple[int, ...]

    def move(self, candidates: int) -> int:
        """Return a candidate mask as it is after the change."""
        layout, moved = self.layout, 0
        for index in iterate_bits(candidates):
            cell, digit = layout.split(index)
            moved |= layout.bit(self.cells[cell], self.digits[digit - 1])
        return moved

    def apply(self, grid: Grid) -> Grid:
        """Return the position after the change, eliminations included."""
        own = self.layout.mask_of(self.cells[cell] for cell in iterate_bits(grid.own))
        return Grid(self.layout, self.move(grid.placed), self.move(grid.candidates), own)


def random_symmetry(random: Random, layout: Layout) -> Symmetry:
    """Return a symmetry of the layout, each that we know as likely as any other.

    >>> from random import Random
    >>> from engine import count_solutions, find_steps, parse_grid, random_symmetry
    >>> grid = parse_grid("1... ..3. .4.. ...2")
    >>> turned = random_symmetry(Random(1), grid.layout).apply(grid)
    >>> turned == grid, count_solutions(turned), len(find_steps(turned, "hidden-single"))
    (False, 1, 8)
    """
    size = layout.size
    if layout.is_regular and not layout.has_diagonals:
        rows = _random_order(random, size, layout.box_height)
        columns = _random_order(random, size, layout.box_width)
        turned = layout.box_height == layout.box_width and random.random() < 0.5
        cells = _cells_moved(size, rows, columns, turned)
    else:
        cells = random.choice(changes_kept(layout))
    digits = list(layout.digits)
    random.shuffle(digits)
    return Symmetry(layout, cells, tuple(digits))


def random_symmetry_keeping(random: Random, layout: Layout, change: Sequence[int]) -> Symmetry:
    """Return a symmetry that keeps what the change of places keeps: a pattern of givens stays one.

    `change` is where each cell goes under a turn or a mirroring of the whole.
    """
    digits = list(layout.digits)
    random.shuffle(digits)
    return Symmetry(layout, random.choice(_changes_keeping(layout, tuple(change))), tuple(digits))


@cache
def _changes_keeping(layout: Layout, change: tuple[int, ...]) -> tuple[tuple[int, ...], ...]:
    """Return the changes of places after which `change`, or its like, maps cells as before.

    Tried are orders of lines in which those as far from the middle on both sides stay so, the same
    for rows and columns or not.
    """
    size = layout.size
    if layout.is_regular and not layout.has_diagonals:
        row_orders = _banded_orders(size, layout.box_height)
        column_orders = _banded_orders(size, layout.box_width)
        turns = (False, True) if layout.box_height == layout.box_width else (False,)
        changes: Iterator[tuple[int, ...]] = (
            _cells_moved(size, rows, columns, turned)
            for rows, columns, turned in product(row_orders, column_orders, turns)
        )
    else:
        changes = iter(changes_kept(layout))
    return tuple(cells for cells in changes if _commute(cells, change))


def _banded_orders(size: int, group: int) -> list[tuple[int, ...]]:
    """Return the mirrored orders of lines in which those of a band or stack stay together."""
    return [
        order
        for order in _mirrored_orders(size)
        if all(
            len({order[line] // group for line in range(start, start + group)}) == 1
            for start in range(0, size, group)
        )
    ]


def _commute(cells: Sequence[int], change: Sequence[int]) -> bool:
    """Say whether it is the same to move first and change then as the other way round."""
    return all(change[moved] == cells[change[cell]] for cell, moved in enumerate(cells))


def _cells_moved(
    size: int, rows: Sequence[int], columns: Sequence[int], turned: bool
) -> tuple[int, ...]:
    cells = []
    for cell in range(size * size):
        row, column = divmod(cell, size)
        row, column = rows[row], columns[column]
        cells.append(column * size + row if turned else row * size + column)
    return tuple(cells)


@cache
def changes_kept(layout: Layout) -> tuple[tuple[int, ...], ...]:
    """Return where cells can go so that houses stay houses, among what is worth trying.

    For diagonals: rows and columns changed alike, or the columns back to front as well, so that
    lines as far from the middle stay so. Otherwise: turning and mirroring the whole.
    """
    size, masks = layout.size, {house.mask for house in layout.houses}
    forwards = tuple(range(size))
    orders = _mirrored_orders(size) if layout.has_diagonals else iter((forwards, forwards[::-1]))
    kept = []
    for rows, backwards, turned in product(orders, (False, True), (False, True)):
        columns = rows[::-1] if backwards else rows
        cells = _cells_moved(size, rows, columns, turned)
        if all(sum(1 << cells[cell] for cell in house.cells) in masks for house in layout.houses):
            kept.append(cells)
    return tuple(kept)


def _mirrored_orders(size: int) -> Iterator[tuple[int, ...]]:
    """Yield each order of lines in which those as far from the middle on both sides stay so."""
    half = size // 2
    middle = (half,) * (size % 2)
    for places in permutations(range(half)):
        for swaps in product((False, True), repeat=half):
            near = tuple(
                size - 1 - place if swap else place
                for place, swap in zip(places, swaps, strict=True)
            )
            yield (*near, *middle, *(size - 1 - place for place in reversed(near)))


def _random_order(random: Random, size: int, group: int) -> list[int]:
    """Return a new order of lines in which those of a band or stack stay together."""
    order: list[int] = []
    starts = list(range(0, size, group))
    random.shuffle(starts)
    for start in starts:
        members = list(range(start, start + group))
        random.shuffle(members)
        order += members
    return order
