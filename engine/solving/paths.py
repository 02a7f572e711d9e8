"""From techniques to solving: next step, sweeps, the whole path, and the part of it that matters.

Everything is a function of the position alone. How the kept steps of a hint are found is in
`engine.solving.hint_search`, how sweeps work in `engine.solving.sweeping`.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from engine.board.applying import apply_steps
from engine.board.grid import Grid
from engine.board.layout import Layout
from engine.board.step import PLAIN_LEVEL, Step, support_mask
from engine.inference.minimal_evidence import with_what_stands
from engine.limits import LOOK, count_work
from engine.solving.easiest import SINGLES
from engine.solving.hint_search import find_first_kept_step, find_kept_steps
from engine.solving.narrowing import Narrowing
from engine.solving.relocate_step import refound
from engine.solving.sweeping import find_stage
from engine.techniques import LADDER, Technique
from engine.techniques.entailment import follows, reach_mask, without_spare_steps
from engine.techniques.tracing import told_trace

__all__ = [
    "Narrowing",
    "Path",
    "apply_step",
    "find_all_steps",
    "find_hint",
    "find_hint_path",
    "find_path",
    "find_steps",
    "find_walkthrough",
    "prune_path",
    "still_applies",
]


@dataclass(frozen=True, slots=True)
class Path:
    """Steps in the order in which a person takes them, and where they end."""

    start: Grid
    steps: tuple[Step, ...]
    end: Grid

    @property
    def is_solved(self) -> bool:
        return self.end.is_complete


def apply_step(grid: Grid, step: Step) -> Grid:
    """Return the position after the step's placements and eliminations."""
    return apply_steps(grid, (step,))


def still_applies(grid: Grid, step: Step) -> bool:
    """Say whether the step, found at an earlier position of the same puzzle, still does something.

    It must follow as well, and no cell that it settles may hold another digit. That can fail on a
    board that was changed back or holds a slip.
    """
    layout = grid.layout
    places = cells = 0
    for cell, digit in step.places:
        places |= layout.bit(cell, digit)
        cells |= layout.cell_bits[cell]
    if grid.placed & cells & ~places:
        return False
    return bool(grid.candidates & (step.removes | places)) and follows(grid, step)


def find_steps(grid: Grid, technique: Technique) -> tuple[Step, ...]:
    """Return all instances of one technique at the position, in the ladder's fixed order."""
    return tuple(technique.find(grid))


def find_all_steps(grid: Grid, ladder: Sequence[Technique] = LADDER) -> tuple[Step, ...]:
    """Return all instances of every technique of the ladder at the position.

    Forcing chains count only where nothing else is found, and the last resort only where not even
    these are: `find_steps` finds them anywhere.
    """
    for resort in sorted({technique.resort for technique in ladder}):
        found: list[Step] = []
        for technique in ladder:
            if technique.resort == resort:
                count_work(LOOK)
                found.extend(technique.find(grid))
        if found:
            return tuple(found)
    return ()


def find_hint(
    grid: Grid, narrowing: Narrowing | None = None, *, ladder: Sequence[Technique] = LADDER
) -> Step | None:
    """Return the step to nudge a member towards, or None where the ladder is stuck.

    An available single wins. Otherwise, of the placements reachable at the lowest level, take the
    one with the fewest kept steps (ties by ladder, then cell), and return its first kept step.
    With a narrowing the step must meet that house (a cell of its pattern, or one that it changes)
    and be about that digit (one of its pattern, or one that it strikes); None if none does.
    """
    return find_first_kept_step(grid, narrowing, ladder)


def find_hint_path(
    grid: Grid, narrowing: Narrowing | None = None, *, ladder: Sequence[Technique] = LADDER
) -> tuple[Step, ...]:
    """Return all that the hint leads to: the kept steps, then the placement; empty where stuck.

    Each step is as it stands at the position after those before it. Where a placement is too far
    off it is the hint alone (see `find_kept_steps`).
    """
    return find_kept_steps(grid, narrowing, ladder)


