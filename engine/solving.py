"""From techniques to solving: next step, sweeps, the whole path, and the part of it that matters.

Everything is a function of the position alone. How the kept steps of a hint are found is in
`engine.mattering`, how sweeps work in `engine.sweeping`.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from engine.grid import Grid
from engine.mattering import Narrowing, find_kept_steps
from engine.step import Step, support_mask
from engine.sweeping import apply_steps, find_stages
from engine.techniques import LADDER, Technique, technique_with

__all__ = [
    "Narrowing",
    "Path",
    "apply_step",
    "find_all_steps",
    "find_hint",
    "find_hint_path",
    "find_path",
    "find_steps",
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

    Its premises must hold as well: where it rests on "at least one", nothing may be left, open or
    placed, outside its pattern, and no cell that it settles may hold another digit. That can fail
    on a board that was changed back or holds a slip.
    """
    layout = grid.layout
    if (grid.candidates | grid.placed) & support_mask(layout, step) & ~step.pattern:
        return False
    places = cells = 0
    for cell, digit in step.places:
        places |= layout.bit(cell, digit)
        cells |= layout.cell_bits[cell]
    if grid.placed & cells & ~places:
        return False
    return bool(grid.candidates & (step.removes | places))


def find_steps(grid: Grid, technique: Technique) -> tuple[Step, ...]:
    """Return all instances of one technique at the position, in the ladder's fixed order."""
    return tuple(technique.find(grid))


def find_all_steps(grid: Grid, ladder: Sequence[Technique] = LADDER) -> tuple[Step, ...]:
    """Return all instances of every technique of the ladder at the position."""
    return tuple(step for technique in ladder for step in technique.find(grid))


def find_hint(grid: Grid, narrowing: Narrowing | None = None) -> Step | None:
    """Return the step to nudge a member towards, or None where the ladder is stuck.

    An available single wins. Otherwise, of the placements reachable at the lowest level, take the
    one with the fewest kept steps (ties by ladder, then cell), and return its first kept step.
    With a narrowing the step must meet that house (a cell of its pattern, or one that it changes)
    and be about that digit (one of its pattern, or one that it strikes); None if none does.
    """
    kept = find_kept_steps(grid, narrowing)
    if not kept:
        return None
    return _refound(grid, kept[0])


def find_hint_path(grid: Grid, narrowing: Narrowing | None = None) -> tuple[Step, ...]:
    """Return all that the hint leads to: the kept steps, then the placement; empty where stuck.

    Each step is as it stands at the position after those before it.
    """
    kept = find_kept_steps(grid, narrowing)
    found: list[Step] = []
    for step in kept:
        found.append(_refound(grid, step))
        grid = apply_step(grid, found[-1])
    return tuple(found)


def find_path(grid: Grid) -> Path:
    """Return the path by sweeps from the position to the end, or to where the ladder is stuck.

    Inside a sweep the steps follow the ladder's fixed order, and one that no longer does anything
    after those before it is left out. Grading counts by the sweep, so its counts can be larger.
    """
    shown: list[Step] = []
    position = grid
    for stage in find_stages(grid, LADDER):
        position = stage.position
        for step in stage.steps:
            while _does_something(position, step):
                fitted = _fitted(position, step)
                shown.append(fitted)
                position = apply_step(position, fitted)
                if step.removes:
                    break
        position = stage.outcome
    return Path(grid, tuple(shown), position)


def prune_path(path: Path) -> Path:
    """Return the path without the eliminations that nothing later in it rests on.

    Every placement is kept. Going back from the end, an elimination stays if a step already kept
    needs one of the candidates that it strikes to be absent, where no digit placed strikes it.
    """
    layout = path.start.layout
    before = list(_positions(path.start, path.steps))
    needed, kept = 0, []
    for position, step in zip(reversed(before), reversed(path.steps), strict=True):
        struck = position.candidates & step.removes
        if step.places or struck & needed:
            kept.append(step)
            needed = needed & ~struck | support_mask(layout, step) & position.removed_mask
    position, shown = path.start, []
    for step in reversed(kept):
        shown.append(step if step.places else _refound(position, step))
        position = apply_step(position, shown[-1])
    return Path(path.start, tuple(shown), position)


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
    if not (step.removes | step.pattern) & ~grid.candidates:
        return step
    bit = grid.layout.bit
    left = tuple(place for place in step.places if grid.candidates & bit(*place))
    if left == step.places:
        return _refound(grid, step)
    singles = (found for found in find_all_steps(grid) if len(found.places) == 1)
    rest = replace(step, places=left)  # on a board with a mistake there need not be a single
    return next((found for found in singles if found.places[0] in left), rest)


def _refound(grid: Grid, step: Step) -> Step:
    """Return the same instance as it stands at this position.

    Where it is no instance any more (another step has reduced its pattern to something simpler)
    the reasoning still holds, and what it no longer strikes is left out.
    """
    for found in technique_with(step.technique).find(grid):
        if found.key == step.key:
            return found
    return replace(step, removes=step.removes & grid.candidates)
