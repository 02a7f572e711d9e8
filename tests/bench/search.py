"""Proving that a puzzle has one solution, against general-purpose references.

Every reference gets the same 200 minimal puzzles, and must come to the same verdict. All are set
up as well as we know: python-sat keeps one solver with the extended CNF and gets the givens as
assumptions; exact-cover gets its matrix already reduced to the candidates left; CP-SAT builds a
fresh model for each puzzle, with one worker, in two ways. Reading the text is outside the time of
all but CP-SAT. In each round the solvers take turns at a batch of puzzles: by itself, as a program
would that uses just that one, yet close together, so that a busy moment hits all alike. For each
puzzle the best round counts. The persistent solver is a new one each round, since it learns from a
puzzle and would be unfairly quick at it again.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np
from exact_cover import get_solution_count

from engine.board.grid import Grid
from engine.board.layout import CLASSIC, iterate_bits
from engine.search.exact import count_solutions
from tests.bench import Figure, median
from tests.bench.cp_sat import cp_sat_enumerator, cp_sat_prover
from tests.bench.proving import Prover, SatReference, minimal_puzzles, time_prover

PUZZLES = 200
ROUNDS = 5
BATCH = 25


def find_figures() -> Iterator[Figure]:
    puzzles = minimal_puzzles(PUZZLES)
    best: dict[str, list[float]] = {}
    for _ in range(ROUNDS):
        provers: dict[str, Callable[[Grid], Prover]] = {
            "ours": lambda grid: lambda: count_solutions(grid) == 1,
            "python-sat": SatReference().prover,
            "exact-cover": exact_cover_prover,
            "CP-SAT, solved twice": cp_sat_prover,
            "CP-SAT, enumerating": cp_sat_enumerator,
        }
        times: dict[str, list[float]] = {name: [] for name in provers}
        for start in range(0, PUZZLES, BATCH):
            for name, prover in provers.items():
                ready = [prover(grid) for grid in puzzles[start : start + BATCH]]
                times[name] += [time_prover(prove) for prove in ready]
        for name in provers:
            best[name] = list(map(min, times[name], best.get(name, times[name])))
    own = best["ours"]
    yield Figure("ours, median", median(own) * 1e3, "ms")
    yield Figure("ours, mean", sum(own) / len(own) * 1e3, "ms")
    aims = {
        "python-sat": 1.0,
        "exact-cover": 4.0,
        "CP-SAT, solved twice": 30.0,
        "CP-SAT, enumerating": 30.0,
    }
    for name, least in aims.items():
        ratio = median(best[name]) / median(own)
        yield Figure(f"{name}, median, times ours", ratio, "x", f">= {least:g}", ratio >= least)


def _candidate_indices(grid: Grid) -> list[int]:
    return list(iterate_bits(grid.candidates | grid.placed))


def exact_cover_prover(grid: Grid) -> Prover:
    demands = [CLASSIC.cell_bits[cell] for cell in range(CLASSIC.cell_count)]
    demands += [
        CLASSIC.spread(house.mask, digit) for house in CLASSIC.houses for digit in CLASSIC.digits
    ]
    matrix = np.array(
        [[demand >> index & 1 for demand in demands] for index in _candidate_indices(grid)],
        dtype=np.int32,
    )
    return lambda: get_solution_count(matrix) == 1
