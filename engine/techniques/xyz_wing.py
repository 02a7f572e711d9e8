"""XYZ-wing: a pivot a, b, c sees a pincer a, c and a pincer b, c; what sees all three is not c.

One of the three must be c: the pivot itself, or the pincer with which it shares its digit.
"""

from __future__ import annotations

from collections.abc import Iterator

from engine.board.grid import Grid
from engine.board.layout import Cell, iterate_bits
from engine.board.step import Step
from engine.inference.candidate_index import cells_by_count, digits_by_cell, digits_of
from engine.inference.evidence import cell_has_one
from engine.inference.visibility import (
    cells_by_pair,
    houses_between,
    no_two_between,
    seen_by_all,
    sight_constraints,
)


def find_xyz_wings(grid: Grid) -> Iterator[Step]:
    """Yield each XYZ-wing with something to strike, by its cells, lowest first."""
    layout, pairs, held = grid.layout, cells_by_pair(grid), digits_by_cell(grid)
    counts = cells_by_count(grid)
    steps = []
    for pivot in layout.cells_in(counts[3] & ~counts[2]):
        near, three = layout.peers[pivot], held[pivot]
        if not near & counts[2]:
            continue
        for digit in digits_of(layout, three):
            goes = 1 << digit - 1
            one_digit = (three ^ goes) & -(three ^ goes)
            other_digit = three ^ goes ^ one_digit
            ones = pairs.get(one_digit | goes, 0) & near
            others = pairs.get(other_digit | goes, 0) & near
            if not ones or not others:
                continue
            turns = (one_digit.bit_length(), other_digit.bit_length(), digit)
            for one in layout.cells_in(ones):
                for other in layout.cells_in(others):
                    cells = (pivot, one, other)
                    seen = seen_by_all(layout, 1 << pivot | 1 << one | 1 << other)
                    victims = grid.plane(digit) & seen
                    if victims:
                        steps.append(_step(grid, cells, turns, victims))
    steps.sort(key=lambda step: (step.cells, step.removes))
    yield from steps


def _step(
    grid: Grid, cells: tuple[Cell, Cell, Cell], digits: tuple[int, int, int], victims: int
) -> Step:
    """Return the step of pivot, pincer, pincer, which hold a, b, c; a, c; b, c."""
    layout = grid.layout
    (pivot, one, other), (a, b, c) = cells, digits
    between = houses_between(layout)
    members = tuple(sorted(cells))
    pattern = 0
    for cell in members:
        pattern |= grid.candidates & layout.cell_bits[cell]
    return Step(
        "xyz-wing",
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
            *sight_constraints(layout, c, iterate_bits(victims), cells),
        ),
    )
