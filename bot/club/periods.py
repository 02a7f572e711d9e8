"""The periods that a table can be of, how one is written, and those before and after it.

A period is written `2026-W48` (the ISO week), `2026-12` or `2026-12-27`. What people say of the
one under way, or the last, is read in `bot.commands`.
"""

from __future__ import annotations

import re
from datetime import date

from bot.club.clock import ONE_DAY, Period, period_of

_WEEK = re.compile(r"(20[0-9]{2})-?[wW]([0-9]{1,2})")
_MONTH = re.compile(r"(20[0-9]{2})-([0-9]{1,2})")
_DAY = re.compile(r"(20[0-9]{2})-([0-9]{1,2})-([0-9]{1,2})")


def parse_period(text: str) -> tuple[Period, date]:
    """Read a period's name; return its kind, and its first date. Raises ValueError."""
    if found := _WEEK.fullmatch(text):
        return "week", date.fromisocalendar(int(found[1]), int(found[2]), 1)
    if found := _MONTH.fullmatch(text):
        return "month", date(int(found[1]), int(found[2]), 1)
    if found := _DAY.fullmatch(text):
        return "day", date(int(found[1]), int(found[2]), int(found[3]))
    raise ValueError(f"{text!r} is no week, month or day")


def format_period(period: Period, on_date: date) -> str:
    """Write the name of the period that holds a date; that of all time is `all`."""
    if period == "week":
        year, week, _ = on_date.isocalendar()
        return f"{year}-W{week:02}"
    if period == "month":
        return f"{on_date:%Y-%m}"
    return on_date.isoformat() if period == "day" else "all"


def span_of(period: Period, on_date: date, *, ago: int = 0) -> tuple[date | None, date | None]:
    """Return the first and last date of the period that is so many before the one of a date."""
    first, last = period_of(period, on_date)
    for _ in range(ago):
        if first is not None:
            first, last = period_of(period, first - ONE_DAY)
    return first, last


def beside(
    period: Period, nearest: tuple[date | None, date | None]
) -> tuple[date | None, date | None]:
    """Return the first dates of the periods that hold the nearest dates before and after one."""
    earlier, later = (day and period_of(period, day)[0] for day in nearest)
    return earlier, later
