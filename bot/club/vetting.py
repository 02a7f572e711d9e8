"""Judging a puzzle before a club may have it: one solution, and explained to its end.

Used wherever puzzles come in: the command line, a leader's queue, the shipped stock.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from bot.club.state import Puzzle
from engine.canonical import canonical_form, pattern_of
from engine.grading import rate
from engine.grid import Grid, format_grid, parse_grid

Problem = Literal["", "no-solution", "many-solutions", "complete", "too-hard"]


@dataclass(frozen=True, slots=True)
class Vetted:
    """A judged puzzle, or the problem with it. `too-hard`: the ladder is stuck before the end."""

    puzzle: Puzzle | None
    problem: Problem = ""


def vet_puzzle(grid: Grid, *, credit: str = "", origin: str = "") -> Vetted:
    """Judge the givens of `grid`. `credit` is whose puzzle it is, `origin` how it came in."""
    if grid.is_complete:
        return Vetted(None, "complete")
    rating = rate(grid, with_turning_points=False)
    if rating.solutions != 1 or rating.solution is None:
        return Vetted(None, "many-solutions" if rating.solutions else "no-solution")
    if rating.level is None:
        return Vetted(None, "too-hard")
    return Vetted(
        Puzzle(
            id=0,
            givens=format_grid(grid),
            solution=rating.solution,
            level=rating.level,
            needs=rating.needs,
            hardest=rating.hardest or "",
            effort=rating.effort or 0.0,
            credit=credit,
            origin=origin,
            form=canonical_form(grid, parse_grid(rating.solution, layout=grid.layout)),
            pattern=pattern_of(grid),
        )
    )
