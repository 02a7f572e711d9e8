"""What a themed puzzle must do to ladders: settled by one, stuck with each of some others.

All is read off where ladders end, never off the order in which steps are found. A given more
never makes a ladder stop earlier (but for uniqueness techniques, which is why what is made is
judged anew in the end), so a position where a ladder is stuck can be carried on from.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from engine.board.applying import apply_steps
from engine.board.grid import Grid
from engine.board.layout import Layout, iterate_bits
from engine.limits import LOOK, count_work
from engine.making.recipes import Recipe
from engine.search.bulk_locked_candidates import Crossing, crossings_of, find_confined
from engine.search.exact import settle_singles
from engine.techniques import LADDER, RANKS, Technique, technique_with

Ladder = tuple[Technique, ...]

_SINGLES = {"hidden-single", "naked-single"}
CONFINING = {"pointing", "claiming"}
LADDERS_KEPT = 64
"""A piece of making asks a few, at thousands of positions."""


@dataclass(frozen=True, slots=True)
class Aim:
    """`goal` must settle the puzzle; each of `blocked` must be stuck on it.

    `is_longer`: the goal holds the first blocked ladder whole, so that it gets at least as far.
    `extra`: what the goal has more than that ladder. `is_steady`: givens more never make a blocked
    ladder stop earlier.
    """

    goal: Ladder
    blocked: tuple[Ladder, ...]
    is_longer: bool
    extra: Ladder
    is_steady: bool


def aim_of(recipe: Recipe) -> Aim:
    """Return the ladders that a recipe's levels, needs and avoided techniques come to.

    Where the hardest need is of a level asked for it is to be the hardest step of all; the ladder
    up to it, less one need, is then just what the puzzle must be stuck with.
    """
    needs = sorted((technique_with(id) for id in recipe.needs), key=lambda each: RANKS[each.id])
    allowed = tuple(
        each for each in LADDER if each.level <= max(recipe.levels) and each.id not in recipe.avoids
    )
    turns = bool(needs) and needs[-1].level in recipe.levels
    goal = tuple(each for each in allowed if not turns or RANKS[each.id] <= RANKS[needs[-1].id])
    blocked = [tuple(each for each in goal if each is not need) for need in needs]
    if not turns and min(recipe.levels) > 1:
        blocked.append(tuple(each for each in allowed if each.level < min(recipe.levels)))
    if recipe.clean and needs:
        goal = tuple(each for each in goal if each.level == 1 or each in needs)
    is_longer = bool(blocked) and set(blocked[0]) <= set(goal)
    extra = tuple(each for each in goal if each not in blocked[0]) if is_longer else ()
    is_steady = not any(each.is_by_uniqueness for ladder in blocked for each in ladder)
    return Aim(goal, tuple(blocked), is_longer, extra, is_steady)


def settle(grid: Grid, ladder: Ladder) -> Grid | None:
    """Return where a ladder ends: complete or stuck; None where it comes to a contradiction."""
    if not _has_singles(ladder):
        return _settle_slowly(grid, ladder)
    crossings, above = _parts_of(ladder, grid.layout)
    while True:
        settled = settle_singles(grid)
        if settled is None or settled.is_complete:
            return settled
        gone = find_confined(crossings, settled.candidates)
        if gone:
            grid = settled.eliminate(gone)
            continue
        grid = _after_sweep(settled, above)
        if grid is settled:
            return grid


@lru_cache(maxsize=LADDERS_KEPT)
def _parts_of(ladder: Ladder, layout: Layout) -> tuple[tuple[Crossing, ...], Ladder]:
    """Return what finds all that pointing and claiming strike, and the techniques for the rest."""
    crossings = crossings_for(ladder, layout)
    done = _SINGLES | CONFINING if crossings else _SINGLES
    return crossings, tuple(each for each in ladder if each.level > 1 and each.id not in done)


def crossings_for(ladder: Ladder, layout: Layout) -> tuple[Crossing, ...]:
    """Return what finds all that pointing and claiming strike; nothing where it would not do.

    It comes to the same as asking the two techniques, which stand next to each other on the ladder.
    """
    has_both = sum([technique.id in CONFINING for technique in ladder]) == len(CONFINING)
    return crossings_of(layout) if has_both and not layout.diagonals else ()


@lru_cache(maxsize=LADDERS_KEPT)
def _has_singles(ladder: Ladder) -> bool:
    return {technique.id for technique in ladder} >= _SINGLES


def _settle_slowly(grid: Grid, ladder: Ladder) -> Grid:
    while True:
        after = _after_sweep(grid, ladder)
        if after is grid:
            return grid
        grid = after


def _after_sweep(grid: Grid, ladder: Ladder) -> Grid:
    """Return the position after the next sweep, the very same where there is none."""
    for technique in ladder:
        count_work(LOOK)
        steps = tuple(technique.find(grid))
        if steps:
            return apply_steps(grid, steps)
    return grid


@dataclass(frozen=True, slots=True)
class Standing:
    """A puzzle's givens, where the goal ladder gets on it, and where each blocked one is stuck."""

    givens: int
    reached: Grid
    stuck: tuple[Grid, ...]

    @property
    def is_hit(self) -> bool:
        """Whether the goal ladder solves it."""
        return not self.reached.open_cells

    @property
    def is_near(self) -> bool:
        """Say whether what it should need does something where it is stuck without."""
        return any(each.candidates != self.reached.candidates for each in self.stuck)


