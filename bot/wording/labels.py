"""The few words that stand inside pictures: headings of the table, dates, the level.

All of `bot.wording` that drawing may know: it draws them, and chooses no others.
"""

from __future__ import annotations

from collections.abc import Iterable

from bot.club.facts import FORMER_MEMBER, SkillFacts, Table
from bot.wording.prose import FORMER, capitalise
from bot.wording.techniques import technique_name
from bot.wording.times import format_full_date, format_month
from bot.wording.times import format_weekday_date as format_weekday_date

HEADINGS = ("", "Name", "Solved", "Adjusted", "Time", "Hints", "Late", "Streak")
DAY_HEADINGS = ("", "Name", "Adjusted", "Time", "Hints", "Wrong")
LATE = "late"
NO_RESULTS = "No results."


def format_name(name: str) -> str:
    """Write a member's name, or what stands in its place after an erasure."""
    return FORMER if name == FORMER_MEMBER else name


def format_improved(names: Iterable[str]) -> str:
    """Write `Most improved: Rowan, Sorrel`."""
    return f"Most improved: {', '.join(map(format_name, names))}"


def format_level(level: int) -> str:
    """Write `Level 3`."""
    return f"Level {level}"


def format_period(table: Table) -> str:
    """Write which days a table counts."""
    first, last = table.first, table.last
    if table.period == "all" or first is None:
        return "All time"
    if table.period == "day" or first == last:
        return format_weekday_date(first)
    if table.period == "month":
        return format_month(first)
    week = first.isocalendar()
    until = f" to {format_full_date(last)}" if last else ""
    if last and (first.year, first.month) == (last.year, last.month):
        return f"Week {week.week} · {first.day}{until}"
    return f"Week {week.week} · {format_full_date(first)}{until}"


def format_more(count: int) -> str:
    """Write `and 4 more`, under a table that has more rows than fit."""
    return f"and {count} more"


PRACTICE = "Practice"
DUE = "due"


def format_alone(skill: SkillFacts) -> str:
    """Write `3 of 6 alone`."""
    return f"{skill.alone} of {skill.met} alone"


def format_technique(technique: str) -> str:
    """Write a technique's name as a line begins with it."""
    return capitalise(technique_name(technique))


def format_seconds(seconds: int) -> str:
    """Write `4:07` or `1:02:33`, from a hundred hours on `123 h 04`, which fits its column."""
    minutes, rest = divmod(max(seconds, 0), 60)
    hours, minutes = divmod(minutes, 60)
    if hours >= 100:
        return f"{hours} h {minutes:02}"
    return f"{hours}:{minutes:02}:{rest:02}" if hours else f"{minutes}:{rest:02}"
