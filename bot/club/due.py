"""What is due for a club now. Level-triggered: asked again it answers the same until it is done.

A date whose puzzle could not go up on that date is skipped; one that is late goes up the same day.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Literal

from msgspec import structs

from bot.club.agenda import QuestionDue, RevealDue
from bot.club.clock import (
    closing_of,
    local_date,
    next_date,
    puzzle_date_at,
    scheduled_at,
)
from bot.club.state import Club, Day


@dataclass(frozen=True, slots=True)
class PuzzleDue:
    """A date's puzzle is to be chosen and posted. Its intent is not there yet."""

    club: Club
    date: date
    due_at: datetime
    closes_at: datetime


@dataclass(frozen=True, slots=True)
class ClosingDue:
    """A day's time is over: results and walkthrough are to be posted."""

    club: Club
    day: Day


@dataclass(frozen=True, slots=True)
class ReminderDue:
    """A day closes soon: who wants to be is to be reminded, once."""

    club: Club
    day: Day


@dataclass(frozen=True, slots=True)
class WeekDue:
    """A part of the club's technique week is to go up, `at` a moment of a date."""

    club: Club
    part: Literal["lesson", "question", "sums"]
    date: date
    technique: str
    at: datetime


Due = PuzzleDue | ClosingDue | ReminderDue | RevealDue | QuestionDue | WeekDue

REMINDED_BEFORE = timedelta(hours=1)
"""So long before a puzzle closes, who wants to be is reminded of it."""


def find_due(club: Club, days: Sequence[Day], now: datetime) -> tuple[Due, ...]:
    """Return what is to be done, in order. `days`: the open days, and the day before the
    current date."""
    closings: list[Due] = [
        ClosingDue(club, day) for day in days if not day.is_closed and day.closes_at <= now
    ]
    puzzle = puzzle_due(club, days, now)
    return (*closings, puzzle) if puzzle else tuple(closings)


def reminders_due(club: Club, days: Sequence[Day], now: datetime) -> tuple[ReminderDue, ...]:
    """Return the days that close soon, of which who wants to be is reminded."""
    return tuple(
        ReminderDue(club, day)
        for day in days
        if day.posted_at is not None and day.closes_at - REMINDED_BEFORE <= now < day.closes_at
    )


def puzzle_due(club: Club, days: Sequence[Day], now: datetime) -> PuzzleDue | None:
    """Return the puzzle of the date that it is now, if it is time for it: at its post time, and no
    later than the day before it closes, so that a post time moved after that leaves no hole."""
    settings = club.settings
    day = local_date(now, settings.zone)
    if club.paused or any(each.date >= day for each in days):
        return None
    closings = (each.closes_at for each in days)
    today = (closing for closing in closings if local_date(closing, settings.zone) == day)
    due_at = min((scheduled_at(day, settings.post_time, settings.zone), *today))
    if now < due_at:
        return None
    closes_at = closing_of(day, settings.post_time, settings.zone)
    return PuzzleDue(club, day, due_at=due_at, closes_at=closes_at)


def after_the_last(due: PuzzleDue, days: Sequence[Day], until: datetime) -> PuzzleDue:
    """Return the date's puzzle as one that is due when the day before it is over: a post time moved
    to before now closed that day at once, and no act of then is for the new puzzle.

    Days that close only after `until` were overtaken on purpose.
    """
    over = [each.closes_at for each in days if each.date < due.date and each.closes_at <= until]
    return replace(due, due_at=max((due.due_at, *over)))


def is_moved(before: Club, after: Club) -> bool:
    """Say whether what is due may be due at another time, or not at all, by the new settings."""

    def schedule(club: Club) -> tuple[str, str, bool]:
        return club.settings.post_time, club.settings.zone, club.paused

    return schedule(before) != schedule(after)


def moved_closing(club: Club, days: Sequence[Day], now: datetime) -> Day | None:
    """Return the newest open day as it closes by the club's settings now, None where that is when
    it did: as the next puzzle goes up, so that no day overlaps another and none is empty."""
    still_open = [day for day in days if not day.is_closed and now < day.closes_at]
    newest = max(still_open, key=lambda day: day.date, default=None)
    closes_at = next_post_of(structs.replace(club, paused=False), days, now)
    if newest is None or closes_at is None or closes_at == newest.closes_at:
        return None
    return structs.replace(newest, closes_at=closes_at)


def early_puzzle(club: Club, days: Sequence[Day], now: datetime) -> PuzzleDue | Day:
    """Return today's puzzle to be posted at once; its day where there is one already."""
    settings = club.settings
    day = local_date(now, settings.zone)
    for each in days:
        if each.date == day:
            return each
    scheduled = scheduled_at(day, settings.post_time, settings.zone)
    due = PuzzleDue(
        club,
        day,
        due_at=min(now, scheduled),
        closes_at=closing_of(day, settings.post_time, settings.zone),
    )
    return after_the_last(due, days, until=now)


def next_post_of(club: Club, days: Sequence[Day], now: datetime) -> datetime | None:
    """Return when the club's next puzzle is due, None while it is paused."""
    if club.paused:
        return None
    if puzzle_due(club, days, now):
        return now
    settings = club.settings
    newest = puzzle_date_at(now, settings.post_time, settings.zone)
    last = max((newest, *(each.date for each in days)))
    return scheduled_at(next_date(last, settings.zone), settings.post_time, settings.zone)


def days_ahead(club: Club, days: Sequence[Day], now: datetime) -> tuple[Day, ...]:
    """Return the days that have a puzzle before their time: posted by hand, or by a clock that was
    ahead. No puzzle comes by itself until the newest of them is over."""
    settings = club.settings
    return tuple(
        day for day in days if now < scheduled_at(day.date, settings.post_time, settings.zone)
    )


LOOK_AHEAD = 60
"""So many days to come can be named by their date."""


def days_to_come(club: Club, days: Sequence[Day], now: datetime, count: int) -> tuple[date, ...]:
    """Return the dates of the next puzzles, also of a club on a break."""
    settings = club.settings
    moment = next_post_of(structs.replace(club, paused=False), days, now)
    assert moment is not None, "only a break has no next puzzle"
    coming = [puzzle_date_at(moment, settings.post_time, settings.zone)]
    while len(coming) < count:
        coming.append(next_date(coming[-1], settings.zone))
    return tuple(coming)
