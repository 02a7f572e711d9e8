"""Effort: how hard a puzzle is to do by hand, as a number and as an estimate in minutes.

The model follows the two factors that Pelanek found to predict how long people take (Radek
Pelanek, Difficulty Rating of Sudoku Puzzles: An Overview and Evaluation, arXiv:1403.7373; from
memory): how complex the single steps are, and how they depend on each other, that is, how few ways
on there are at each stage. The source gives the two factors; the weights are our own judgement,
and no solve times were measured for them.

Both are read off the sweeps, so that neither depends on the order in which things are found. Of
placements that are there at once each has to be found: with n of them left the next costs a
weight's nth part. Of eliminations that are there at once one is enough to go on: a weight, and as
much again where there is no second.
"""

from __future__ import annotations

from collections.abc import Sequence

from engine.grid import Grid
from engine.sweeping import Stage

LEVEL_WEIGHTS = (1.0, 3.0, 6.0, 12.0, 24.0, 48.0)
"""What it costs to find the only way on, for levels 1 to 6, in units of a lone single."""

SECONDS_OF_WRITING = 4
"""To write one digit, and to note what it strikes."""

SECONDS_OF_EFFORT = 15
"""To find a single that is the only one."""


def effort_of(stages: Sequence[Stage]) -> float:
    """Return the sum over all sweeps, rounded to a tenth."""
    return round(sum(map(_cost, stages)), 1)


def minutes_of(start: Grid, stages: Sequence[Stage]) -> int:
    """Return about how long a practised club member takes from `start`, one minute at least."""
    writing = SECONDS_OF_WRITING * start.open_cells.bit_count()
    seconds = writing + SECONDS_OF_EFFORT * sum(map(_cost, stages))
    return max(1, round(seconds / 60))


def _cost(stage: Stage) -> float:
    weight, ways = LEVEL_WEIGHTS[stage.technique.level - 1], _count_ways(stage)
    if stage.steps[0].places:
        return weight * sum(1 / left for left in range(1, ways + 1))
    return weight * (1 + 1 / ways)


def _count_ways(stage: Stage) -> int:
    """Return the number of steps, or for chains of the cells in which they strike something.

    Which of several equally short chains are told is a matter of words, not of the position.
    """
    if not any(step.chains for step in stage.steps):
        return len(stage.steps)
    layout, removes = stage.position.layout, 0
    for step in stage.steps:
        removes |= step.removes
    cells = 0
    for digit in layout.digits:
        cells |= layout.plane(removes, digit)
    return cells.bit_count()
