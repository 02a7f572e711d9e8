"""What a decision asks of the engine: questions, and the answers that are known so far.

A decision that needs more than is known stops with its question. Where that is answered is in
`bot.club.studies`; the decision is then begun anew. An answer belongs to its question with all that
this was asked about, so nothing is decided on what has changed meanwhile.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from dataclasses import dataclass, field
from typing import TypeVar, cast

from bot.club.plan import DayPlan
from bot.club.ports import PhotoSent
from bot.club.refusal import RefusedError
from bot.club.state import Puzzle
from bot.photo.told import PhotoReading

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Question:
    """A pure function of the engine's or the club's, and what it is asked about."""

    work: Callable[..., object]
    arguments: tuple[object, ...]


class StudyNeededError(Exception):
    """A decision cannot be made before `question` is answered."""

    def __init__(self, question: Question) -> None:
        super().__init__(question.work.__name__)
        self.question = question


def make_puzzle(plan: DayPlan, seed: int) -> Puzzle | None:
    """Name the question for a new puzzle, which a PuzzleSource answers in its own way."""
    raise NotImplementedError


def read_photo(photo: PhotoSent, givens: str) -> PhotoReading | None:
    """Name the question for what a photo shows of a puzzle; None where the photo never came. It is
    fetched and read outside the club's lock, and kept nowhere."""
    raise NotImplementedError


def ask_room(ask: Callable[..., Awaitable[T]], *arguments: object) -> T:
    """Name the question for what a room tells, which may wait on a network."""
    raise NotImplementedError


@dataclass(slots=True)
class Studies:
    """The answers known to one act."""

    known: list[tuple[Question, object]] = field(default_factory=list)

    def of(self, work: Callable[..., T], *arguments: object) -> T:
        """Return what the work comes to. Raises StudyNeededError where that is not known yet, and
        RefusedError where the answer is no."""
        asked = Question(work, arguments)
        for question, answer in self.known:
            if question == asked:
                if isinstance(answer, RefusedError):
                    raise answer
                return cast("T", answer)
        raise StudyNeededError(asked)
