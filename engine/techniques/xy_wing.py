"""XY-wing: a pivot a, b sees a pincer a, c and a pincer b, c; what sees both pincers is not c.

The three cells may lie in one house, and are then a naked triple too.
"""

from __future__ import annotations

from collections.abc import Iterator

from engine.board.grid import Grid
from engine.board.layout import Cell, iterate_bits
from engine.board.step import Step
from engine.inference.evidence import cell_has_one
from engine.inference.visibility import (
    cells_by_pair,
    houses_between,
    no_two_between,
    seen_by_all,
    sight_constraints,
    tell_line,
)


def find_xy_wings(grid: Grid) -> Iterator[Step]:
    """Yield each XY-wing with something to strike, by its cells, lowest first."""
    layout, pairs = grid.layout, cells_by_pair(grid)
    steps = []
    for both, pivots in pairs.items():
        first = both & -both
        for pincer, ones in pairs.items():
            if pincer & both != first:
                continue
            goes = pincer ^ first
            others = pairs.get(both ^ first | goes)
            if others is None:
                continue
            digit = goes.bit_length()
            plane = grid.plane(digit)
            for pivot in layout.cells_in(pivots):
                near = layout.peers[pivot]
                if not (ones & near and others & near):
                    continue
                for one in layout.cells_in(ones & near):
                    for other in layout.cells_in(others & near):
                        victims = plane & seen_by_all(layout, 1 << one | 1 << other)
                        if victims:
                            turns = (first.bit_length(), (both ^ first).bit_length(), digit)
                            steps.append(_step(grid, (pivot, one, other), turns, victims))
    steps.sort(key=lambda step: (step.cells, step.digits, step.removes))
    yield from steps


def _step(
    grid: Grid, cells: tuple[Cell, Cell, Cell], digits: tuple[int, int, int], victims: int
) -> Step:
    """Return the step of pivot, pincer, pincer, which hold a, b; a, c; b, c."""
    layout = grid.layout
    (pivot, one, other), (a, b, c) = cells, digits
    between = houses_between(layout)
    members = tuple(sorted(cells))
    pattern = 0
    for cell in members:
        pattern |= grid.candidates & layout.cell_bits[cell]
    return Step(
        "xy-wing",
        4,
        tuple(dict.fromkeys((between[pivot][one][0], between[pivot][other][0]))),
        members,
        tuple(sorted(digits)),
        pattern,
        removes=layout.spread(victims, c),
        constraints=(
            *(cell_has_one(cell) for cell in members),
            no_two_between(layout, pivot, one, a),
            no_two_between(layout, pivot, other, b),
            *sight_constraints(layout, c, iterate_bits(victims), (one, other)),
        ),
        chains=(tell_line(((one, c), (one, a), (pivot, a), (pivot, b), (other, b), (other, c))),),
    )
