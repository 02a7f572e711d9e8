"""The puzzles that every installation starts with, read from `assets/puzzles/starting.tsv`.

A line holds all that is known of a puzzle, so that a start judges nothing; a test judges every one
of them anew.
"""

from __future__ import annotations

from bot import assets
from bot.club.state import Puzzle

ORIGIN = "starting stock"


def load_starting_stock() -> tuple[Puzzle, ...]:
    """Return the shipped puzzles, easiest first."""
    text = assets.path("puzzles", "starting.tsv").read_text(encoding="utf-8")
    lines = (line for line in text.splitlines() if line and not line.startswith("#"))
    return tuple(_puzzle_of(line) for line in lines)


def _puzzle_of(line: str) -> Puzzle:
    givens, solution, level, needs, hardest, effort, pattern, form, turns = line.split("\t")
    return Puzzle(
        id=0,
        givens=givens,
        solution=solution,
        level=int(level),
        needs=tuple(needs.split(",")) if needs else (),
        hardest=hardest,
        effort=float(effort),
        origin=ORIGIN,
        form=form,
        pattern=pattern,
        turns=int(turns),
    )
