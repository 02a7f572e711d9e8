"""From a themed puzzle to one that fulfils every wish: fewer givens, or more; then judged anew.

Taking a given away leaves every ladder stuck that was; putting one back leaves the goal settled.
So the one only has to watch the goal, the other the blocked ladders.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from engine.board.grid import Grid, format_grid
from engine.making.aims import find_standing, settle
from engine.making.removal import Ground, grid_of, shuffled
from engine.making.work import Work
from engine.solving.effort import effort_of, find_rounds
from engine.solving.grading import Rating, Sweeps, find_sweeps, find_turns, rate
from engine.techniques import LADDER


@dataclass(frozen=True, slots=True)
class Made:
    """A new puzzle and its solution as texts, and its rating, turning points left out."""

    puzzle: str
    solution: str
    rating: Rating


def finish(work: Work, givens: int, ground: Ground) -> Made | None:
    """Return the themed puzzle so changed that it fulfils every wish, or None."""
    fewest, most = work.recipe.givens or (0, work.layout.cell_count)
    if work.recipe.minimal or givens.bit_count() > most:
        givens = _with_fewer(work, givens, ground)
    elif not _is_light(work, givens) or givens.bit_count() < fewest:
        givens = _with_more(work, givens, ground)
    return judge(work, grid_of(work.layout, givens))


def _with_fewer(work: Work, givens: int, ground: Ground) -> int:
    """Return the givens without the groups that the goal can spare."""
    most = work.layout.cell_count if work.recipe.givens is None else work.recipe.givens[1]
    for group in shuffled(work.random, [group for group in ground.groups if group & givens]):
        if not work.recipe.minimal and givens.bit_count() <= most:
            break
        work.ask()
        if not ground.can_spare(givens, group):
            continue
        end = settle(grid_of(work.layout, givens & ~group), work.aim.goal)
        if end is not None and not end.open_cells:
            givens &= ~group
    return givens


def _with_more(work: Work, givens: int, ground: Ground) -> int:
    """Return the givens with groups put back until there are enough and all else is light."""
    fewest, most = work.recipe.givens or (0, work.layout.cell_count)
    for group in shuffled(work.random, [group for group in ground.groups if not group & givens]):
        if givens.bit_count() >= fewest and _is_light(work, givens):
            break
        work.ask()
        more = givens | group
        if more.bit_count() <= most and find_standing(work.aim, grid_of(work.layout, more)):
            givens = more
    return givens


def _is_light(work: Work, givens: int) -> bool:
    """Say whether the bound on effort holds, and whether it is clean if it should be."""
    recipe = work.recipe
    if not recipe.clean and recipe.most_effort is None:
        return True
    up_to = [each for each in LADDER if each.level <= max(recipe.levels)]
    puzzle = grid_of(work.layout, givens)
    sweeps = find_sweeps(puzzle, up_to)
    if recipe.clean and not _is_clean(sweeps):
        return False
    return recipe.most_effort is None or effort_of(find_rounds(puzzle, up_to)) <= recipe.most_effort


def judge(work: Work, puzzle: Grid) -> Made | None:
    """Return the puzzle if, judged from scratch, it fulfils every wish; else note what it lacks."""
    rating = rate(puzzle, with_turning_points=False)
    lacks = tuple(_find_lacks(work, puzzle, rating))
    if lacks or rating.solution is None:
        work.note_miss(format_grid(puzzle), rating, lacks)
        return None
    return Made(format_grid(puzzle), rating.solution, rating)


def _find_lacks(work: Work, puzzle: Grid, rating: Rating) -> Iterator[str]:
    recipe = work.recipe
    if rating.level not in recipe.levels:
        yield "levels"
    if not set(recipe.needs) <= set(rating.needs):
        yield "needs"
    if set(recipe.avoids) & set(rating.needs):
        yield "avoids"
    if recipe.givens and not recipe.givens[0] <= rating.givens <= recipe.givens[1]:
        yield "givens"
    if recipe.minimal and not rating.minimal:
        yield "minimal"
    if recipe.most_effort is not None and (rating.effort or 0.0) > recipe.most_effort:
        yield "most_effort"
    if recipe.clean and not _is_clean(find_sweeps(puzzle)):
        yield "clean"


def _is_clean(sweeps: Sweeps) -> bool:
    """Say whether there is one turning point at most, all else being singles."""
    return len(tuple(find_turns(sweeps))) <= 1
