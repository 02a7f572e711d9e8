"""The club's calendar: when the day's puzzle is due, which date a moment belongs to, and periods.

A puzzle belongs to one local date. It is due at the club's post time on that date and closes at
the next date's post time. Pure: "now" is always an argument, moments are aware.
"""

from __future__ import annotations

import re
from collections.abc import Container
from datetime import UTC, date, datetime, time, timedelta
from typing import Literal
from zoneinfo import ZoneInfo

ONE_DAY, WEEK = timedelta(days=1), timedelta(days=7)
Period = Literal["day", "week", "month", "all"]


def parse_post_time(text: str) -> time:
    """Read `18:00`. Raises ValueError."""
    found = re.fullmatch(r"([0-9]{1,2}):([0-9]{2})", text.strip())
    if not found:
        raise ValueError(f"{text!r} is no time such as 18:00")
    return time(int(found[1]), int(found[2]))


def scheduled_at(on_date: date, post_time: str, zone: str) -> datetime:
    """Return the moment at which the puzzle of a local date is due, in UTC.

    Where clocks go forward over the post time it is as long after the gap's start as the post time
    is, or, where the gap lasts to the day's end, as long before its end; where they go back it is
    the first of the two. So it comes once, on its date.
    """
    local = datetime.combine(on_date, parse_post_time(post_time), ZoneInfo(zone))
    moment = local.astimezone(UTC)
    if local_date(moment, zone) > on_date:
        return local.replace(fold=1).astimezone(UTC)
    return moment


def local_date(moment: datetime, zone: str) -> date:
    """Return the date that the club's wall calendar shows at a moment."""
    return moment.astimezone(ZoneInfo(zone)).date()


def is_date_of_zone(on_date: date, zone: str) -> bool:
    """Say whether the date exists there: a zone that crosses the date line leaves one out."""
    noon = datetime.combine(on_date, time(12), ZoneInfo(zone)).astimezone(UTC)
    return local_date(noon, zone) == on_date


def next_date(on_date: date, zone: str) -> date:
    """Return the date after another on the zone's calendar."""
    after = on_date + ONE_DAY
    while not is_date_of_zone(after, zone):
        after += ONE_DAY
    return after


def free_from(on_date: date, taken: Container[date], zone: str) -> date:
    """Return the first date from `on_date` on that is not taken."""
    while on_date in taken:
        on_date = next_date(on_date, zone)
    return on_date


def puzzle_date_at(moment: datetime, post_time: str, zone: str) -> date:
    """Return the newest date whose puzzle is due at `moment`: before the post time, yesterday's."""
    day = local_date(moment, zone) + ONE_DAY
    while scheduled_at(day, post_time, zone) > moment or not is_date_of_zone(day, zone):
        day -= ONE_DAY
    return day


def next_post_after(moment: datetime, post_time: str, zone: str) -> datetime:
    """Return the first scheduled post time after `moment`."""
    day = next_date(puzzle_date_at(moment, post_time, zone), zone)
    return scheduled_at(day, post_time, zone)


def closing_of(on_date: date, post_time: str, zone: str) -> datetime:
    """Return when the puzzle of a date closes: the next date's scheduled post time."""
    return scheduled_at(next_date(on_date, zone), post_time, zone)


def monday_of(on_date: date) -> date:
    """Return the Monday of a date's week."""
    return on_date - timedelta(days=on_date.weekday())


def period_of(period: Period, on_date: date) -> tuple[date | None, date | None]:
    """Return the first and last puzzle date of the day, ISO week or month that holds a date."""
    if period == "week":
        first = monday_of(on_date)
        return first, first + WEEK - ONE_DAY
    if period == "month":
        first = on_date.replace(day=1)
        return first, (first + timedelta(days=31)).replace(day=1) - ONE_DAY
    if period == "day":
        return on_date, on_date
    return None, None


def counted_from(
    seen_at: datetime, started_at: datetime | None, finished_at: datetime | None
) -> datetime:
    """Return when a member's time starts: their clock, though never before the puzzle could be
    seen; the post where there was no clock yet when they finished."""
    if started_at is None or not has_clock(started_at, finished_at):
        return seen_at
    return max(seen_at, started_at)


def has_clock(started_at: datetime | None, finished_at: datetime | None) -> bool:
    """Say whether a clock ran by the time that the member finished, or runs now."""
    return started_at is not None and (finished_at is None or started_at <= finished_at)


def whole_seconds(start: datetime, end: datetime) -> int:
    """Return the whole seconds from start to end, never below 0."""
    return max(0, int((end - start).total_seconds()))
