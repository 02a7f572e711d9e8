"""Minimal puzzles for benchmarks, always the same, and python-sat as a prover of one."""

from __future__ import annotations

from collections.abc import Callable
from random import Random

from pysat.solvers import Solver

from engine.board.grid import Grid
from engine.board.layout import CLASSIC, iterate_bits
from engine.making.puzzles import minimal_puzzle
from tests.bench import seconds_of

SEED = 20260105
SAT_SOLVER = "cadical153"
"""Of python-sat's solvers the fastest at this that we found."""

Prover = Callable[[], bool]
"""Says whether there is exactly one solution. All that may be prepared is prepared."""


def minimal_puzzles(count: int, seed: int = SEED) -> list[Grid]:
    """Return random minimal puzzles, always the same for a seed."""
    random = Random(seed)
    return [minimal_puzzle(random) for _ in range(count)]


def time_prover(prove: Prover) -> float:
    verdicts: list[bool] = []
    seconds = seconds_of(lambda: verdicts.append(prove()))
    if verdicts != [True]:
        raise AssertionError("a minimal puzzle was found to have not exactly one solution")
    return seconds


class SatReference:
    """One persistent solver. A first model is blocked under a fresh guard, then asked again."""

    def __init__(self) -> None:
        self._solver = Solver(SAT_SOLVER)
        groups = [list(iterate_bits(CLASSIC.cell_bits[cell])) for cell in range(CLASSIC.cell_count)]
        for house in CLASSIC.houses:
            for digit in CLASSIC.digits:
                groups.append(list(iterate_bits(CLASSIC.spread(house.mask, digit))))
        for group in groups:
            self._solver.add_clause([index + 1 for index in group])
            for place, one in enumerate(group):
                for other in group[place + 1 :]:
                    self._solver.add_clause([-one - 1, -other - 1])
        self._variables = CLASSIC.all_candidates.bit_length()
        self._guard = self._variables

    def prover(self, grid: Grid) -> Prover:
        givens = [index + 1 for index in iterate_bits(grid.placed)]

        def prove() -> bool:
            solver = self._solver
            if not solver.solve(assumptions=givens):
                return False
            model = [literal for literal in solver.get_model()[: self._variables] if literal > 0]
            self._guard += 1
            solver.add_clause([-self._guard, *(-literal for literal in model)])
            return not solver.solve(assumptions=[*givens, self._guard])

        return prove
