"""The one face of a puzzle behind all its disguises: two puzzles are the same seen otherwise if,
and only if, their canonical forms are equal.

The form is the smallest image of the solution under the symmetries of the layout, read as text
row by row, and of the puzzles that go with it the smallest text. The first row of that image is
always 1, 2, 3 …, so the search is for the second: the order of columns that makes it smallest is
found column by column, and all the rest follows by sorting lines.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from engine.board.grid import Grid, as_grid, format_grid
from engine.board.layout import Layout
from engine.board.symmetry import Symmetry, changes_kept

Line = tuple[int, ...]


def canonical_form(puzzle: Grid | str, solution: Grid | str) -> str:
    """Return the text of the smallest image of a puzzle with its one solution.

    >>> from engine import canonical_form, solve
    >>> puzzle, turned = "1... ..3. .4.. ...2", "...1 .3.. ..4. 2..."
    >>> canonical_form(puzzle, solve(puzzle)) == canonical_form(turned, solve(turned))
    True
    """
    puzzle, solution = as_grid(puzzle), as_grid(solution)
    return min(format_grid(image.apply(puzzle)) for image in _smallest_images(solution))


def _smallest_images(solution: Grid) -> list[Symmetry]:
    """Return every symmetry that leads to the smallest image of a full grid."""
    layout = solution.layout
    if layout.is_regular and not layout.has_diagonals:
        symmetries = _find_promising(layout, format_grid(solution))
    else:
        symmetries = _find_few(layout, format_grid(solution))
    smallest, images = "", list[Symmetry]()
    for symmetry in symmetries:
        image = format_grid(symmetry.apply(solution))
        if not smallest or image < smallest:
            smallest, images = image, [symmetry]
        elif image == smallest:
            images.append(symmetry)
    return images


def _find_few(layout: Layout, text: str) -> Iterator[Symmetry]:
    """Yield each symmetry of a layout that has few, digits renamed so that the first row counts."""
    for cells in changes_kept(layout):
        moved = {cells[cell]: mark for cell, mark in enumerate(text)}
        first = [int(moved[cell]) for cell in range(layout.size)]
        yield Symmetry(layout, cells, _names(first))


def _names(first_row: Sequence[int]) -> Line:
    """Return the renaming that turns a row into 1, 2, 3 …: new names in order of the old digit."""
    names = [0] * len(first_row)
    for place, digit in enumerate(first_row, start=1):
        names[digit - 1] = place
    return tuple(names)


def _band_sizes(layout: Layout) -> tuple[int, int]:
    """Return how many rows a band has, and columns a stack: those that boxes hold together.

    Where the boxes are lines themselves they hold nothing together.
    """
    if 1 in (layout.box_height, layout.box_width):
        return layout.size, layout.size
    return layout.box_height, layout.box_width


def _find_promising(layout: Layout, text: str) -> Iterator[Symmetry]:
    """Yield the symmetries whose image has the smallest second row that any has."""
    size, (height, width) = layout.size, _band_sizes(layout)
    rows = [tuple(map(int, text[start : start + size])) for start in range(0, size * size, size)]
    sides = [(rows, False)]
    if height == width:
        sides.append(([tuple(column) for column in zip(*rows, strict=True)], True))
    best: Line = ()
    found: list[tuple[list[Line], bool, int, int, Line]] = []
    for side, is_turned in sides:
        for first in range(size):
            band = first // height * height
            for second in range(band, band + height):
                if second == first:
                    continue
                for row, order in _find_orders(side[first], side[second], width, best):
                    if not best or row < best:
                        best, found = row, []
                    if row == best:
                        found.append((side, is_turned, first, second, order))
    for side, is_turned, first, second, order in found:
        yield _complete(layout, side, is_turned, first, second, order)


def _find_orders(first: Line, second: Line, width: int, best: Line) -> Iterator[tuple[Line, Line]]:
    """Yield (second row, order of columns) for the orders that make the second row smallest.

    `order[place]` is the column that goes there. With the digits named by the first row, the
    digit at a place is the place of the column in which the first row has it: `leads[column]`.
    """
    leads = [first.index(digit) for digit in second]
    size, stacks = len(first), len(first) // width
    # A branch: which column stands where, which stack in which slot, and the row so far.
    waiting: list[tuple[list[int], list[int], Line]] = [([-1] * size, [-1] * stacks, ())]
    while waiting:
        order, slots, row = waiting.pop()
        place = len(row)
        if best and row > best[:place]:
            continue
        if place == size:
            if not best or row <= best:
                best = row
                yield row, tuple(order)
            continue
        if order[place] < 0:
            for column in _choices(order, slots, place, width):
                chosen, slotted = order.copy(), slots.copy()
                chosen[place], slotted[place // width] = column, column // width
                waiting.append((chosen, slotted, row))
            continue
        led = leads[order[place]]
        if led not in order:
            order, slots = order.copy(), slots.copy()
            order[_first_free(order, slots, led, width)] = led
        waiting.append((order, slots, (*row, order.index(led))))


def _choices(order: list[int], slots: list[int], place: int, width: int) -> Iterator[int]:
    """Yield the columns that may still go to a place."""
    stack = slots[place // width]
    for column in range(len(order)):
        belongs = column // width == stack if stack >= 0 else column // width not in slots
        if belongs and column not in order:
            yield column


def _first_free(order: list[int], slots: list[int], column: int, width: int) -> int:
    """Return the lowest place that a column can take, and settle its stack's slot."""
    stack = column // width
    slot = slots.index(stack) if stack in slots else slots.index(-1)
    slots[slot] = stack
    return order.index(-1, slot * width)


