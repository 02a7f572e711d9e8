"""Effort: how hard a puzzle is to do by hand, as a number and as an estimate in minutes.

The model follows the two factors that Pelanek found to predict how long people take (Radek
Pelanek, Difficulty Rating of Sudoku Puzzles: An Overview and Evaluation, arXiv:1403.7373; from
memory): how complex the single steps are, and how they depend on each other, that is, how few ways
on there are at each stage. The source gives the two factors; the weights are our own judgement,
and no solve times were measured for them.

Both are read off rounds: at each position all that the lowest level finds there, all at once. A
given more hardly ever makes more rounds of them, so it hardly ever raises the effort; by sweeps of
single techniques, pruned or not, it does more often, since it can hide the easier of two ways. Of n
placements of a round each has to be found: with n left the next costs a weight's nth part. A round
that only strikes opens the next, and one looks for the like: for each level, what it costs more
than the one below is paid once to see that it takes that much at all, then whole for the first
round of that level or a higher one, and its nth part for the nth.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from engine.board.applying import apply_steps
from engine.board.grid import Grid
from engine.board.step import Step
from engine.solving.sweeping import finds_at
from engine.techniques import LADDER, Technique

LEVEL_WEIGHTS = (1.0, 3.0, 6.0, 12.0, 24.0, 48.0)
"""What it costs to find the only way on, for levels 1 to 6, in units of a lone single."""

APART_LEVEL = 6
"""From this level on techniques are taken one by one: to find all of them at once takes long."""

SECONDS_OF_WRITING = 4
"""To write one digit, and to note what it strikes."""

SECONDS_OF_EFFORT = 20
"""To find a single that is the only one."""


@dataclass(frozen=True, slots=True)
class Round:
    """All that the lowest level finds at a position: `placed` counts the cells that it settles, 0
    where it only strikes."""

    level: int
    placed: int


def find_rounds(grid: Grid, ladder: Sequence[Technique] = LADDER) -> tuple[Round, ...]:
    """Return the rounds from a position to the end, or to where the ladder is stuck."""
    return tuple(_find_rounds(grid, _groups_of(ladder)))


def effort_of(rounds: Sequence[Round]) -> float:
    """Return the cost of all rounds, rounded to a tenth."""
    return round(_cost(rounds), 1)


def minutes_of(start: Grid, rounds: Sequence[Round]) -> int:
    """Return about how long a practised club member takes from `start`, one minute at least."""
    writing = SECONDS_OF_WRITING * start.open_cells.bit_count()
    return max(1, round((writing + SECONDS_OF_EFFORT * _cost(rounds)) / 60))


def _groups_of(ladder: Sequence[Technique]) -> tuple[tuple[Technique, ...], ...]:
    groups: dict[int | str, list[Technique]] = {}
    for technique in ladder:
        key = technique.level if technique.level < APART_LEVEL else technique.id
        groups.setdefault(key, []).append(technique)
    return tuple(map(tuple, groups.values()))


def _find_rounds(grid: Grid, groups: Sequence[Sequence[Technique]]) -> Iterator[Round]:
    while not grid.is_complete:
        level, steps = _find_round(grid, groups)
        if not steps:
            return
        yield Round(level, len({cell for step in steps for cell, _ in step.places}))
        grid = apply_steps(grid, steps)


def _find_round(grid: Grid, groups: Sequence[Sequence[Technique]]) -> tuple[int, tuple[Step, ...]]:
    for group in groups:
        steps = tuple(step for technique in group for step in finds_at(grid, technique))
        if steps:
            return group[0].level, steps
    return 0, ()


def _cost(rounds: Sequence[Round]) -> float:
    placing = sum(
        LEVEL_WEIGHTS[each.level - 1] * _shared(each.placed) for each in rounds if each.placed
    )
    striking = [each.level for each in rounds if not each.placed]
    cost, below = placing, 0.0
    for level, weight in enumerate(LEVEL_WEIGHTS[1:], start=2):
        count = sum(each >= level for each in striking)
        cost += (weight - below) * (1 + _shared(count)) if count else 0.0
        below = weight
    return cost


def _shared(count: int) -> float:
    """Return the whole, its half, its third, and so on, so many of them, together."""
    return sum(1 / left for left in range(1, count + 1))
