"""The puzzles that every installation starts with, read from `assets/puzzles/starting.tsv`.

Each line: givens, level, what it needs, effort. A test judges every one of them anew.
"""

from __future__ import annotations

from bot import assets
from bot.club.state import Puzzle
from engine.grid import format_grid, parse_grid
from engine.search import solve

ORIGIN = "starting stock"


def load_starting_stock() -> tuple[Puzzle, ...]:
    """Return the shipped puzzles, easiest first."""
    text = assets.path("puzzles", "starting.tsv").read_text(encoding="utf-8")
    lines = (line for line in text.splitlines() if line and not line.startswith("#"))
    return tuple(_puzzle_of(line) for line in lines)


def _puzzle_of(line: str) -> Puzzle:
    givens, level, needs, hardest, effort = line.split("\t")
    solution = solve(parse_grid(givens))
    assert solution is not None, f"no solution: {givens}"
    return Puzzle(
        id=0,
        givens=givens,
        solution=format_grid(solution),
        level=int(level),
        needs=tuple(needs.split(",")) if needs else (),
        hardest=hardest,
        effort=float(effort),
        origin=ORIGIN,
    )
