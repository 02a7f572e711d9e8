"""A leader's way through a puzzle: by one technique wherever that works, else hint after hint.

A step of the theme need not be the simplest there is, nor lead on at once; that is what makes it a
separate question from a hint's. What it opens comes first where there is a choice.
"""

from __future__ import annotations

from collections.abc import Sequence

from engine.board.grid import Grid
from engine.board.step import Step
from engine.solving.easiest import find_easiest_single
from engine.solving.narrowing import Narrowing
from engine.solving.openings import Openings
from engine.solving.paths import Path, apply_step, find_hint, prune_path
from engine.techniques import LADDER, Technique


def find_theme_step(
    grid: Grid, theme: Technique, narrowing: Narrowing | None = None
) -> Step | None:
    """Return the technique's step to show at a position, None where it does nothing.

    One that opens a placement by itself comes before others, then the smallest, then the first in
    the technique's own order. With a narrowing it is one that this admits.
    """
    steps = [
        step
        for step in theme.find(grid)
        if narrowing is None or narrowing.admits(grid.layout, step)
    ]
    openings = Openings(grid)
    return min(
        steps,
        key=lambda step: (openings.easiest(step) is None, step.size),
        default=None,
    )


def find_theme_hint(
    grid: Grid,
    theme: Technique,
    narrowing: Narrowing | None = None,
    *,
    ladder: Sequence[Technique] = LADDER,
) -> Step | None:
    """Return a step of the theme if it works at the position, else the hint there, if any."""
    return find_theme_step(grid, theme, narrowing) or find_hint(grid, narrowing, ladder=ladder)


def find_theme_walkthrough(
    grid: Grid, theme: Technique, *, ladder: Sequence[Technique] = LADDER
) -> Path:
    """Return a path that takes a step of the theme wherever one works and no single is there.

    Elsewhere it follows the hints. What leads nowhere is left out in the end, a step of the theme
    as well. It ends at the full grid, or where the ladder is stuck.
    """
    taken: list[Step] = []
    position = grid
    while (step := _next_step(position, theme, ladder)) is not None:
        taken.append(step)
        position = apply_step(position, step)
    return prune_path(Path(grid, tuple(taken), position))


def _next_step(grid: Grid, theme: Technique, ladder: Sequence[Technique]) -> Step | None:
    single = find_easiest_single(grid) if theme.level > 1 else None
    return single or find_theme_hint(grid, theme, ladder=ladder)
