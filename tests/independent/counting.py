"""Counting solutions by two general solvers: a CNF for python-sat, a matrix for exact-cover.

The minimal CNF is that of Lynce & Ouaknine, "Sudoku as a SAT Problem" (2006): at least one digit
a cell, each digit at most once in each row, column and box. The extended one adds the reverses.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from itertools import combinations
from typing import Any

import pytest
from pysat.solvers import Solver

from tests.independent.plain import CLASSIC_SHAPE, SHAPES, Shape, cells_of, houses_of

Clause = list[int]


@cache
def variables_of(shape: Shape) -> dict[tuple[str, int], int]:
    """(cell, digit) -> SAT variable, from 1."""
    pairs = ((cell, digit) for cell in cells_of(shape) for digit in range(1, shape.size + 1))
    return {pair: number for number, pair in enumerate(pairs, start=1)}


def minimal_clauses(shape: Shape = CLASSIC_SHAPE) -> Iterator[Clause]:
    number = variables_of(shape)
    digits = range(1, shape.size + 1)
    for cell in cells_of(shape):
        yield [number[cell, digit] for digit in digits]
    for cells in houses_of(shape).values():
        for digit in digits:
            for one, other in combinations(sorted(cells), 2):
                yield [-number[one, digit], -number[other, digit]]


def extended_clauses(shape: Shape = CLASSIC_SHAPE) -> Iterator[Clause]:
    number = variables_of(shape)
    digits = range(1, shape.size + 1)
    yield from minimal_clauses(shape)
    for cell in cells_of(shape):
        for one, other in combinations(digits, 2):
            yield [-number[cell, one], -number[cell, other]]
    for cells in houses_of(shape).values():
        for digit in digits:
            yield [number[cell, digit] for cell in sorted(cells)]


class SatCounter:
    """Finds solutions with one persistent SAT solver; a puzzle is a set of assumptions."""

    def __init__(self, shape: Shape = CLASSIC_SHAPE) -> None:
        self._shape = shape
        self._number = variables_of(shape)
        self._solver = Solver(name="glucose4", bootstrap_with=list(extended_clauses(shape)))
        self._next = len(self._number) + 1

    def find(self, text: str, limit: int) -> set[str]:
        """Up to `limit` solutions of a grid's text."""
        cells = cells_of(self._shape)
        givens = [
            self._number[cell, int(mark)]
            for cell, mark in zip(cells, text, strict=True)
            if mark not in ".0"
        ]
        guard, self._next = self._next, self._next + 1
        found: set[str] = set()
        while len(found) < limit and self._solver.solve(assumptions=[*givens, guard]):
            model = [v for v in self._solver.get_model()[: len(self._number)] if v > 0]
            digits = ((v - 1) % self._shape.size + 1 for v in model)
            found.add("".join(map(str, digits)))
            self._solver.add_clause([-guard, *(-v for v in model)])
        self._solver.add_clause([-guard])
        return found


@cache
def _cover_rows(shape: Shape) -> tuple[list[tuple[str, int]], Any]:
    """Each (cell, digit) covers its cell, and the digit in each of its houses."""
    choices = list(variables_of(shape))
    houses = houses_of(shape)
    demands: dict[object, int] = {}
    for cell in cells_of(shape):
        demands[cell] = len(demands)
    for house in houses:
        for digit in range(1, shape.size + 1):
            demands[house, digit] = len(demands)
    numpy = pytest.importorskip("numpy")
    matrix = numpy.zeros((len(choices), len(demands)), dtype=numpy.int32)
    for row, (cell, digit) in enumerate(choices):
        matrix[row, demands[cell]] = 1
        for house, cells in houses.items():
            if cell in cells:
                matrix[row, demands[house, digit]] = 1
    return choices, matrix


def find_exact_covers(text: str, limit: int) -> set[str]:
    """Up to `limit` solutions of a grid's text by exact-cover, which not every Python has."""
    exact_cover = pytest.importorskip("exact_cover")
    shape = SHAPES[len(text)]
    choices, matrix = _cover_rows(shape)
    given = {
        cell: int(mark)
        for cell, mark in zip(cells_of(shape), text, strict=True)
        if mark not in ".0"
    }
    kept = [row for row, (cell, digit) in enumerate(choices) if given.get(cell, digit) == digit]
    try:
        covers = exact_cover.get_all_solutions(matrix[kept], limit)
    except exact_cover.error.NoSolution:
        return set()
    texts = set()
    for cover in covers:
        digit_in = dict(choices[kept[row]] for row in cover)
        texts.add("".join(str(digit_in[cell]) for cell in cells_of(shape)))
    return texts
