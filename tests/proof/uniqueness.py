"""The premise that a puzzle with one solution brings in, worked out from the plain position.

A rectangle: two digits in four open cells, so that every house has none or two of these. Were the
cells filled with the two digits by turns, exchanging the two would give a second solution. A grid
of pairs: all open cells with two digits each, so that every house has each digit in two of the
cells or in none. Were each cell filled with one of its two, taking the other everywhere would give
a second solution, so one of the cells holds something else. None of the cells may be a given: they
are open, or hold a digit that is known to be none.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations

from engine.board.layout import Layout
from engine.board.step import Step
from tests.independent.plain import Candidate, CellName, Plain, Shape, houses_of, peers_of

Held = Mapping[CellName, frozenset[int]]
Clause = frozenset[tuple[Candidate, bool]]
"""One of these candidates is true, or is false, as is said."""


def can_be_exchanged(shape: Shape, held: Held) -> bool:
    """Whether in every house each digit has two of the cells or none, and every cell two digits."""
    digits = frozenset().union(*held.values())
    return all(len(here) == 2 for here in held.values()) and all(
        sum(digit in held.get(cell, ()) for cell in cells) in (0, 2)
        for cells in houses_of(shape).values()
        for digit in digits
    )


def unique_premises(layout: Layout, position: Plain, step: Step) -> tuple[Clause, ...]:
    """Return the premises that bear on a step: its rectangle, or all open cells."""
    cells = [layout.format_cell(cell) for cell in step.cells]
    if step.technique == "bug-plus-one":
        return tuple(_pair_grid_premises(position, cells[0]))
    return tuple(
        not_filled
        for four in combinations(cells, 4)
        for pair in combinations(step.digits, 2)
        if all(cell in position.candidates or cell in position.own for cell in four)
        and can_be_exchanged(position.shape, dict.fromkeys(four, frozenset(pair)))
        for not_filled in _rectangle_premises(position.shape, four, pair)
    )


def _rectangle_premises(
    shape: Shape, four: Sequence[CellName], pair: tuple[int, int]
) -> Iterator[Clause]:
    """Neither way of filling the four cells by turns is right."""
    across = next(cell for cell in four[1:] if cell not in peers_of(shape, four[0]))
    for one, other in (pair, pair[::-1]):
        filled = {cell: one if cell in (four[0], across) else other for cell in four}
        yield frozenset((candidate, False) for candidate in filled.items())


def _pair_grid_premises(position: Plain, cell: CellName) -> Iterator[Clause]:
    """All open cells as they stand, but for one digit of the one that has three."""
    for digit in sorted(position.candidates[cell]):
        held = {**position.candidates, cell: position.candidates[cell] - {digit}}
        if can_be_exchanged(position.shape, held):
            yield frozenset(
                ((each, other), True)
                for each, here in held.items()
                for other in range(1, position.shape.size + 1)
                if other not in here
            )
