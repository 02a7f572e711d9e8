"""Positions and puzzles of our own for the laws, stored so that no law depends on luck.

`positions.tsv`: technique, digits, solution, struck candidates (in the form of `--removed`), and
where it matters the cells whose digits are no givens. At each position the technique is the first
of the ladder that does anything. Where random puzzles
do not bring one up, false candidates were struck on the way until one came up, or for levels 1 to
3 the position was built around it from a few digits of a full grid. Such a position of levels 1 to
3 need not have just one solution; the one stored satisfies it, so that no sound step can strike
its digits. From level 4 on most come from puzzles with one solution; the jellyfish
positions, and some of colouring and X-chains, are built from few digits and may have several.
Avoidable rectangles are so rare on the way that two or three right digits were written first.

`puzzles.tsv`: puzzle, solution, the hardest technique that sweeps need. One solution each.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path

from engine.board.grid import Grid, position_of
from engine.board.step import Step
from engine.techniques import technique_with
from tests.independent.plain import Candidate, CellName, Plain, read_position, true_candidates

FOLDER = Path(__file__).parent
SHARED_PUZZLES = FOLDER.parents[2] / "shared" / "data" / "themed-puzzles.tsv"
"""Several hundred puzzles by theme, beside the checkout; only long runs read it, if it is there."""

NEVER_FIRST = ("remote-pair",)
"""What these strike is seen by something lower on the ladder too: at their positions something
lower does something as well. Two cells of a remote pair in a house are a naked pair, and once that
has done its work they are linked for both digits, which two-link patterns and colouring see.
"""


@dataclass(frozen=True)
class Sample:
    """A position at which `technique` is the first that does anything."""

    technique: str
    text: str
    solution: str
    removed: tuple[Candidate, ...]
    own: tuple[CellName, ...] = ()

    @cached_property
    def plain(self) -> Plain:
        return read_position(self.text, self.removed, own=self.own)

    @cached_property
    def grid(self) -> Grid:
        return position_of(self.text, self.removed, own=self.own)

    @cached_property
    def truth(self) -> frozenset[Candidate]:
        return true_candidates(self.solution)


@dataclass(frozen=True)
class Puzzle:
    text: str
    solution: str
    hardest: str


def _read_removed(text: str) -> tuple[Candidate, ...]:
    """Read `r1c2 3, r1c4 1 5`."""
    struck = []
    for part in filter(None, text.split(", ")):
        cell, *digits = part.split(" ")
        struck += [(cell, int(digit)) for digit in digits]
    return tuple(struck)


@cache
def load_samples() -> tuple[Sample, ...]:
    lines = (FOLDER / "positions.tsv").read_text(encoding="utf-8").splitlines()
    fields = (line.split("\t") for line in lines)
    return tuple(
        Sample(technique, text, solution, _read_removed(removed), tuple(" ".join(own).split()))
        for technique, text, solution, removed, *own in fields
    )


@cache
def samples_by_technique() -> Mapping[str, tuple[Sample, ...]]:
    grouped: dict[str, tuple[Sample, ...]] = {}
    for sample in load_samples():
        grouped[sample.technique] = (*grouped.get(sample.technique, ()), sample)
    return grouped


@cache
def steps_at(sample: Sample, technique: str) -> tuple[Step, ...]:
    """Every step of a technique at a sample, found once a run."""
    return tuple(technique_with(technique).find(sample.grid))


@cache
def load_puzzles() -> tuple[Puzzle, ...]:
    lines = (FOLDER / "puzzles.tsv").read_text(encoding="utf-8").splitlines()
    return tuple(Puzzle(*line.split("\t")) for line in lines)
