"""A path cut into frames: what a leader shows at once while telling how a puzzle is solved.

Singles that the digits alone explain come several to a frame; whatever else there is has a frame of
its own, so that a leader can ask for it. Before the first stands the puzzle, behind the last what
became of it.
"""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from bot.club.facts import GridPicture, HintPicture, Position, StepFacts, step_of_facts
from bot.club.state import ClubSettings
from bot.club.walkthrough import PathFacts, path_facts
from engine import apply_step, witnesses

TOGETHER = 6
"""So many singles at most share one frame: as many as can be followed while they are read out."""

_SINGLES_LEVEL = 1


def is_a_single(step: StepFacts) -> bool:
    """Say whether a step needs nothing but the digits of a house or a cell."""
    return step.level == _SINGLES_LEVEL


def comes_by_itself(step: StepFacts, position: Position) -> bool:
    """Say whether it is a single that the digits alone explain."""
    grid = position.to_grid()
    return is_a_single(step) and not witnesses.find_struck(grid, step_of_facts(grid.layout, step))


class Reel(Struct, frozen=True):
    """A path with where each frame of it begins: `cuts` count its steps from 0. `end` is what the
    path leads to, where `is_solved` says whether that is the solution."""

    givens: str
    steps: tuple[StepFacts, ...]
    positions: tuple[Position, ...]
    cuts: tuple[int, ...]
    end: Position
    is_solved: bool

    @property
    def last(self) -> int:
        """The number of the last frame; the first one's is 0."""
        return len(self.cuts) + 1

    def find_steps(self, number: int) -> range:
        """Return which steps a frame has, counted from 0: none for the first and the last."""
        if not 0 < number < self.last:
            return range(0)
        ends = (*self.cuts[1:], len(self.steps))
        return range(self.cuts[number - 1], ends[number - 1])


def make_reel(givens: str, settings: ClubSettings) -> Reel:
    """Return a puzzle's path by a club's ladder, cut; for a hard puzzle that takes seconds."""
    return cut_reel(givens, path_facts(givens, settings, ""))


def cut_reel(givens: str, path: PathFacts) -> Reel:
    """Return a path, cut."""
    end = Position(givens)
    if path.steps:
        grid = path.positions[-1].to_grid()
        end = Position.of(apply_step(grid, step_of_facts(grid.layout, path.steps[-1])))
    cuts, together = [], 0
    for index, (step, position) in enumerate(zip(path.steps, path.positions, strict=True)):
        joins = comes_by_itself(step, position)
        if not (joins and 0 < together < TOGETHER):
            cuts.append(index)
            together = 0
        together = together + 1 if joins else 0
    return Reel(givens, path.steps, path.positions, tuple(cuts), end, path.is_solved)


class Frame(Struct, frozen=True):
    """One frame, without what comes behind it.

    `number` of `last`; `first` is the number of its first step, from 1. `strikes`: (cell, digit,
    number of the step) of what was struck before. `turns`: no single is left there, for the `first`
    time or `again`. `at`: where it is taken, for a frame without steps what it shows.
    """

    number: int
    last: int
    givens: str
    at: Position
    first: int = 0
    steps: tuple[StepFacts, ...] = ()
    positions: tuple[Position, ...] = ()
    strikes: tuple[tuple[str, int, int], ...] = ()
    turns: Literal["", "first", "again"] = ""
    is_solved: bool = False

    @property
    def can_be_asked(self) -> bool:
        """Say whether there is one find to ask for."""
        return len(self.steps) == 1


def frame_at(reel: Reel, number: int) -> Frame:
    """Return a frame by its number."""
    numbers = reel.find_steps(number)
    if not numbers:
        is_end = number > 0
        start = reel.positions[0] if reel.positions else Position(reel.givens)
        at = reel.end if is_end else start
        return Frame(number, reel.last, reel.givens, at, is_solved=is_end and reel.is_solved)
    first = numbers[0]
    strikes: dict[tuple[str, int], int] = {}
    for index, step in enumerate(reel.steps[:first]):
        for each in step.removes:
            strikes.setdefault(each, index + 1)
    return Frame(
        number,
        reel.last,
        reel.givens,
        reel.positions[first],
        first=first + 1,
        steps=tuple(reel.steps[index] for index in numbers),
        positions=tuple(reel.positions[index] for index in numbers),
        strikes=tuple((cell, digit, by) for (cell, digit), by in strikes.items()),
        turns=_turns(reel, first),
    )


def _turns(reel: Reel, index: int) -> Literal["", "first", "again"]:
    """Say whether singles run out at a step, and whether they did before."""
    if is_a_single(reel.steps[index]) or (index and not is_a_single(reel.steps[index - 1])):
        return ""
    return "first" if all(map(is_a_single, reel.steps[:index])) else "again"


def picture_of(frame: Frame, *, is_asking: bool) -> GridPicture | HintPicture:
    """Return what a frame shows; while it `is_asking` no more of its step than where to look."""
    if is_asking:
        houses = frame.steps[0].houses[:1]
        return GridPicture(frame.givens, frame.at, with_candidates=True, houses=houses)
    if not frame.steps:
        return GridPicture(frame.givens, frame.at)
    if len(frame.steps) == 1:
        return HintPicture(frame.givens, frame.at, frame.steps[0], "why")
    places = tuple(place for step in frame.steps for place in step.places)
    return GridPicture(frame.givens, frame.at, places=places)
