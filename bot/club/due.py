"""What is due for a club now. Level-triggered: asked again it answers the same until it is done.

A date whose puzzle could not go up on that date is skipped; one that is late goes up the same day.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

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


Due = PuzzleDue | ClosingDue


def find_due(club: Club, days: Sequence[Day], now: datetime) -> tuple[Due, ...]:
    """Return what is to be done, in order. `days`: the open days, and any of the current date."""
    closings: list[Due] = [
        ClosingDue(club, day) for day in days if not day.is_closed and day.closes_at <= now
    ]
    puzzle = puzzle_due(club, days, now)
    return (*closings, puzzle) if puzzle else tuple(closings)


def puzzle_due(club: Club, days: Sequence[Day], now: datetime) -> PuzzleDue | None:
    settings = club.settings
    day = puzzle_date_at(now, settings.post_time, settings.zone)
    if club.paused or local_date(now, settings.zone) != day:
        return None
    if any(each.date >= day for each in days):
        return None
    return PuzzleDue(
        club,
        day,
        due_at=scheduled_at(day, settings.post_time, settings.zone),
        closes_at=closing_of(day, settings.post_time, settings.zone),
    )


def early_puzzle(club: Club, days: Sequence[Day], now: datetime) -> PuzzleDue | Day:
    """Return today's puzzle to be posted at once; its day where there is one already."""
    settings = club.settings
    day = local_date(now, settings.zone)
    for each in days:
        if each.date == day:
            return each
    scheduled = scheduled_at(day, settings.post_time, settings.zone)
    return PuzzleDue(
        club,
        day,
        due_at=min(now, scheduled),
        closes_at=closing_of(day, settings.post_time, settings.zone),
    )


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
