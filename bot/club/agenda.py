"""What is to come of the club's questions: a find to be shown, and what is planned to be asked.

It is asked anew what is due, and answered the same until it is done: a question that is planned
goes up at the club's daily hour of its date, late the same day if need be, and never on another.
Pure: the moment is an argument.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Protocol

from msgspec.structs import replace

from bot.club.clock import WEEK, local_date, scheduled_at
from bot.club.facts_planning import Planned
from bot.club.state import Club


@dataclass(frozen=True, slots=True)
class Agenda:
    """The `number` of the question whose find is shown at `over_at` of itself, None where none is;
    and what is planned."""

    number: int | None = None
    over_at: datetime | None = None
    planned: tuple[Planned, ...] = ()


@dataclass(frozen=True, slots=True)
class SavePlanned:
    """Plan a question, in place of the one of its date, if one is there."""

    club_id: int
    planned: Planned


@dataclass(frozen=True, slots=True)
class DropPlanned:
    """Forget the question that is planned for a date."""

    club_id: int
    on: date


@dataclass(frozen=True, slots=True)
class RevealDue:
    """The find of the club's question is to be shown."""

    club: Club
    number: int


@dataclass(frozen=True, slots=True)
class QuestionDue:
    """A question that is planned is to be put, `at` a moment; or its date is past, and it is not
    put any more."""

    club: Club
    planned: Planned
    at: datetime
    is_missed: bool = False


class AgendaStore(Protocol):
    """The part of the store that keeps what is planned."""

    async def load_agenda(self, club_id: int) -> Agenda:
        """Return what is to come of the club's questions, the next one first."""


def questions_due(club: Club, agenda: Agenda, now: datetime) -> tuple[RevealDue | QuestionDue, ...]:
    """Return what is to be done, in order."""
    due: list[RevealDue | QuestionDue] = []
    if agenda.number is not None and agenda.over_at is not None and agenda.over_at <= now:
        due.append(RevealDue(club, agenda.number))
    settings = club.settings
    today = local_date(now, settings.zone)
    for planned in agenda.planned:
        is_missed = planned.on < today
        if is_missed or (
            not club.paused and scheduled_at(planned.on, settings.post_time, settings.zone) <= now
        ):
            due.append(QuestionDue(club, planned, now, is_missed))
    return tuple(due)


def moved_on(due: QuestionDue) -> tuple[SavePlanned | DropPlanned, ...]:
    """Return what becomes of a plan once its question was put, or missed: a weekly one waits for
    the next date that is not past."""
    club, planned = due.club, due.planned
    dropped = DropPlanned(club.id, planned.on)
    if not planned.is_weekly:
        return (dropped,)
    today = local_date(due.at, club.settings.zone)
    on = planned.on + WEEK
    while on < today:
        on += WEEK
    return dropped, SavePlanned(club.id, replace(planned, on=on))


def planned_on(planned: Sequence[Planned], on: date) -> Planned | None:
    """Return what is planned for a date."""
    return next((each for each in planned if each.on == on), None)
