"""Avoidable rectangles: four cells without a given that must not be filled with two digits in turn.

The corners lie as those of a unique rectangle do, but some of them are filled already. As none of
them is a given, a, b in turn round the rectangle could be exchanged for a second solution. The
premise besides what is cited (`is_by_uniqueness`): the corners are not filled so, and no filled one
is a given. Which digits are none a Grid knows by `own`.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from engine.board.grid import Grid
from engine.board.layout import Layout, iterate_bits
from engine.board.step import Constraint, Step
from engine.inference.candidate_index import (
    cells_by_count,
    digits_by_cell,
    digits_of,
    digits_spread,
)
from engine.inference.evidence import cell_has_one
from engine.inference.roof_groups import RoofGroup, find_roof_groups
from engine.inference.visibility import seen_by_all, sight_constraints
from engine.techniques.rectangles import LEVEL, Corners, lines_of, rectangles_by_cell

Wanted = tuple[int, int]
"""The digits (masks) that stand in the first and third corner, and in the second and fourth."""


@cache
def _rectangles(layout: Layout) -> tuple[tuple[int, Corners], ...]:
    """Return each rectangle once: its cell mask, and its corners in turn."""
    return tuple(
        (layout.mask_of(corners), corners)
        for around in rectangles_by_cell(layout)
        for corners in around
        if corners[0] == min(corners)
    )


def find_avoidable_rectangles(grid: Grid) -> Iterator[Step]:
    """Yield each avoidable rectangle of types 1 to 3 that strikes, by cells."""
    own = grid.own
    if not own & own - 1:
        return
    given, two_left = grid.filled_cells & ~own, cells_by_count(grid)[2]
    stands = _own_digits(grid)
    steps: list[Step] = []
    for mask, corners in _rectangles(grid.layout):
        if mask & given:
            continue
        left = mask & ~own
        more = left & left - 1
        if not left or more & more - 1:
            continue  # not two corners or three are filled
        one, two, three, four = corners
        first, second = stands[one] | stands[three], stands[two] | stands[four]
        if first & first - 1 or second & second - 1:
            continue
        if not more:
            steps += _type_1(grid, corners, left, (first, second))
        elif not left & ~two_left:
            steps += _type_2(grid, corners, left, (first, second))
        if more and first and second:
            steps += _type_3(grid, corners, left, (first, second))
    steps.sort(key=lambda step: (step.cells, step.digits))
    yield from steps


def _own_digits(grid: Grid) -> list[int]:
    """Return for each cell the mask of its own digit, 0 where it has none."""
    layout, stands = grid.layout, [0] * grid.layout.cell_count
    for digit in layout.digits:
        for cell in iterate_bits(layout.plane(grid.placed, digit) & grid.own):
            stands[cell] = 1 << digit - 1
    return stands


def _type_1(grid: Grid, corners: Corners, left: int, wanted: Wanted) -> Iterator[Step]:
    """Three corners are filled: the open one is not as the corner across from it.

    One that could hold nothing else is none: the puzzle has no solution, or not one only.
    """
    layout, place = grid.layout, corners.index(left.bit_length() - 1)
    goes, held = wanted[place % 2], digits_by_cell(grid)[corners[place]]
    if held & goes and held != goes:
        removes = layout.bit(corners[place], goes.bit_length())
        filled = (cell for cell in corners if not left >> cell & 1)
        evidence = tuple(map(cell_has_one, filled))
        yield _step(grid, corners, "type-1", wanted[0] | wanted[1], removes, evidence)


def _type_2(grid: Grid, corners: Corners, left: int, wanted: Wanted) -> Iterator[Step]:
    """Two corners are filled, and besides what would complete the rectangle the open two, which can
    hold two digits each, can hold one more, the same: it goes from what sees both.

    Where they lie across from each other either of their two digits is the one that completes it.
    """
    layout, held = grid.layout, digits_by_cell(grid)
    ends = [place for place, cell in enumerate(corners) if left >> cell & 1]
    one, other = (held[corners[place]] & ~wanted[place % 2] for place in ends)
    if one != other or (all(wanted) and one & one - 1):
        return
    sees_both = seen_by_all(layout, left)
    removes, sights = 0, list[Constraint]()
    for digit in digits_of(layout, one):
        victims = grid.plane(digit) & sees_both
        removes |= layout.spread(victims, digit)
        sights += sight_constraints(layout, digit, iterate_bits(victims), iterate_bits(left))
    if removes:
        evidence = (*(cell_has_one(cell) for cell in corners), *sights)
        yield _step(grid, corners, "type-2", wanted[0] | wanted[1] | one, removes, evidence)


def _type_3(grid: Grid, corners: Corners, left: int, wanted: Wanted) -> Iterator[Step]:
    """Two corners side by side are filled, and the other two can complete the rectangle or hold
    other digits: one of these is there, so that with other cells the two make a naked subset."""
    layout, held = grid.layout, digits_by_cell(grid)
    roof = [cell for cell in corners if left >> cell & 1]
    extras = 0
    for cell in roof:
        goes = wanted[corners.index(cell) % 2]
        extra = held[cell] & ~goes
        if not extra or extra == held[cell]:
            return
        extras |= extra
    pair = wanted[0] | wanted[1]
    for group in find_roof_groups(grid, corners, roof, extras, pair):
        evidence = (*map(cell_has_one, corners), *group.constraints(layout))
        yield _step(grid, corners, "type-3", pair | group.digits, group.removes, evidence, group)


def _step(
    grid: Grid,
    corners: Corners,
    variant: str,
    digits: int,
    removes: int,
    constraints: tuple[Constraint, ...],
    group: RoofGroup | None = None,
) -> Step:
    layout, ends = grid.layout, grid.layout.mask_of(corners)
    cells = ends | layout.mask_of(group.cells) if group else ends
    return Step(
        "avoidable-rectangle",
        LEVEL,
        lines_of(layout, ends),
        layout.cells_in(cells),
        digits_of(layout, digits),
        grid.candidates & cells * digits_spread(layout, digits) & ~removes,
        removes=removes,
        constraints=constraints,
        covers=group.covers if group else (),
        is_by_uniqueness=True,
        variant=variant,
    )
