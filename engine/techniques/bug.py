"""BUG+1: all open cells have two candidates but one, which has three; that one is settled.

Of its three, one digit stands three times in the cell's houses, while otherwise every house has
each digit twice or not at all. Without that candidate every cell and every digit would have just
two ways, and such a position has no solution or several: from any solution the other one follows by
taking the other candidate of each cell. The premise besides what is cited (`is_by_uniqueness`):
the open cells do not all hold one of the candidates that they have without the extra one.
"""

from __future__ import annotations

from collections.abc import Iterator

from engine.board.grid import Grid
from engine.board.step import Step
from engine.inference.candidate_index import cells_by_count, places_by_house
from engine.inference.evidence import cell_has_one, houses_by_cell


def find_bug_plus_one(grid: Grid) -> Iterator[Step]:
    """Yield the placement, if the position is such a one. The cited cells are all open cells."""
    layout, open_cells = grid.layout, grid.open_cells
    if grid.candidates.bit_count() != 2 * open_cells.bit_count() + 1:
        return
    counts = cells_by_count(grid)
    rest = open_cells & ~counts[2]
    if rest & rest - 1 or not rest or rest & ~counts[3]:
        return
    (cell,) = layout.cells_in(rest)
    houses = houses_by_cell(layout)[cell]
    for digit in grid.candidates_at(cell):
        around = {house.index for house in houses}
        if all(
            count == (3 if own == digit and house.index in around else 2)
            for house, held in zip(layout.houses, places_by_house(grid), strict=True)
            for own, _, count in held
        ):
            yield Step(
                "bug-plus-one",
                5,
                tuple(house.index for house in houses),
                (cell,),
                (digit,),
                grid.candidates,
                places=((cell, digit),),
                constraints=tuple(cell_has_one(each) for each in layout.cells_in(open_cells)),
                is_by_uniqueness=True,
            )
