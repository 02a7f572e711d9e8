"""Sweeps: at each stage, all instances of the first technique that does anything, applied at once.

What a sweep leads to does not depend on the order in which instances are found, so level and needs
rest on sweeps alone. Nothing here orders steps for people.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache, partial
from itertools import islice
from threading import Lock

from engine.board.applying import apply_steps
from engine.board.grid import Grid
from engine.board.step import Step
from engine.limits import LOOK, count_work
from engine.techniques import LADDER, RANKS, Technique

FINDS_KEPT = 1024
"""What is asked level by level, with one technique more or less, comes to the same positions."""


@dataclass(frozen=True, slots=True)
class Stage:
    """One sweep: the position before it, the first technique that works there, all its steps."""

    position: Grid
    technique: Technique
    steps: tuple[Step, ...]

    @property
    def outcome(self) -> Grid:
        """The position after the sweep."""
        return apply_steps(self.position, self.steps)


class Finds:
    """The instances of a technique at a position: each is looked for when it is first asked for,
    and known from then on. Where looking is ended early it goes on from there when asked again.
    Threads may ask at once: one looks, and the others wait for what it finds."""

    __slots__ = ("_find", "_known", "_looking", "_rest")

    def __init__(self, find: Callable[[], Iterator[Step]]) -> None:
        self._find = find
        self._known: list[Step] = []
        self._looking = Lock()
        self._rest = find()

    def __iter__(self) -> Iterator[Step]:
        place = 0
        while place < len(self._known) or self._find_more(place):
            yield self._known[place]
            place += 1

    def _find_more(self, known: int) -> bool:
        """Look for one more than so many, unless another thread has; False where there is none."""
        with self._looking:
            if len(self._known) == known:
                step = self._next()
                if step is not None:
                    self._known.append(step)
            return len(self._known) > known

    def _next(self) -> Step | None:
        try:
            return next(self._rest, None)
        except BaseException:
            # A generator that raised is over, and would pass for one that has no more.
            self._rest = islice(self._find(), len(self._known), None)
            raise


@lru_cache(maxsize=FINDS_KEPT)
def finds_at(grid: Grid, technique: Technique) -> Finds:
    """Return the instances of a technique at a position, in its own order."""
    count_work(LOOK)
    return Finds(partial(technique.find, grid))


def find_stage(grid: Grid, ladder: Sequence[Technique]) -> Stage | None:
    """Return the next sweep, or None where no technique of the ladder does anything."""
    for technique in ladder:
        steps = tuple(finds_at(grid, technique))
        if steps:
            return Stage(grid, technique, steps)
    return None


def find_stages(grid: Grid, ladder: Sequence[Technique]) -> Iterator[Stage]:
    """Yield sweep after sweep, until the grid is complete or the ladder is stuck."""
    while not grid.is_complete:
        stage = find_stage(grid, ladder)
        if stage is None:
            return
        yield stage
        grid = stage.outcome


@dataclass(frozen=True, slots=True)
class Sweeps:
    """All the sweeps from a puzzle to where they end. `ladder` is the one that they used."""

    ladder: tuple[Technique, ...]
    stages: tuple[Stage, ...]
    end: Grid

    @property
    def is_solved(self) -> bool:
        """Whether nothing is left open at the end."""
        return self.end.is_complete

    @property
    def hardest(self) -> Technique | None:
        """The highest technique used; None for a puzzle that was complete already.

        At its first use everything below it was stuck, so where the sweeps solve the puzzle this
        is the first technique at which the ladder up to and including it does.
        """
        used = (stage.technique for stage in self.stages)
        return max(used, key=lambda technique: RANKS[technique.id], default=None)


def find_sweeps(grid: Grid, ladder: Sequence[Technique] = LADDER) -> Sweeps:
    """Return the sweeps of a ladder from a position to the end, or to where it is stuck."""
    stages = tuple(find_stages(grid, ladder))
    return Sweeps(tuple(ladder), stages, stages[-1].outcome if stages else grid)
