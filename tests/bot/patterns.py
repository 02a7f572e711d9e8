"""Positions of our own at which the techniques of levels 4 to 6 are found, by technique and kind.

`patterns.tsv`: technique, its variant, a grid, and where it matters the cells whose digits are no
givens; no candidates are struck, and no single is left.
They were met on the way through puzzles of our own. What is found there is the engine's affair.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from engine.board.grid import Grid, position_of
from engine.board.step import Step
from engine.solving.paths import find_steps
from engine.techniques import technique_with

FILE = Path(__file__).parent / "patterns.tsv"
MOST_STEPS = 12
"""So many steps are taken from one position at most, spread over all that there are."""


@dataclass(frozen=True)
class Pattern:
    technique: str
    variant: str
    text: str
    own: str = ""

    @property
    def grid(self) -> Grid:
        return position_of(self.text, (), own=self.own.split())

    @property
    def name(self) -> str:
        return f"{self.technique}-{self.variant}" if self.variant else self.technique

    def steps(self) -> tuple[Step, ...]:
        """Return steps of this technique and kind, the first one leading."""
        found = [
            step
            for step in find_steps(self.grid, technique_with(self.technique))
            if step.variant == self.variant
        ]
        return tuple(found[:: len(found) // MOST_STEPS + 1])


@cache
def load_patterns() -> tuple[Pattern, ...]:
    lines = FILE.read_text(encoding="utf-8").splitlines()
    return tuple(Pattern(*line.split("\t")) for line in lines)


def one_of_each() -> Iterator[Pattern]:
    """Yield the first position of each technique and kind."""
    seen = set()
    for pattern in load_patterns():
        if pattern.name not in seen:
            seen.add(pattern.name)
            yield pattern
