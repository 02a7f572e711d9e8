"""Counts candidates in every constraint of a family at once, by shifting the whole mask.

`fold` lays the members of each constraint on one bit and keeps a saturating count: a bit of
`ones` says at least one, a bit of `twos` at least two. A `Shape` holds a layout's shifts and
origins, factored by the boxes, so that rows and boxes share the count of their common segments.
Nothing here knows a technique.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from engine.board.layout import Layout


@dataclass(frozen=True, slots=True)
class Group:
    """Constraints that are counted together: their shifts, their origins and their spread."""

    shifts: tuple[int, ...]
    origins: int
    spread: int


@dataclass(frozen=True, slots=True, eq=False)
class Shape:
    """A layout's shifts and origins. An origin is the lowest bit of each constraint of a family.

    A *segment* is a part of a line; where the boxes are rectangles it is what a line and a box
    have in common, and only then do the fields that speak of boxes hold anything. `others` are the
    houses that must be counted by themselves, by the sort that they belong to: irregular boxes and
    diagonals. Multiplying a mask of origins by a `*_spread` sets every bit of the constraints (no
    two overlap, so nothing carries).
    """

    across_segment: tuple[int, ...]
    across_row: tuple[int, ...]
    down_segment: tuple[int, ...]
    down_column: tuple[int, ...]
    digits_near: tuple[int, ...]
    digits_far: tuple[int, ...]
    row_origins: int
    column_origins: int
    box_origins: int
    row_segments: int
    column_segments: int
    cell_spread: int
    row_spread: int
    column_spread: int
    box_spread: int
    segments_of_row: int
    segments_of_column: int
    segments_across_box: int
    segments_down_box: int
    others: tuple[tuple[Group, ...], ...]


def _spread_of(shifts: tuple[int, ...]) -> int:
    return 1 + sum(1 << shift for shift in shifts)


def _multiples(step: int, count: int) -> tuple[int, ...]:
    return tuple(step * times for times in range(1, count))


def _other_sorts(layout: Layout) -> tuple[tuple[Group, ...], ...]:
    """Return the sorts after the rows and columns that no segments help to count."""
    return tuple(
        tuple(
            Group(family.shifts[1:], family.origins, _spread_of(family.shifts[1:]))
            for family in families
        )
        for families in layout.families[3 if layout.is_regular else 2 :]
    )


@cache
def shape_of(layout: Layout) -> Shape:
    """Return the shape of a layout, worked out once."""
    size, count = layout.size, layout.cell_count
    height, width = (layout.box_height, layout.box_width) if layout.is_regular else (1, size)
    (rows,), (columns,), boxes = layout.families[:3]
    across_segment, down_segment = _multiples(1, width), _multiples(size, height)
    across_row, down_column = _multiples(width, height), _multiples(size * height, width)
    row_segments = 0
    for shift in rows.shifts[::width]:
        row_segments |= rows.origins << shift
    column_segments = 0
    for shift in columns.shifts[::height]:
        column_segments |= columns.origins << shift
    return Shape(
        across_segment=across_segment,
        across_row=across_row,
        down_segment=down_segment,
        down_column=down_column,
        digits_near=_multiples(count, width),
        digits_far=_multiples(count * width, height),
        row_origins=rows.origins,
        column_origins=columns.origins,
        box_origins=boxes[0].origins if layout.is_regular else 0,
        row_segments=row_segments,
        column_segments=column_segments,
        cell_spread=_spread_of(_multiples(count, size)),
        row_spread=_spread_of(rows.shifts[1:]),
        column_spread=_spread_of(columns.shifts[1:]),
        box_spread=_spread_of(boxes[0].shifts[1:]) if layout.is_regular else 0,
        segments_of_row=_spread_of(across_row),
        segments_of_column=_spread_of(down_column),
        segments_across_box=_spread_of(across_segment),
        segments_down_box=_spread_of(down_segment),
        others=_other_sorts(layout),
    )


def fold(ones: int, twos: int, shifts: tuple[int, ...]) -> tuple[int, int]:
    """Add a saturating count to itself, shifted by each of `shifts`. `twos` lies within `ones`."""
    least, more = ones, twos
    for shift in shifts:
        moved = ones >> shift
        more |= (least & moved) | (twos >> shift)
        least |= moved
    return least, more


def is_somewhere(layout: Layout, candidates: int) -> bool:
    """Say whether every cell has a candidate and every digit a place in every house."""
    shape = shape_of(layout)
    in_cells = _union(_union(candidates, shape.digits_near), shape.digits_far)
    segments = _union(candidates, shape.across_segment)
    in_rows = _union(segments, shape.across_row)
    in_columns = _union(_union(candidates, shape.down_segment), shape.down_column)
    return (
        not layout.all_cells & ~in_cells
        and not shape.row_origins & ~in_rows
        and not shape.column_origins & ~in_columns
        and not shape.box_origins & ~_union(segments, shape.down_segment)
        and not any(
            group.origins & ~_union(candidates, group.shifts)
            for groups in shape.others
            for group in groups
        )
    )


def _union(candidates: int, shifts: tuple[int, ...]) -> int:
    union = candidates
    for shift in shifts:
        union |= candidates >> shift
    return union
