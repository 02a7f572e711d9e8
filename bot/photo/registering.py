"""Which of some puzzles a grid is, and how it is turned, by the givens that it should show.

A grid shows a puzzle where most of its givens are read where they should stand, in one of the four
ways to turn it. Where no puzzle is known, the turn in which the most reads well is taken.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bot.photo.network import BLANK, MARKS, STRUCK, Chances
from engine import Grid, format_grid

LEAST_AGREEMENT = 0.6
"""Own givens agree in 77 of 100 at least, another puzzle's in 32 at most, a study found."""

LEAST_DIGITS = 9  # not a size
"""A grid without a known puzzle shows at least so many digits that read well."""

_WELL = 0.85
"""A digit reads well that is so likely."""

LEAST_WELL = 0.6
"""Of the cells with something in them, at least such a share reads well where a grid is upright."""


@dataclass(frozen=True, slots=True)
class Registered:
    """A grid turned upright: by `turns` quarters, clockwise, it lay turned in its picture."""

    turns: int
    chances: Chances
    puzzle: str | None = None
    agreement: float = 0.0


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


def shows_digits(chances: Chances) -> bool:
    """Say whether a reading shows as many digits, and as sure ones, as a puzzle would."""
    kinds, likely = chances.argmax(axis=1), chances.max(axis=1)
    digits = (kinds > BLANK) & (kinds < MARKS)
    well = int((likely[digits] > _WELL).sum())
    return well >= LEAST_DIGITS and well >= LEAST_WELL * int((kinds != BLANK).sum())
