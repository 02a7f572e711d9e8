"""Which of some puzzles a grid is, and how it is turned, by the givens that it should show.

A grid shows a puzzle where most of its givens are read where they should stand, in one of the four
ways to turn it. Where no puzzle is known, the turn in which the most reads well is taken.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bot.photo.doubts import peers_of
from bot.photo.network import BLANK, MARKS, STRUCK, Chances
from engine import CLASSIC, Grid, format_grid, layout_with

LEAST_AGREEMENT = 0.6
"""Own givens agree in 77 of 100 at least, another puzzle's in 32 at most, a study found."""

LEAST_OF_FEW = 0.75
"""A grid smaller than the classic one has about ten givens, of which chance agrees with six."""

LEAST_DIGITS = 9  # not a size
"""A grid without a known puzzle shows at least so many digits that read well."""

_WELL = 0.85
"""A digit reads well that is so likely."""

LEAST_WELL = 0.6
"""Of the cells with something in them, at least such a share reads well where a grid is upright."""


MOST_TWICE = 0.5
"""Of the clashes that digits by chance would have, a puzzle has at most such a share."""


@dataclass(frozen=True, slots=True)
class Registered:
    """A grid turned upright: by `turns` quarters, clockwise, it lay turned in its picture."""

    turns: int
    chances: Chances
    puzzle: str | None = None
    agreement: float = 0.0

    @property
    def is_known(self) -> bool:
        """Whether it agrees with its puzzle by more than chance would."""
        is_small = len(self.chances) < CLASSIC.cell_count
        return self.agreement >= (LEAST_OF_FEW if is_small else LEAST_AGREEMENT)


def register(chances: Chances, turns: int, puzzles: Mapping[str, Grid]) -> Registered | None:
    """Return which puzzle a reading in one turn agrees with best; None where none has its size."""
    found = [
        Registered(turns, chances, name, find_agreement(chances, givens_of(puzzle)))
        for name, puzzle in puzzles.items()
        if puzzle.layout.cell_count == len(chances)
    ]
    return max(found, key=lambda each: each.agreement, default=None)


def givens_of(puzzle: Grid) -> NDArray[np.intp]:
    """Return each cell's given, 0 where there is none."""
    return np.array([int(mark) if mark != "." else 0 for mark in format_grid(puzzle)], np.intp)


def find_agreement(chances: Chances, givens: NDArray[np.intp]) -> float:
    """Return which share of the givens is read where it should stand."""
    cells = np.flatnonzero(givens)
    return float((chances[cells].argmax(axis=1) == givens[cells]).mean()) if len(cells) else 0.0


def find_upright(turned: list[Chances]) -> Registered:
    """Return the turn in which digits read best."""
    turns = int(np.argmax([_legibility(chances) for chances in turned]))
    return Registered(turns, turned[turns])


def _legibility(chances: Chances) -> float:
    """Return how well the digits of a reading read."""
    digits = chances[:, 1:MARKS]
    written = (1 - chances[:, BLANK] - chances[:, MARKS] - chances[:, STRUCK]).clip(0)
    best = digits.max(axis=1)
    return float((best * written).sum() / (written.sum() + 1))


def shows_puzzle(chances: Chances) -> bool:
    """Say whether a reading shows as many digits, and as sure ones, as a puzzle would, and few that
    a house has twice. A member's mistakes clash now and then, in a table of sums all digits do."""
    layout = layout_with(len(chances))
    kinds, likely = chances.argmax(axis=1), chances.max(axis=1)
    reads_well = (kinds > BLANK) & (kinds <= layout.size) & (likely > _WELL)
    well = int(reads_well.sum())
    if well < LEAST_DIGITS or well < LEAST_WELL * int((kinds != BLANK).sum()):
        return False
    pairs = peers_of(layout)[np.ix_(reads_well, reads_well)]
    twice = pairs * (kinds[reads_well][:, None] == kinds[reads_well])
    return bool(twice.sum() <= MOST_TWICE * pairs.sum() / layout.size)
