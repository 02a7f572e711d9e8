"""What is kept of the lesson that a leader holds: its puzzle, and where it stands.

A club has one lesson at a time. It is kept as the reply that opened it, so that it stays readable
as replies do; of members nothing is kept here.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol


@dataclass(frozen=True, slots=True)
class Taught:
    """A club's lesson. `reply`: what opened it, encoded. It stands at a `frame`; while it
    `is_asking`, what follows there is hidden. `question`: the number of the club's question that it
    put last, about the frame `asked`; 0 where it has put none."""

    number: int
    reply: bytes
    frame: int = 0
    is_asking: bool = False
    question: int = 0
    asked: int = 0
    is_over: bool = False


@dataclass(frozen=True, slots=True)
class SaveLesson:
    """Keep a club's lesson in the place of what was kept of it, or of the one before."""

    club_id: int
    lesson: Taught


class LessonStore(Protocol):
    """The part of the store that keeps the lesson."""

    async def load_lesson(self, club_id: int) -> Taught | None:
        """Return the club's lesson, which may be over; None where none was ever held."""
