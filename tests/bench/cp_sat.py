"""CP-SAT as a prover of a puzzle: a fresh model for each, one worker, in two ways.

OR-Tools is large and serves this benchmark alone, so the extra `bench` installs it.
"""

from __future__ import annotations

from ortools.sat.python import cp_model

from engine.board.grid import Grid, format_grid
from engine.board.layout import CLASSIC
from tests.bench.proving import Prover


class _Counter(cp_model.CpSolverSolutionCallback):
    """Counts solutions, and stops at the second."""

    def __init__(self) -> None:
        super().__init__()
        self.count = 0

    def on_solution_callback(self) -> None:
        self.count += 1
        if self.count > 1:
            self.stop_search()


def _cp_sat_model(grid: Grid) -> tuple[cp_model.CpModel, list[cp_model.IntVar]]:
    model = cp_model.CpModel()
    cells = [
        model.new_constant(int(mark))
        if mark in CLASSIC.marks
        else model.new_int_var(1, CLASSIC.size, "")
        for mark in format_grid(grid)
    ]
    for house in CLASSIC.houses:
        model.add_all_different([cells[cell] for cell in house.cells])
    return model, cells


def _cp_solver() -> cp_model.CpSolver:
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    return solver


def cp_sat_prover(grid: Grid) -> Prover:
    """Solve, forbid that solution, solve again, as python-sat does."""

    def prove() -> bool:
        model, cells = _cp_sat_model(grid)
        solver = _cp_solver()
        if solver.solve(model) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return False
        model.add_forbidden_assignments(cells, [[solver.value(cell) for cell in cells]])
        return bool(_cp_solver().solve(model) == cp_model.INFEASIBLE)

    return prove


def cp_sat_enumerator(grid: Grid) -> Prover:
    """Ask for all solutions in one go, and stop at the second: the quickest way that we found."""

    def prove() -> bool:
        model, _ = _cp_sat_model(grid)
        solver = _cp_solver()
        solver.parameters.enumerate_all_solutions = True
        counter = _Counter()
        solver.solve(model, counter)
        return counter.count == 1

    return prove
