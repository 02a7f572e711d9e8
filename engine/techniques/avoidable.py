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
from engine.inference.candidate_index import digits_by_cell, digits_of, digits_spread
from engine.inference.evidence import cell_has_one
from engine.inference.visibility import seen_by_all, sight_constraints
from engine.techniques.rectangles import LEVEL, Corners, lines_of, rectangles_by_cell

Filled = dict[int, int]
"""The digit that stands in each filled corner, by the corner's place in the ring."""


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
    """Yield each avoidable rectangle of types 1 and 2 that strikes, by cells."""
    own = grid.own
    if not own & own - 1:
        return
    layout, not_given = grid.layout, own | grid.open_cells
    steps: list[Step] = []
    for mask, corners in _rectangles(layout):
        count = (mask & own).bit_count()
        if mask & ~not_given or not 1 < count < len(corners):
            continue
        places = enumerate(corners)
        filled = {place: grid.digit_at(cell) for place, cell in places if own >> cell & 1}
        if all(digit == filled.get((place + 2) % 4, digit) for place, digit in filled.items()):
            steps += (_type_1 if count > 2 else _type_2)(grid, corners, filled)
    steps.sort(key=lambda step: step.cells)
    yield from steps


def _type_1(grid: Grid, corners: Corners, filled: Filled) -> Iterator[Step]:
    """Three corners are filled: the open one is not as the corner across from it.

    One that could hold nothing else is none: the puzzle has no solution, or not one only.
    """
    layout = grid.layout
    (place,) = {0, 1, 2, 3} - filled.keys()
    cell = corners[place]
    removes = layout.bit(cell, filled[(place + 2) % 4])
    held = grid.candidates & layout.cell_bits[cell]
    if held & removes and held != removes:
        evidence = tuple(cell_has_one(corners[each]) for each in sorted(filled))
        yield _step(grid, corners, "type-1", _mask_of(filled), removes, evidence)


def _type_2(grid: Grid, corners: Corners, filled: Filled) -> Iterator[Step]:
    """Two corners are filled, and besides what would complete the rectangle the open two can hold
    one digit more, the same: it goes from what sees both.

    Where they lie across from each other either of their two digits is the one that completes it.
    """
    layout, held = grid.layout, digits_by_cell(grid)
    one, other = (place for place in range(4) if place not in filled)
    both = held[corners[one]], held[corners[other]]
    if any(digits.bit_count() != 2 for digits in both):
        return
    if other - one == 2:
        extras = both[0] if both[0] == both[1] else 0
    else:
        left = [
            digits & ~(1 << filled[(place + 2) % 4] - 1)
            for place, digits in zip((one, other), both, strict=True)
        ]
        extras = left[0] if left[0] == left[1] and left[0].bit_count() == 1 else 0
    ends = layout.mask_of((corners[one], corners[other]))
    sees_both = seen_by_all(layout, ends)
    removes, sights = 0, list[Constraint]()
    for digit in digits_of(layout, extras):
        victims = grid.plane(digit) & sees_both
        removes |= layout.spread(victims, digit)
        sights += sight_constraints(layout, digit, iterate_bits(victims), iterate_bits(ends))
    if removes:
        evidence = (*(cell_has_one(cell) for cell in corners), *sights)
        yield _step(grid, corners, "type-2", _mask_of(filled) | extras, removes, evidence)


def _mask_of(filled: Filled) -> int:
    """Return the mask of the digits that stand in corners."""
    mask = 0
    for digit in filled.values():
        mask |= 1 << digit - 1
    return mask


def _step(
    grid: Grid,
    corners: Corners,
    variant: str,
    digits: int,
    removes: int,
    constraints: tuple[Constraint, ...],
) -> Step:
    layout, cells = grid.layout, grid.layout.mask_of(corners)
    return Step(
        "avoidable-rectangle",
        LEVEL,
        lines_of(layout, cells),
        layout.cells_in(cells),
        digits_of(layout, digits),
        grid.candidates & cells * digits_spread(layout, digits) & ~removes,
        removes=removes,
        constraints=constraints,
        is_by_uniqueness=True,
        variant=variant,
    )
