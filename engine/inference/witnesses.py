"""Which placed digits show a person that a digit cannot go somewhere.

The engine needs no witnesses: it works on candidates. Words and pictures name them, and ask here,
so that both name the same ones. Nothing here finds a step.
"""

from __future__ import annotations

from collections.abc import Iterable

from engine.board.grid import Grid
from engine.board.layout import Cell, House
from engine.board.step import Bound, CellConstraint, Constraint, Step, support_mask

Blockers = tuple[tuple[Cell, tuple[Cell, ...]], ...]
"""(where the digit stands, the cells that it is named for) pairs."""


def find_blockers(
    grid: Grid, cells: Iterable[Cell], digit: int
) -> tuple[Blockers, tuple[Cell, ...]]:
    """Return few placed `digit`s that between them are seen from `cells`, and the cells left over.

    Each time the one that most of the cells see (ties: the lower cell). From the cells left over no
    placed `digit` is seen: there it was struck.
    """
    layout = grid.layout
    standing = layout.cells_in(layout.plane(grid.placed, digit))
    left = sum(1 << cell for cell in set(cells))
    found = []
    while left:
        best = max(
            standing,
            key=lambda cell: ((layout.peers[cell] & left).bit_count(), -cell),
            default=None,
        )
        seen = layout.peers[best] & left if best is not None else 0
        if best is None or not seen:
            break
        found.append((best, layout.cells_in(seen)))
        left &= ~seen
    return tuple(found), layout.cells_in(left)


def find_struck(grid: Grid, step: Step) -> int:
    """Return the candidate mask of the strikes that the step rests on.

    They are absent though no placed digit strikes them: without one of them it need not hold.
    """
    return support_mask(grid.layout, step) & grid.removed_mask


def find_two_places(grid: Grid) -> int:
    """Return the candidate mask of the digits with just two places in a box, in those places.

    It is what people note on paper: one of the two goes, and the other is settled.
    """
    layout, found = grid.layout, 0
    for box in layout.boxes:
        for digit in layout.digits:
            places = grid.plane(digit) & box.mask
            if places.bit_count() == 2:
                found |= layout.spread(places, digit)
    return found


def find_barring_houses(
    grid: Grid, house: House, cells: Iterable[Cell], digit: int
) -> tuple[tuple[House, ...], tuple[Cell, ...]]:
    """Return the houses that hold `digit` and so bar it from `cells`, and the cells left over.

    None of them is `house`, in which the cells lie. They are those by which the digits of
    `find_blockers` are seen: for a box its rows and columns.
    """
    layout, found = grid.layout, set[int]()
    blockers, left = find_blockers(grid, cells, digit)
    for stands, seen in blockers:
        unseen = layout.mask_of(seen)
        while unseen:
            best = max(
                (each for each in layout.houses_of[stands] if each != house),
                key=lambda each: ((each.mask & unseen).bit_count(), -each.index),
            )
            found.add(best.index)
            unseen &= ~best.mask
    return tuple(layout.houses[index] for index in sorted(found)), left


def find_seen_digits(grid: Grid, cell: Cell) -> tuple[tuple[House, tuple[Cell, ...]], ...]:
    """Return, for each house of `cell`, the filled cells that bring a digit not seen before.

    Row, then column, then box, so that each digit that the cell sees is named once.
    """
    layout = grid.layout
    named: set[int] = set()
    found = []
    for house in layout.houses_of[cell]:
        brings = []
        for other in house.cells:
            digit = grid.digit_at(other)
            if digit and digit not in named:
                named.add(digit)
                brings.append(other)
        if brings:
            found.append((house, tuple(brings)))
    return tuple(found)


def find_witnesses(grid: Grid, constraints: Iterable[Constraint]) -> tuple[Cell, ...]:
    """Return the filled cells whose digits close off what "at least one" constraints range over.

    For "one cell of this house holds 7" the 7s that block its other open cells; for "this cell
    holds something" a cell for each digit that it sees.
    """
    layout, found = grid.layout, set[Cell]()
    for constraint in constraints:
        if constraint.bound is not Bound.AT_LEAST_ONE:
            continue
        if isinstance(constraint, CellConstraint):
            for _, cells in find_seen_digits(grid, constraint.cell):
                found.update(cells)
        else:
            house, plane = layout.houses[constraint.house], grid.plane(constraint.digit)
            closed = layout.cells_in(house.mask & grid.open_cells & ~plane)
            found.update(cell for cell, _ in find_blockers(grid, closed, constraint.digit)[0])
    return tuple(sorted(found))
