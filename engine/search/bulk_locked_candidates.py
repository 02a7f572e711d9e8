"""What boxes and lines confine: all that pointing and claiming strike, found at once by counting.

A digit that a box leaves to one line goes from the rest of the line, and the reverse. Exact search
asks this where no single is left. Boxes must be rectangles; nothing here tells one place from
another, so it makes no steps: `engine.techniques.locked` does.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from engine.board.counting import fold, shape_of
from engine.board.layout import Layout


@dataclass(frozen=True, slots=True, eq=False)
class Crossing:
    """How the lines of one sort cross boxes. A segment is what a line and a box have in common.

    `within`, `along` and `across` shift the cells of a segment, the segments of a line, and those
    of a box, on the first; a `*_spread` multiplies that first bit to all of them, or to all the
    segments (`line_segments`, `box_segments`).
    """

    within: tuple[int, ...]
    along: tuple[int, ...]
    across: tuple[int, ...]
    segments: int
    lines: int
    boxes: int
    line_segments: int
    box_segments: int
    line_spread: int
    box_spread: int
    segment_spread: int


@cache
def crossings_of(layout: Layout) -> tuple[Crossing, ...]:
    """Return how rows, then columns, cross boxes; nothing where boxes are no rectangles."""
    if not layout.is_regular:
        return ()
    shape = shape_of(layout)
    return (
        Crossing(
            within=shape.across_segment,
            along=shape.across_row,
            across=shape.down_segment,
            segments=shape.row_segments,
            lines=shape.row_origins,
            boxes=shape.box_origins,
            line_segments=shape.segments_of_row,
            box_segments=shape.segments_down_box,
            line_spread=shape.row_spread,
            box_spread=shape.box_spread,
            segment_spread=1 + sum(1 << shift for shift in shape.across_segment),
        ),
        Crossing(
            within=shape.down_segment,
            along=shape.down_column,
            across=shape.across_segment,
            segments=shape.column_segments,
            lines=shape.column_origins,
            boxes=shape.box_origins,
            line_segments=shape.segments_of_column,
            box_segments=shape.segments_across_box,
            line_spread=shape.column_spread,
            box_spread=shape.box_spread,
            segment_spread=1 + sum(1 << shift for shift in shape.down_segment),
        ),
    )


def find_confined(crossings: tuple[Crossing, ...], candidates: int) -> int:
    """Return what pointing and claiming strike of the candidates, all of them at once.

    Two segments of a line, or of a box, that must both hold the digit strike each other.
    """
    gone = 0
    for way in crossings:
        segments = candidates
        for shift in way.within:
            segments |= candidates >> shift
        segments &= way.segments
        ones, twos = fold(segments, 0, way.along)
        several = twos & way.lines
        alone_in_line = (ones & way.lines ^ several) * way.line_segments
        not_alone_in_line = several * way.line_segments
        ones, twos = fold(segments, 0, way.across)
        several = twos & way.boxes
        alone_in_box = (ones & way.boxes ^ several) * way.box_segments
        pointing = segments & alone_in_box & not_alone_in_line
        claiming = segments & alone_in_line & several * way.box_segments
        if pointing:
            once, twice = fold(pointing, 0, way.along)
            gone |= (once & way.lines) * way.line_spread & ~(pointing * way.segment_spread)
            gone |= (twice & way.lines) * way.line_spread
        if claiming:
            once, twice = fold(claiming, 0, way.across)
            gone |= (once & way.boxes) * way.box_spread & ~(claiming * way.segment_spread)
            gone |= (twice & way.boxes) * way.box_spread
    return candidates & gone