def find_path(grid: Grid, *, ladder: Sequence[Technique] = LADDER) -> Path:
    """Return the path by sweeps from the position to the end, or to where the ladder is stuck.

    Inside a sweep the steps follow the ladder's fixed order, and one that no longer does anything
    after those before it is left out. Grading counts by the sweep, so its counts can be larger. Of
    steps above the plain levels only those are shown that none before them has broken; what
    the others would strike is found anew, and more simply if it can be.
    """
    shown: list[Step] = []
    position = grid
    while not position.is_complete:
        stage = find_stage(position, ladder)
        if stage is None:
            break
        for step in stage.steps:
            if step.level > PLAIN_LEVEL and not _is_whole(position, step):
                continue
            while _does_something(position, step):
                fitted = _fitted(position, step)
                shown.append(fitted)
                position = apply_step(position, fitted)
                if step.removes:
                    break
    return Path(grid, tuple(shown), position)


def find_walkthrough(grid: Grid, *, ladder: Sequence[Technique] = LADDER) -> Path:
    """Return the path of somebody who follows hint after hint, without what that leaves spare.

    It ends where there is no hint: at the full grid, or where the ladder is stuck.
    """
    taken: list[Step] = []
    position = grid
    while (hint := find_hint(position, ladder=ladder)) is not None:
        taken.append(hint)
        position = apply_step(position, hint)
    return prune_path(Path(grid, tuple(taken), position))


def _is_whole(grid: Grid, step: Step) -> bool:
    """Say whether all that the step or a line of it names is still a candidate."""
    return not step.pattern & ~grid.candidates and all(_is_whole(grid, line) for line in step.trace)


def prune_path(path: Path) -> Path:
    """Return the path without the eliminations that nothing later in it rests on.

    Every placement is kept. A step stands as it is found where only what is kept was struck; where
    it strikes more there, another can become spare, and goes as well.
    """
    steps = _without_unasked_steps(path)
    while True:
        fewer = without_spare_steps(path.start, steps)
        position, shown = path.start, []
        for step in fewer:
            shown.append(step if step.places else refound(position, step))
            position = apply_step(position, shown[-1])
        if len(fewer) == len(steps) and tuple(shown) == tuple(steps):
            return Path(path.start, tuple(shown), position)
        steps = shown


def _without_unasked_steps(path: Path) -> Sequence[Step]:
    """Return the path's steps without the eliminations for which no later one can ask.

    Going back from the end, an elimination stays if a step already kept may rest on one of the
    candidates that it strikes, where no digit placed strikes it. Which of them it does rest on is
    told apart by `without_spare_steps`; this leaves it less to look at.
    """
    layout = path.start.layout
    before = list(_positions(path.start, path.steps))
    needed, kept = 0, []
    for position, step in zip(reversed(before), reversed(path.steps), strict=True):
        struck = position.candidates & step.removes
        if step.places or struck & needed:
            kept.append(step)
            rests = _may_rest_on(layout, step)
            needed = needed & ~struck | rests & position.removed_mask
    return kept[::-1]


def _may_rest_on(layout: Layout, step: Step) -> int:
    if step.trace or step.is_by_uniqueness:
        return layout.all_candidates
    return (support_mask if step.level <= PLAIN_LEVEL else reach_mask)(layout, step)


def _positions(grid: Grid, steps: Iterable[Step]) -> Iterable[Grid]:
    for step in steps:
        yield grid
        grid = apply_step(grid, step)


def _does_something(grid: Grid, step: Step) -> bool:
    layout = grid.layout
    return bool(grid.candidates & step.removes) or any(
        grid.candidates & layout.bit(cell, digit) for cell, digit in step.places
    )


def _fitted(grid: Grid, step: Step) -> Step:
    """Return the step as it stands after others of its sweep have struck some of its candidates.

    Of a step that settles several cells, some already filled, return a single for one of the rest.
    """
    if step.trace:
        return told_trace(grid, step)
    if not (step.removes | step.pattern) & ~grid.candidates:
        return step
    if step.chains:
        return with_what_stands(grid, step)
    bit = grid.layout.bit
    left = tuple(place for place in step.places if grid.candidates & bit(*place))
    if left == step.places:
        return refound(grid, step)
    singles = (found for found in find_all_steps(grid, SINGLES) if len(found.places) == 1)
    rest = replace(step, places=left)  # on a board with a mistake there need not be a single
    return next((found for found in singles if found.places[0] in left), rest)
