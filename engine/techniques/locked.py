"""Pointing and claiming: a digit that one house confines to what it shares with another.

Pointing: within a box the digit is confined to a line, so it goes from the rest of the line.
Claiming: within a line it is confined to a box, so it goes from the rest of the box. Where boxes
are rectangles all instances in rows and columns are found at once, by counting over the segments
that lines and boxes share; diagonals and irregular boxes are looked at pair by pair.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from engine.board.counting import fold, shape_of
from engine.board.grid import Grid
from engine.board.layout import House, Layout
from engine.board.step import Step
from engine.inference.evidence import house_has_no_two, house_has_one

Confined = tuple[int, int, House, House]
"""(cells, digit, line, box)"""


def find_pointing(grid: Grid) -> Iterator[Step]:
    """Yield each digit that a box confines to a line with something to strike, by cells, digit."""
    for segment, digit, line, box in _confined(grid, by_box=True):
        yield _step("pointing", grid, segment, digit, box, line)


def find_claiming(grid: Grid) -> Iterator[Step]:
    """Yield each digit that a line confines to a box with something to strike, by cells, digit."""
    for segment, digit, line, box in _confined(grid, by_box=False):
        yield _step("claiming", grid, segment, digit, line, box)


def _confined(grid: Grid, *, by_box: bool) -> list[Confined]:
    """Return all that one house of a line and a box confines to the other, by cells, then digit."""
    layout = grid.layout
    found = _confined_to_segments(grid, by_box) if layout.is_regular else []
    for line, box, shared in _pairs_apart(layout):
        confining, other = (box, line) if by_box else (line, box)
        for digit in layout.digits:
            plane = grid.plane(digit)
            cells = plane & confining.mask
            if cells & ~shared or cells.bit_count() < 2 or not plane & other.mask & ~shared:
                continue
            found.append((cells, digit, line, box))
    found.sort(key=lambda each: (layout.cells_in(each[0]), each[1]))
    return found


@cache
def _pairs_apart(layout: Layout) -> tuple[tuple[House, House, int], ...]:
    """Return (line, box, cells of both) of those that share two cells or more, but no segment."""
    lines = layout.diagonals
    if not layout.is_regular:
        lines = (*layout.rows, *layout.columns, *lines)
    pairs = ((line, box, line.mask & box.mask) for line in lines for box in layout.boxes)
    return tuple(pair for pair in pairs if pair[2].bit_count() > 1)


def _confined_to_segments(grid: Grid, by_box: bool) -> list[Confined]:
    """Return (cells, digit, line, box) of each segment that alone holds a digit of one house."""
    layout, candidates = grid.layout, grid.candidates
    shape = shape_of(layout)
    found: list[Confined] = []
    ones, twos = fold(candidates, 0, shape.across_segment)
    segments = ones & shape.row_segments
    in_lines = _alone_and_not(segments, shape.across_row, shape.row_origins, shape.segments_of_row)
    in_boxes = _alone_and_not(
        segments, shape.down_segment, shape.box_origins, shape.segments_down_box
    )
    hits = segments & twos & _meet(in_lines, in_boxes, by_box)
    _collect(found, layout, candidates, hits, 0)
    ones, twos = fold(candidates, 0, shape.down_segment)
    segments = ones & shape.column_segments
    in_lines = _alone_and_not(
        segments, shape.down_column, shape.column_origins, shape.segments_of_column
    )
    in_boxes = _alone_and_not(
        segments, shape.across_segment, shape.box_origins, shape.segments_across_box
    )
    hits = segments & twos & _meet(in_lines, in_boxes, by_box)
    _collect(found, layout, candidates, hits, 1)
    return found


def _alone_and_not(
    segments: int, shifts: tuple[int, ...], origins: int, spread: int
) -> tuple[int, int]:
    """Return the segments of the houses with one such segment, and of those with several."""
    ones, twos = fold(segments, 0, shifts)
    twos &= origins
    return ((ones & origins) ^ twos) * spread, twos * spread


def _meet(in_lines: tuple[int, int], in_boxes: tuple[int, int], by_box: bool) -> int:
    """Return the segments alone in the confining house, and not alone in the other."""
    return in_boxes[0] & in_lines[1] if by_box else in_lines[0] & in_boxes[1]


def _collect(
    found: list[Confined],
    layout: Layout,
    candidates: int,
    hits: int,
    line_place: int,
) -> None:
    """Append each hit. `line_place` is the line's place in `sorts`: 0 the row, 1 the column."""
    for cell, digit in layout.pairs(hits):
        houses = layout.houses_of[cell]
        line, box = houses[line_place], houses[2]
        found.append((layout.plane(candidates, digit) & line.mask & box.mask, digit, line, box))


def _step(
    technique: str, grid: Grid, segment: int, digit: int, confining: House, other: House
) -> Step:
    layout = grid.layout
    return Step(
        technique,
        2,
        (confining.index,),
        layout.cells_in(segment),
        (digit,),
        layout.spread(segment, digit),
        removes=grid.candidates & layout.spread(other.mask & ~confining.mask, digit),
        constraints=(
            house_has_one(confining.index, digit),
            house_has_no_two(other.index, digit),
        ),
        covers=(other.index,),
    )
