"""New puzzles from a passed-in Random: same seed, recipe and seeds, same puzzle, on any machine.

Givens are taken away from a full grid, in random order, as long as one solution is left. What is
then too hard gets single givens back until it is stuck without the theme and settled with it; what
is too easy is changed a little and looked at again. There is no clock here: limits are counts of
attempts, and `should_stop` only ends the work.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import count
from math import inf
from random import Random

from engine.board.grid import Grid, format_grid
from engine.board.symmetry import random_symmetry
from engine.errors import StoppedError
from engine.limits import StopAsker, limited
from engine.making.aims import aim_of
from engine.making.clean import Turn, find_turn, study_turn
from engine.making.finish import Made, finish
from engine.making.grids import random_solution
from engine.making.recipes import Recipe, Tried, UnmadeError, find_contradiction
from engine.making.removal import (
    Ground,
    grid_of,
    ground_of,
    minimal_puzzle,
    random_change,
    shuffled,
)
from engine.making.seeds import Seed, begin_from, find_seeds
from engine.making.themes import (
    HIT,
    NEAR,
    TOO_EASY,
    change_much,
    change_some,
    make_slim,
    study,
    vary,
)
from engine.making.work import ProgressTaker, Work, find_advice

__all__ = [
    "ATTEMPTS",
    "Made",
    "make_puzzle",
    "minimal_puzzle",
    "random_solution",
    "shuffle_puzzle",
]

ATTEMPTS = 5000

WALK = 100
"""How many puzzles of one solution are looked at before another is drawn."""

STAY = 12
"""The same, from one that comes near the theme."""

TURNS = 8
"""Where there are seeds, one turn in so many begins from nothing all the same."""


def make_puzzle(
    random: Random,
    recipe: Recipe,
    *,
    seeds: Sequence[Grid] = (),
    attempts: int = ATTEMPTS,
    should_stop: StopAsker | None = None,
    on_progress: ProgressTaker | None = None,
) -> Made:
    """Return a puzzle that fulfils every wish of the recipe, judged from scratch.

    `seeds` are puzzles known to be like it: they are shuffled and changed, and none comes back as
    it was. Those of another layout or pattern are no help and are left out. Raises UnmadeError
    with what was tried: at once where the recipe contradicts itself, after all attempts, and when
    told to stop. Raises UnknownTechniqueError, NoSolutionError where the layout has no full grid.

    >>> from random import Random
    >>> from engine import Recipe, layout_named, make_puzzle
    >>> made = make_puzzle(Random(1), Recipe(levels=(1,), layout=layout_named("4x4")))
    >>> made.rating.level, len(made.puzzle)
    (1, 16)
    """
    contradiction = find_contradiction(recipe)
    if contradiction:
        raise UnmadeError(Tried(), find_advice(recipe, Tried()), contradiction=contradiction)
    work = Work(random, recipe, aim_of(recipe), attempts, should_stop, on_progress)
    with limited(inf, should_stop):
        try:
            return _make(work, seeds)
        except StoppedError:
            raise work.stopped() from None


def _make(work: Work, seeds: Sequence[Grid]) -> Made:
    fitting, turning = find_seeds(work.recipe, seeds), find_turn(work.recipe)
    for turn in count():
        from_seed = fitting and turn % TURNS != TURNS - 1
        made = _vary(work, work.random.choice(fitting)) if from_seed else _walk(work, turning)
        if made is not None:
            return made
    raise AssertionError  # counting has no end


def _vary(work: Work, seed: Seed) -> Made | None:
    """Return a puzzle made of a seed, seen otherwise and then changed, or None."""
    givens, solution = begin_from(work.random, seed)
    ground = ground_of(solution, seed.change)
    hit = vary(work, givens, ground)
    made = finish(work, hit, ground) if hit else None
    return (
        None if made is None or made.puzzle == format_grid(grid_of(work.layout, givens)) else made
    )


def _walk(work: Work, turning: Turn | None) -> Made | None:
    """Return a puzzle made by changing one, or None where that led to none.

    The best so far is the one that is changed further.
    """
    ground = _draw_ground(work)
    groups = shuffled(work.random, ground.groups)
    home = givens = make_slim(work, ground.take_away(ground.solution.placed, groups), ground)
    best, left = TOO_EASY, WALK
    while left:
        work.begin_attempt()
        left -= 1
        found, made = _look_at(work, turning, givens, ground)
        if made is not None:
            return made
        if found >= best:
            if found > best and found >= NEAR:
                left = STAY
            best, home = found, givens
        change = change_some if best >= NEAR else change_much
        givens = make_slim(work, change(work, home, ground), ground)
    return None


def _look_at(
    work: Work, turning: Turn | None, givens: int, ground: Ground
) -> tuple[int, Made | None]:
    """Return how a puzzle stands, and what it led to that fulfils every wish."""
    if turning is not None:
        return study_turn(work, turning, givens, ground)
    found, hit = study(work, givens, ground)
    return found, finish(work, hit, ground) if found == HIT else None


def _draw_ground(work: Work) -> Ground:
    """Return a full grid with the groups of one of the changes that the pattern stands for."""
    change = random_change(work.random, work.layout, work.recipe.pattern)
    return ground_of(random_solution(work.random, work.layout), change)


def shuffle_puzzle(random: Random, grid: Grid) -> Grid:
    """Return the same puzzle seen otherwise: lines moved, digits renamed."""
    return random_symmetry(random, grid.layout).apply(grid)
