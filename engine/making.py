"""New puzzles from a passed-in Random: same seed, recipe and seeds, same puzzle, on any machine.

Givens are taken away from a full grid, in random order, as long as one solution is left. What is
then too hard gets single givens back until it is stuck without the theme and settled with it; what
is too easy is changed a little and looked at again. There is no clock here: limits are counts of
attempts, and `should_stop` only ends the work.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from random import Random

from engine.errors import UnmadeError
from engine.grading import Rating
from engine.grid import Grid
from engine.making_aims import aim_of
from engine.making_finish import Finished, finish
from engine.making_grids import random_solution
from engine.making_removal import Ground, ground_of, minimal_puzzle, random_change, shuffled
from engine.making_seeds import Seed, begin_from, find_seeds
from engine.making_themes import HIT, NEAR, TOO_EASY, change_much, change_some, study
from engine.making_work import ProgressTaker, Work, find_advice
from engine.recipes import Recipe, Tried, find_contradiction
from engine.search import StopAsker
from engine.symmetry import random_symmetry

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


@dataclass(frozen=True, slots=True)
class Made:
    """A new puzzle and its solution as texts, and its rating, turning points left out."""

    puzzle: str
    solution: str
    rating: Rating


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
    """
    contradiction = find_contradiction(recipe)
    if contradiction:
        raise UnmadeError(Tried(), find_advice(recipe, Tried()), contradiction=contradiction)
    work = Work(random, recipe, aim_of(recipe), attempts, should_stop, on_progress)
    fitting = find_seeds(recipe, seeds)
    while True:
        made = _walk(work, fitting)
        if made is not None:
            return Made(made.puzzle, made.solution, made.rating)


def _walk(work: Work, seeds: Sequence[Seed]) -> Finished | None:
    """Return a puzzle made by changing one, or None where that led to none.

    The best so far is the one that is changed further.
    """
    ground, home, known = _begin(work, seeds)
    best, left = (NEAR, STAY) if known else (TOO_EASY, WALK)
    givens = change_some(work, home, ground) if known else home
    while left:
        work.begin_attempt()
        left -= 1
        found, hit = study(work, givens, ground)
        if found == HIT and hit != known:
            made = finish(work, hit, ground)
            if made is not None:
                return made
        if found >= best:
            if found > best and found >= NEAR:
                left = STAY
            best, home = found, givens
        change = change_some if best >= NEAR else change_much
        givens = change(work, home, ground)
    return None


def _begin(work: Work, seeds: Sequence[Seed]) -> tuple[Ground, int, int]:
    """Return a full grid, a puzzle of it to begin with, and the givens of the seed, 0 for none."""
    random, layout = work.random, work.layout
    if seeds:
        seed = random.choice(seeds)
        givens, solution = begin_from(random, seed)
        return ground_of(solution, seed.change), givens, givens
    change = random_change(random, layout, work.recipe.pattern)
    ground = ground_of(random_solution(random, layout), change)
    groups = shuffled(random, ground.groups)
    return ground, ground.take_away(ground.solution.placed, groups), 0


def shuffle_puzzle(random: Random, grid: Grid) -> Grid:
    """Return the same puzzle seen otherwise: lines moved, digits renamed."""
    return random_symmetry(random, grid.layout).apply(grid)
