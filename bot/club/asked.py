"""What is kept of the question that a leader put to the club, and of who has tried it.

A club has one question at a time. It is kept as the reply that went up, so that it stays readable
as replies do; of a member are kept the tries and whether they saw it, until the next question.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal, Protocol

Marking = Literal["none", "house", "pattern"]
"""What is marked of a find: nothing, the first house to look at, or all cells of its pattern."""


@dataclass(frozen=True, slots=True)
class SaveQuestion:
    """Put a question, encoded, or note that it `is_over`, its find shown. A new number forgets all
    tries. `over_at`: when its find is shown of itself, or was shown."""

    club_id: int
    number: int
    reply: bytes
    is_over: bool = False
    over_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class SaveTry:
    """Note what a member of the club, who is known, has done with the question so far."""

    club_id: int
    user_id: str
    tries: int
    saw: bool


@dataclass(frozen=True, slots=True)
class SaveNaming:
    """Note whether a member who has tried wishes to be named where the find is shown."""

    club_id: int
    user_id: str
    is_named: bool


@dataclass(frozen=True, slots=True)
class Asked:
    """The club's question. `tries` and `saw` are the member's who is asked about; `tried` counts
    the members who tried, and `seen` those of them who saw it. `over_at` as it was saved.
    `is_named` is the member's wish, and `names` are of those who saw it and wish it."""

    number: int
    reply: bytes
    is_over: bool = False
    tries: int = 0
    saw: bool = False
    tried: int = 0
    seen: int = 0
    over_at: datetime | None = None
    is_named: bool = False
    names: tuple[str, ...] = ()

    def is_over_at(self, moment: datetime) -> bool:
        """Say whether an answer of a moment comes after its find was shown, or was to be."""
        return self.is_over if self.over_at is None else moment >= self.over_at


class QuestionStore(Protocol):
    """The part of the store that keeps the question."""

    async def load_question(self, club_id: int, user_id: str) -> Asked | None:
        """Return the club's question, with a member's tries; None where none was ever put."""