def find_standing(aim: Aim, puzzle: Grid) -> Standing | None:
    """Return how a puzzle stands to the aim; None where a blocked ladder settles it."""
    return _standing(aim, puzzle.placed, puzzle, (puzzle,) * len(aim.blocked))


def with_group(aim: Aim, standing: Standing, group: int) -> Standing | None:
    """Return the standing with some givens more; None where a blocked ladder then settles it."""
    reached = _given(standing.reached, group)
    stuck = tuple(_given(each, group) for each in standing.stuck)
    if reached is None or None in stuck:
        return None
    return _standing(aim, standing.givens | group, reached, tuple(each for each in stuck if each))


def _given(grid: Grid, group: int) -> Grid | None:
    """Return the position with digits given besides; None where one has been struck."""
    layout, own = grid.layout, grid.own
    for index in iterate_bits(group):
        cell, digit = layout.split(index)
        own &= ~(1 << cell)
        if grid.placed >> index & 1:
            continue
        if not grid.candidates >> index & 1:
            return None
        grid = grid.place(cell, digit)
    return Grid(layout, grid.placed, grid.candidates, own)


def _standing(aim: Aim, givens: int, reached: Grid, starts: tuple[Grid, ...]) -> Standing | None:
    stuck = []
    for ladder, start in zip(aim.blocked, starts, strict=True):
        end = settle(start, ladder)
        if end is None or not end.open_cells:
            return None
        stuck.append(end)
    end = _reach_on(aim, reached, stuck[0]) if aim.is_longer else settle(reached, aim.goal)
    return None if end is None else Standing(givens, end, tuple(stuck))


def _reach_on(aim: Aim, reached: Grid, stuck: Grid) -> Grid | None:
    """Return where the goal ladder ends, which gets as far as the blocked one at least.

    Where it was no further, only what it has more can do anything, and mostly does not.
    """
    further = _further(reached, stuck)
    if further == stuck:
        further = _after_sweep(stuck, aim.extra)
        if further is stuck:
            return stuck
    return settle(further, aim.goal)


def _further(reached: Grid, stuck: Grid) -> Grid:
    """Return the position after all that was found on both ways."""
    placed = reached.placed | stuck.placed
    return reached.with_written(placed, reached.candidates & stuck.candidates)


def find_open_groups(standing: Standing, groups: Sequence[int]) -> Iterator[int]:
    """Yield the groups of which the goal ladder has not placed everything."""
    return (group for group in groups if group & ~standing.reached.placed)
