"""One piece of making: what it needs at hand, and the count of what was tried.

This is the only part of making that changes as it goes. It asks now and then whether to stop;
being told so ends the work, and changes nothing before that.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from random import Random

from engine.board.layout import Layout
from engine.limits import StopAsker
from engine.making.aims import Aim
from engine.making.recipes import Recipe, Tried, UnmadeError
from engine.solving.grading import Rating

ProgressTaker = Callable[[Tried], None]


@dataclass(slots=True)
class Work:
    """A piece of making under way."""

    random: Random
    recipe: Recipe
    aim: Aim
    most_attempts: int
    should_stop: StopAsker | None = None
    on_progress: ProgressTaker | None = None
    attempts: int = 0
    too_easy: int = 0
    too_hard: int = 0
    misses: Counter[str] = field(default_factory=Counter)
    nearest: str = ""
    lacks: tuple[str, ...] = ()
    nearest_distance: int = 0

    @property
    def layout(self) -> Layout:
        """The layout that puzzles are made on."""
        return self.recipe.layout

    def tried(self) -> Tried:
        """Return what was tried so far."""
        return Tried(
            attempts=self.attempts,
            too_easy=self.too_easy,
            too_hard=self.too_hard,
            misses=dict(self.misses),
            nearest=self.nearest,
            lacks=self.lacks,
        )

    def begin_attempt(self) -> None:
        """Count an attempt. Raises UnmadeError where they are used up, or where told to stop."""
        if self.on_progress is not None:
            self.on_progress(self.tried())
        self.ask()
        if self.attempts == self.most_attempts:
            raise UnmadeError(self.tried(), find_advice(self.recipe, self.tried()))
        self.attempts += 1

    def ask(self) -> None:
        """Raise UnmadeError where told to stop."""
        if self.should_stop is not None and self.should_stop():
            raise self.stopped()

    def stopped(self) -> UnmadeError:
        """Return the error that tells what was tried until it was told to stop."""
        tried = self.tried()
        return UnmadeError(tried, find_advice(self.recipe, tried), is_stopped=True)

    def note_miss(self, puzzle: str, rating: Rating, lacks: tuple[str, ...]) -> None:
        """Count the wishes that a themed puzzle does not fulfil; keep it if it is the nearest."""
        self.misses.update(lacks)
        distance = _distance(self.recipe, rating, lacks)
        if not self.nearest or distance < self.nearest_distance:
            self.nearest, self.lacks, self.nearest_distance = puzzle, lacks, distance


def _distance(recipe: Recipe, rating: Rating, lacks: tuple[str, ...]) -> int:
    """Return how far a puzzle is off: first by the number of wishes, then by its givens."""
    fewest, most = recipe.givens or (rating.givens, rating.givens)
    off = max(fewest - rating.givens, rating.givens - most, 0)
    return len(lacks) * 1000 + off


def find_advice(recipe: Recipe, tried: Tried) -> tuple[str, ...]:
    """Return the wishes that would help if they were loosened, the likeliest help first.

    They are named as the fields of a recipe; `seeds` stands for giving puzzles to start from.
    """
    advice = sorted(tried.misses, key=lambda wish: -tried.misses[wish])
    if recipe.pattern and (recipe.givens or recipe.minimal or not tried.misses):
        advice.append("pattern")
    if tried.too_easy > tried.attempts // 2:
        advice.append("needs" if recipe.needs else "levels")
    elif tried.too_hard > tried.attempts // 2:
        # With a theme a higher level is no help: the theme is to be the hardest step.
        advice += ["needs" if recipe.needs else "levels"] + ["avoids"] * bool(recipe.avoids)
    if recipe.needs and not tried.misses:
        advice.append("seeds")
    return tuple(dict.fromkeys(advice))
