"""Judging a puzzle before a club may have it: one solution, and explained to its end.

Used wherever puzzles come in: the command line, a leader's queue, the workshop, the shipped stock.
"""

from __future__ import annotations

from dataclasses import dataclass

from bot.club.facts import Findings
from bot.club.problems import Problem
from bot.club.state import Puzzle
from engine import Grid, canonical_form, find_solutions, format_grid, grading, making, parse_grid


@dataclass(frozen=True, slots=True)
class Vetted:
    """A judged puzzle and what was found of it, or the problem with it.

    `cells`: where two solutions differ.
    """

    puzzle: Puzzle | None
    problem: Problem | None = None
    findings: Findings | None = None
    cells: tuple[str, ...] = ()


def vet_puzzle(grid: Grid, *, credit: str = "", origin: str = "") -> Vetted:
    """Judge the givens of `grid`. `credit` is whose puzzle it is, `origin` how it came in."""
    if grid.is_complete:
        return Vetted(None, Problem.COMPLETE)
    solutions = find_solutions(grid)
    if len(solutions) != 1:
        problem = Problem.MANY_SOLUTIONS if solutions else Problem.NO_SOLUTION
        return Vetted(None, problem, cells=where_they_differ(grid, solutions))
    sweeps = grading.find_sweeps(grid)
    hardest = sweeps.hardest
    if not sweeps.is_solved or hardest is None:
        return Vetted(None, Problem.TOO_HARD)
    solution, rounds = solutions[0], grading.find_rounds(grid)
    turning = tuple(turn.hardest.technique.id for turn in grading.find_turns(sweeps))
    puzzle = Puzzle(
        id=0,
        givens=format_grid(grid),
        solution=format_grid(solution),
        level=hardest.level,
        needs=tuple(technique.id for technique in grading.find_needs(sweeps)),
        hardest=hardest.id,
        effort=grading.effort_of(rounds),
        credit=credit,
        origin=origin,
        form=canonical_form(grid, solution),
        pattern=making.pattern_of(grid),
        turns=len(turning),
    )
    findings = Findings(
        givens=grid.placed.bit_count(),
        is_minimal=grading.is_minimal(grid, solution),
        minutes=grading.minutes_of(grid, rounds),
        turning=turning,
    )
    return Vetted(puzzle, findings=findings)


def form_and_pattern(puzzle: Puzzle) -> tuple[str, str]:
    """Return the canonical form and the pattern of a puzzle that was judged before."""
    grid = parse_grid(puzzle.givens)
    (solution,) = find_solutions(grid)
    return canonical_form(grid, solution), making.pattern_of(grid)


def where_they_differ(grid: Grid, solutions: tuple[Grid, ...]) -> tuple[str, ...]:
    """Return the cells in which the first two solutions differ, if there are two."""
    if len(solutions) < 2:
        return ()
    layout, (first, second) = grid.layout, map(format_grid, solutions[:2])
    return tuple(
        layout.format_cell(cell) for cell in range(layout.cell_count) if first[cell] != second[cell]
    )
