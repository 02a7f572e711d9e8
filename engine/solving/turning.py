"""Where a puzzle turns: where nothing below a level works, and something leads on to a placement.

Read off the sweeps, like all that a puzzle is judged by; sweeps between which nothing is placed are
one turning point, at the first of them. What leads on is what opens a placement by itself, and,
where nothing that the sweeps use up to the placement does, the few steps that a hint begins with.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from engine.board.grid import Grid
from engine.board.step import Step
from engine.solving.elimination_search import PlacementPlan
from engine.solving.hint_search import find_kept_steps, placement_after
from engine.solving.openings import Openings
from engine.solving.paths import find_all_steps
from engine.solving.sweeping import Stage, Sweeps
from engine.techniques import RANKS, Technique

__all__ = ["Turn", "TurningPoint", "find_turning_points", "find_turns"]


@dataclass(frozen=True, slots=True)
class TurningPoint:
    """A position at which nothing below `level` works, and from which something leads on.

    - `steps`: every step that the ladder has there, in its order.
    - `ways`: what leads on, the easiest first: a step with the placement that it opens, or several
      with the placement that they open together. None goes beyond the puzzle's level.
    """

    position: Grid
    level: int
    steps: tuple[Step, ...]
    ways: tuple[tuple[Step, ...], ...]

    @property
    def level_on(self) -> int:
        """The lowest level that leads on, at least `level`."""
        return min(max(step.level for step in way) for way in self.ways)


@dataclass(frozen=True, slots=True)
class Turn:
    """Sweeps between which nothing is placed, from where no single works up to a placement."""

    first: Stage
    hardest: Stage


def find_turns(sweeps: Sweeps) -> Iterator[Turn]:
    """Yield the turns of a puzzle. Sweeps that end without a placement are none."""
    run: list[Stage] = []
    for stage in sweeps.stages:
        if stage.technique.level > 1:
            run.append(stage)
        if run and any(step.places for step in stage.steps):
            yield Turn(run[0], max(run, key=lambda each: RANKS[each.technique.id]))
            run = []


def find_turning_points(sweeps: Sweeps) -> tuple[TurningPoint, ...]:
    """Return where the sweeps turn, with what their ladder has there."""
    if sweeps.hardest is None:
        return ()
    top = RANKS[sweeps.hardest.id]
    up_to = [each for each in sweeps.ladder if RANKS[each.id] <= top]
    return tuple(_turning_point(turn, sweeps.ladder, up_to) for turn in find_turns(sweeps))


def _turning_point(
    turn: Turn, ladder: Sequence[Technique], up_to: Sequence[Technique]
) -> TurningPoint:
    position = turn.first.position
    steps, openings = find_all_steps(position, ladder), Openings(position)
    ways: list[tuple[Step, ...]] = []
    for step in steps:
        if step.level <= up_to[-1].level and (opening := openings.easiest(step)) is not None:
            alone = PlacementPlan((step,), opening)
            ways.append((step,) if step.places else (step, placement_after(position, alone)))
    if not any(way[0].level <= turn.hardest.technique.level for way in ways):
        ways.append(find_kept_steps(position, ladder=up_to))
    ways.sort(key=lambda way: max(RANKS[step.technique] for step in way))
    return TurningPoint(position, turn.first.technique.level, steps, tuple(ways))
