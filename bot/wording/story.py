"""A path told as a story: what comes by itself in groups, and time taken where the puzzle turns.

A single that needs nothing but the digits that stand is routine, and a run of them is one sentence.
Whatever rests on an earlier strike is told in full and names the step that made it, so that nobody
has to look for why a cell holds so little. The text of a step is its `why`, as a hint says it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from bot.club.facts import GridPicture, HintPicture, Position, StepFacts
from bot.club.frames import Frame, comes_by_itself, is_a_single
from bot.wording.prose import capitalise, join_words, number_word
from bot.wording.rungs import why
from bot.wording.sight import Strikes

GROUP = 12
"""So many singles at most share one message and its picture."""

_TURNS = "No single is left here: this is where the puzzle turns."
_TURNS_AGAIN = "Again, no single is left."


@dataclass(frozen=True, slots=True)
class _Told:
    """A step with its number, where it is taken, and what was struck before by which step."""

    number: int
    step: StepFacts
    position: Position
    strikes: Strikes

    @property
    def is_single(self) -> bool:
        return is_a_single(self.step)

    @property
    def is_routine(self) -> bool:
        return comes_by_itself(self.step, self.position)


@dataclass(frozen=True, slots=True)
class Chapter:
    """What one message tells of a path, and the picture that goes with it."""

    text: str
    picture: GridPicture | HintPicture


def tell_story(
    givens: str, steps: Sequence[StepFacts], positions: Sequence[Position]
) -> tuple[Chapter, ...]:
    """Tell a path whose `steps[i]` is taken at `positions[i]`, chapter by chapter."""
    chapters: list[Chapter] = []
    turns, is_turned = _TURNS, False
    for is_single, run in groupby(_with_strikes(steps, positions), lambda told: told.is_single):
        if is_single:
            chapters.extend(_of_singles(givens, part) for part in _parts(tuple(run)))
            continue
        for told in run:
            opening = "" if is_turned else f"{turns}\n"
            picture = HintPicture(givens, told.position, told.step, "why")
            chapters.append(Chapter(f"{opening}{_in_full(told)}", picture))
            is_turned = True
        turns, is_turned = _TURNS_AGAIN, False
    return tuple(chapters)


def _with_strikes(steps: Sequence[StepFacts], positions: Sequence[Position]) -> Iterator[_Told]:
    strikes: dict[tuple[str, int], int] = {}
    for number, (step, position) in enumerate(zip(steps, positions, strict=True), start=1):
        yield _Told(number, step, position, dict(strikes))
        for each in step.removes:
            strikes.setdefault(each, number)


def _parts(run: tuple[_Told, ...]) -> Iterator[tuple[_Told, ...]]:
    """Cut a run that is too long into parts of about equal length."""
    count = -(-len(run) // GROUP)
    for part in range(count):
        yield run[len(run) * part // count : len(run) * (part + 1) // count]


def _of_singles(givens: str, run: tuple[_Told, ...]) -> Chapter:
    """Tell singles that follow each other: in full what a strike led to, the rest in groups."""
    lines: list[str] = []
    for is_routine, group in groupby(run, lambda told: told.is_routine):
        same = tuple(group)
        lines.extend([_together(same)] if is_routine and len(same) > 1 else map(_in_full, same))
    first = run[0]
    if len(run) == 1:
        return Chapter(lines[0], HintPicture(givens, first.position, first.step, "why"))
    places = tuple(place for told in run for place in told.step.places)
    return Chapter("\n".join(lines), GridPicture(givens, first.position, places=places))


def tell_frame(frame: Frame) -> str:
    """Tell the steps of one frame, in the words of the story."""
    strikes = {(cell, digit): number for cell, digit, number in frame.strikes}
    told = tuple(
        _Told(number, step, position, strikes)
        for number, (step, position) in enumerate(
            zip(frame.steps, frame.positions, strict=True), start=frame.first
        )
    )
    opening = {"": "", "first": f"{_TURNS}\n", "again": f"{_TURNS_AGAIN}\n"}[frame.turns]
    return f"{opening}{_together(told) if len(told) > 1 else _in_full(told[0])}"


def tell_end(frame: Frame) -> str:
    """Tell the last frame: the puzzle solved, or where no step is known."""
    if frame.is_solved:
        return "And that's the whole puzzle solved."
    return "From here on I know no technique that helps, so this is where it stops."


def _in_full(told: _Told) -> str:
    return f"{told.number}. {why(told.step, told.position, told.strikes)}"


def _together(group: Sequence[_Told]) -> str:
    """Write `3 to 5. Three digits come by themselves: 9 in r3c3 (box 1), …`."""
    count = sum(len(told.step.places) for told in group)
    places = join_words(_placed(told.step) for told in group)
    numbers = f"{group[0].number} {'and' if len(group) == 2 else 'to'} {group[-1].number}"
    return f"{numbers}. {capitalise(number_word(count))} digits come by themselves: {places}."


def _placed(step: StepFacts) -> str:
    cells = join_words(cell for cell, _ in step.places)
    placed = f"{join_words(digit for _, digit in step.places)} in {cells}"
    match step.technique:
        case "naked-single":
            return f"{placed} (all that is left there)"
        case "last-digit":
            return f"{placed} (the last of {step.houses[0]})"
        case "last-three":
            return f"{placed} (the last three of {step.houses[0]})"
        case _:
            return f"{placed} ({step.houses[0]})"
