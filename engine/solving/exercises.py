"""What makes a position an exercise in a technique: what it does there, nothing easier does.

A position has an exercise in a technique as soon as one instance is its own: nothing lower on the
ladder settles or strikes any of what follows from it, not even by what a digit placed would strike.
"""

from __future__ import annotations

from engine.board.applying import apply_steps
from engine.board.grid import Grid, as_grid
from engine.board.step import Step
from engine.solving.sweeping import finds_at
from engine.techniques import LADDER, RANKS, Technique, as_technique


def find_own_steps(grid: Grid | str, technique: Technique | str) -> tuple[Step, ...]:
    """Return the instances of a technique that nothing lower on the ladder gives away.

    >>> from engine import find_own_steps, find_steps
    >>> grid = "12.. 3... 2143 4321"
    >>> len(find_steps(grid, "naked-single")), len(find_own_steps(grid, "naked-single"))
    (4, 0)
    """
    grid, technique = as_grid(grid), as_technique(technique)
    instances = tuple(finds_at(grid, technique))
    if not instances:
        return ()
    lower = LADDER[: RANKS[technique.id]]
    given = [step for each in lower for step in finds_at(grid, each)]
    gone = grid.candidates & ~apply_steps(grid, given).candidates
    return tuple(step for step in instances if not _conclusions(grid, step) & gone)


def _conclusions(grid: Grid, step: Step) -> int:
    return step.removes | sum(grid.layout.bit(*place) for place in step.places)
