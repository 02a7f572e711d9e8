"""The hint at a position, what it leads to, and the path of somebody who follows hint after hint.

With a theme it is a leader's way: a step of that technique wherever it works. Such a step need not
be the simplest there is, nor lead on at once; that is what makes it a separate question. What it
opens comes first where there is a choice.
"""

from __future__ import annotations

from collections.abc import Sequence

from engine.board.grid import Grid, as_grid
from engine.board.step import Step
from engine.solving.easiest import find_easiest_single
from engine.solving.hint_search import find_first_kept_step
from engine.solving.narrowing import Narrowing
from engine.solving.openings import Openings
from engine.solving.paths import Path, apply_step, prune_path
from engine.techniques import LADDER, Technique, as_technique


def find_hint(
    grid: Grid | str,
    narrowing: Narrowing | None = None,
    *,
    theme: Technique | str | None = None,
    ladder: Sequence[Technique] = LADDER,
) -> Step | None:
    """Return the step to nudge a member towards, or None where the ladder is stuck.

    An available single wins. Otherwise, of the placements reachable at the lowest level, take the
    one with the fewest kept steps (ties by ladder, then cell), and return its first kept step.
    With a narrowing the step must meet that house (a cell of its pattern, or one that it changes)
    and be about that digit (one of its pattern, or one that it strikes); None if none does.
    With a theme it is a step of that technique where one works, and only else the hint.

    >>> from engine import find_hint
    >>> grid = "23..7.....8..56.215....8.7.....14.....75.34.....68.....2.1....965.83..1.....4..86"
    >>> find_hint(grid).technique
    'hidden-single'
    >>> find_hint(grid, theme="naked-pair").technique
    'naked-pair'
    """
    grid = as_grid(grid)
    step = None if theme is None else find_theme_step(grid, as_technique(theme), narrowing)
    return step or find_first_kept_step(grid, narrowing, ladder)


def find_walkthrough(
    grid: Grid | str,
    *,
    theme: Technique | str | None = None,
    ladder: Sequence[Technique] = LADDER,
) -> Path:
    """Return the path of somebody who follows hint after hint, without what that leaves spare.

    With a theme it takes a step of that technique wherever one works and no single is there. What
    leads nowhere is left out in the end, a step of the theme as well. It ends where there is no
    hint: at the full grid, or where the ladder is stuck.

    >>> from engine import find_walkthrough
    >>> path = find_walkthrough("1... ..3. .4.. ...2")
    >>> path.is_solved, len(path.steps)
    (True, 12)
    """
    start = position = as_grid(grid)
    themed = None if theme is None else as_technique(theme)
    taken: list[Step] = []
    while (step := _find_next(position, themed, ladder)) is not None:
        taken.append(step)
        position = apply_step(position, step)
    return prune_path(Path(start, tuple(taken), position))


def _find_next(grid: Grid, theme: Technique | None, ladder: Sequence[Technique]) -> Step | None:
    single = find_easiest_single(grid) if theme is not None and theme.level > 1 else None
    return single or find_hint(grid, theme=theme, ladder=ladder)


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
