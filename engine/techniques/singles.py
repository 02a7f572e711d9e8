"""Last digit, hidden single, naked single: a digit with one place left, a cell with one digit.

The definitions are the plain ones: a last digit is also a hidden and a naked single. Instances
are found for all houses at once by counting.
"""

from __future__ import annotations

from collections.abc import Iterator

from engine.board.counting import Shape, fold, shape_of
from engine.board.grid import Grid
from engine.board.layout import Layout
from engine.board.step import Step
from engine.inference.barring import bars_of
from engine.inference.evidence import cell_has_one, house_has_one, houses_by_cell


def find_last_digits(grid: Grid) -> Iterator[Step]:
    """Yield each digit that goes into the last open cell of a house, lowest cell first."""
    layout, open_cells = grid.layout, grid.open_cells
    last = {house.index for house in layout.houses if (open_cells & house.mask).bit_count() == 1}
    if not last:
        return
    cells = 0
    for index in last:
        cells |= open_cells & layout.houses[index].mask
    for cell in layout.cells_in(cells):
        bits = grid.candidates & layout.cell_bits[cell]
        for _, digit in layout.pairs(bits):
            houses = tuple(
                house.index
                for house in houses_by_cell(layout)[cell]
                if house.index in last and not layout.plane(grid.placed, digit) & house.mask
            )
            if houses:
                yield _placement("last-digit", layout, cell, digit, houses)


def find_hidden_singles(grid: Grid) -> Iterator[Step]:
    """Yield each digit that has one place left in a house: those with a box first, then by cell.

    Where several houses show it, the one in which the least bars the digit elsewhere leads.
    """
    layout, candidates = grid.layout, grid.candidates
    in_rows, in_columns, in_boxes, *in_others = hidden_single_masks(layout, candidates)
    in_lines = in_rows | in_columns
    for found in in_others:
        in_lines |= found
    for part in (in_boxes, in_lines & ~in_boxes):
        for cell, digit in layout.pairs(part):
            bit = layout.bit(cell, digit)
            houses = [
                house
                for house in houses_by_cell(layout)[cell]
                if candidates & layout.spread(house.mask, digit) == bit
            ]
            if len(houses) > 1:
                houses.sort(key=lambda house: bars_of(grid, house, cell, digit))
            indices = tuple([house.index for house in houses])
            yield _placement("hidden-single", layout, cell, digit, indices)


def find_naked_singles(grid: Grid) -> Iterator[Step]:
    """Yield each open cell that has one candidate left, lowest cell first. Its house is its box."""
    layout = grid.layout
    for cell, digit in layout.pairs(naked_single_mask(layout, grid.candidates)):
        yield Step(
            "naked-single",
            1,
            (houses_by_cell(layout)[cell][0].index,),
            (cell,),
            (digit,),
            layout.bit(cell, digit),
            places=((cell, digit),),
            constraints=(cell_has_one(cell),),
        )


def _placement(
    technique: str, layout: Layout, cell: int, digit: int, houses: tuple[int, ...]
) -> Step:
    place = layout.cells_in(1 << cell)[0]
    return Step(
        technique,
        1,
        houses,
        (place,),
        (digit,),
        layout.bit(cell, digit),
        places=((place, digit),),
        constraints=(house_has_one(houses[0], digit),),
    )


def naked_single_mask(layout: Layout, candidates: int) -> int:
    """Return the candidates that are alone in their cell."""
    shape: Shape = shape_of(layout)
    ones, twos = fold(candidates, 0, shape.digits_near)
    ones, twos = fold(ones, twos, shape.digits_far)
    return candidates & ((ones ^ twos) & layout.all_cells) * shape.cell_spread


def hidden_single_masks(layout: Layout, candidates: int) -> tuple[int, ...]:
    """Return the candidates that are alone of their digit in a house: a mask for each sort.

    In the order of `Layout.sorts`: rows, columns, boxes, and the diagonals where they count.
    """
    shape: Shape = shape_of(layout)
    segment_ones, segment_twos = fold(candidates, 0, shape.across_segment)
    ones, twos = fold(segment_ones, segment_twos, shape.across_row)
    in_rows = candidates & ((ones ^ twos) & shape.row_origins) * shape.row_spread
    in_sorts = []
    if layout.is_regular:
        ones, twos = fold(segment_ones, segment_twos, shape.down_segment)
        in_sorts.append(candidates & ((ones ^ twos) & shape.box_origins) * shape.box_spread)
    ones, twos = fold(candidates, 0, shape.down_segment)
    ones, twos = fold(ones, twos, shape.down_column)
    in_columns = candidates & ((ones ^ twos) & shape.column_origins) * shape.column_spread
    for groups in shape.others:
        found = 0
        for group in groups:
            ones, twos = fold(candidates, 0, group.shifts)
            found |= candidates & ((ones ^ twos) & group.origins) * group.spread
        in_sorts.append(found)
    return (in_rows, in_columns, *in_sorts)
