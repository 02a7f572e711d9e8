"""What is kept of a club's technique week: which of it is up, so that each part goes up once.

A club has one week at a time; the next takes its place. Nothing of it tells of a member.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Protocol

from bot.club.spacing import Skill


@dataclass(frozen=True, slots=True)
class KeptWeek:
    """The week that began on a `monday`, its lesson having gone up at `begun_at`. `question`: the
    number of the one that was put at `asked_at`, 0 before; `is_told`: what came of it was told."""

    monday: date
    technique: str
    begun_at: datetime
    question: int = 0
    asked_at: datetime | None = None
    is_told: bool = False


@dataclass(frozen=True, slots=True)
class SaveWeek:
    """Note how far a club's technique week is."""

    club_id: int
    week: KeptWeek


@dataclass(frozen=True, slots=True)
class Learner:
    """How a member stands with a technique, and whether they tried the club's question and saw
    it."""

    member_id: int
    skill: Skill | None = None
    tried: bool = False
    saw: bool = False


class WeekStore(Protocol):
    """The part of the store that keeps technique weeks."""

    async def load_week(self, club_id: int) -> KeptWeek | None:
        """Return the club's last technique week, None where it had none."""

    async def load_learners(self, club_id: int, technique: str) -> tuple[Learner, ...]:
        """Return the club's members with how they stand with a technique, by their ids."""