def _complete(
    layout: Layout, side: list[Line], is_turned: bool, first: int, second: int, order: Line
) -> Symmetry:
    """Return the symmetry that two rows and the order of columns settle: lines are sorted."""
    size, (height, _) = layout.size, _band_sizes(layout)
    names = _names([side[first][column] for column in order])

    def leading(row: int) -> int:
        return names[side[row][order[0]] - 1]

    bands = [list(range(start, start + height)) for start in range(0, size, height)]
    own = bands.pop(first // height)
    rest = sorted((row for row in own if row not in (first, second)), key=leading)
    sorted_bands = sorted(
        (sorted(band, key=leading) for band in bands), key=lambda b: leading(b[0])
    )
    rows = [first, second, *rest, *(row for band in sorted_bands for row in band)]
    cells = [0] * layout.cell_count
    for new_row, old_row in enumerate(rows):
        for new_column, old_column in enumerate(order):
            old = (old_column, old_row) if is_turned else (old_row, old_column)
            cells[old[0] * size + old[1]] = new_row * size + new_column
    return Symmetry(layout, tuple(cells), names)


PATTERNS = ("quarter-turn", "half-turn", "mirror", "diagonal")
"""Symmetries of the givens' places, the richest first: turned by a quarter or by half, mirrored
left to right or top to bottom, mirrored on a diagonal."""


def pattern_of(puzzle: Grid) -> str:
    """Return the symmetry of the givens' places, the first of PATTERNS that holds, or `none`."""
    for pattern in PATTERNS:
        if any(
            all(puzzle.filled_cells >> cell & 1 == puzzle.filled_cells >> image & 1
                for cell, image in enumerate(images))
            for images in pattern_images(puzzle.layout, pattern)
        ):  # fmt: skip
            return pattern
    return "none"


def pattern_images(layout: Layout, pattern: str) -> tuple[tuple[int, ...], ...]:
    """Return the changes of places that a pattern stands for: `images[cell]` is where a cell goes.

    A mirror or a diagonal stands for two, of which one must hold.
    """
    size, last = layout.size, layout.size - 1
    places = [divmod(cell, size) for cell in range(layout.cell_count)]
    changes = {
        "quarter-turn": ([(column, last - row) for row, column in places],),
        "half-turn": ([(last - row, last - column) for row, column in places],),
        "mirror": (
            [(row, last - column) for row, column in places],
            [(last - row, column) for row, column in places],
        ),
        "diagonal": (
            [(column, row) for row, column in places],
            [(last - column, last - row) for row, column in places],
        ),
    }[pattern]
    return tuple(tuple(row * size + column for row, column in change) for change in changes)
