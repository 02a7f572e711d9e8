"""The few words that stand inside pictures: headings of the table, dates, the level."""

from __future__ import annotations

from datetime import date

from bot.club.facts import FORMER_MEMBER, Table

_MONTHS = (
    "January", "February", "March", "April", "May", "June", "July",
    "August", "September", "October", "November", "December",
)  # fmt: skip
_WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")

HEADINGS = ("", "Name", "Solved", "Adjusted", "Time", "Hints", "Late", "Streak")
MOST_IMPROVED = "Most improved"
NO_RESULTS = "No results yet."
FORMER = "a former member"


def format_date(day: date) -> str:
    """Write `24 November 2026`, whatever the machine's language is."""
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"


def format_weekday(day: date) -> str:
    """Write `Tuesday`, whatever the machine's language is."""
    return _WEEKDAYS[day.weekday()]


def format_name(name: str) -> str:
    """Write a member's name, or what stands in its place after an erasure."""
    return FORMER if name == FORMER_MEMBER else name


def format_level(level: int) -> str:
    """Write `Level 3`."""
    return f"Level {level}"


def format_period(table: Table) -> str:
    """Write which days a table counts."""
    first, last = table.first, table.last
    if table.period == "all" or first is None:
        return "All time"
    if table.period == "day" or first == last:
        return f"{format_weekday(first)} {format_date(first)}"
    if table.period == "month":
        return f"{_MONTHS[first.month - 1]} {first.year}"
    week = first.isocalendar()
    until = f" to {format_date(last)}" if last else ""
    if last and (first.year, first.month) == (last.year, last.month):
        return f"Week {week.week} · {first.day}{until}"
    return f"Week {week.week} · {format_date(first)}{until}"


def format_more(count: int) -> str:
    """Write `and 4 more`, under a table that has more rows than fit."""
    return f"and {count} more"


def format_seconds(seconds: int) -> str:
    """Write `4:07` or `1:02:33`, from a hundred hours on `123 h 04`, which fits its column."""
    minutes, rest = divmod(max(seconds, 0), 60)
    hours, minutes = divmod(minutes, 60)
    if hours >= 100:
        return f"{hours} h {minutes:02}"
    return f"{hours}:{minutes:02}:{rest:02}" if hours else f"{minutes}:{rest:02}"
