"""Last three: a house with three open cells for a, b, c, all settled at once.

If two of the cells already see b, and one of those two sees c as well, the third cell is b, the
one that sees both is a, and what is left is c. It is a shortcut that people love: whatever it
places, singles place too, so a puzzle never needs it.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import permutations

from engine.board.grid import Grid
from engine.board.layout import Cell, House
from engine.board.step import Constraint, Step
from engine.inference.evidence import (
    cell_has_no_two,
    cell_has_one,
    house_has_one,
    houses_in_order,
)
from engine.techniques.singles import naked_single_mask

OPEN_CELLS = 3


def find_last_threes(grid: Grid) -> Iterator[Step]:
    """Yield each house whose last three open cells are settled together, in order of its cells."""
    layout, open_cells = grid.layout, grid.open_cells
    if not naked_single_mask(layout, grid.candidates):
        return  # the cell that sees both b and c is one
    houses_by_cells: dict[int, list[House]] = {}
    for house in houses_in_order(layout):
        rest = open_cells & house.mask
        if rest.bit_count() == OPEN_CELLS:
            houses_by_cells.setdefault(rest, []).append(house)
    steps = []
    for rest, houses in houses_by_cells.items():
        step = _settle(grid, layout.cells_in(rest), houses)
        if step is not None:
            steps.append(step)
    steps.sort(key=lambda step: step.cells)
    yield from steps


def _settle(grid: Grid, cells: tuple[Cell, ...], houses: list[House]) -> Step | None:
    """Return the step, by the shortest of the chains of reasoning that the cells allow."""
    layout, house = grid.layout, houses[0]
    digits = tuple(
        digit for digit in layout.digits if not layout.plane(grid.placed, digit) & house.mask
    )
    if len(digits) != OPEN_CELLS:
        return None  # a digit stands twice in the house
    held = {cell: set(grid.candidates_at(cell)) for cell in cells}
    chains = []
    for first, middle, third in permutations(cells):
        for a, b, c in permutations(digits):
            if held[first] != {a} or b in held[middle] or b not in held[third]:
                continue
            if c not in held[middle]:
                continue
            chains.append((_chain(held, house, (first, middle, third), (a, b, c)), (a, b, c)))
            places = tuple(sorted(((first, a), (third, b), (middle, c))))
    if not chains:
        return None
    constraints = min((chain for chain, _ in chains), key=len)
    pattern = 0
    for cell in cells:
        pattern |= grid.candidates & layout.cell_bits[cell]
    return Step(
        "last-three",
        1,
        tuple(each.index for each in houses),
        cells,
        digits,
        pattern,
        places=places,
        constraints=constraints,
    )


def _chain(
    held: dict[Cell, set[int]],
    house: House,
    cells: tuple[Cell, Cell, Cell],
    digits: tuple[int, int, int],
) -> tuple[Constraint, ...]:
    """Return the fewest constraints that settle first = a, third = b, middle = c, in that order."""
    (first, middle, third), (_, b, c) = cells, digits
    settled: tuple[Constraint, ...] = (cell_has_one(first), house_has_one(house.index, b))
    if c not in held[third]:
        return (*settled, house_has_one(house.index, c))
    if held[middle] == {c}:
        return (*settled, cell_has_one(middle))
    return (*settled, house_has_one(house.index, c), cell_has_no_two(third))
