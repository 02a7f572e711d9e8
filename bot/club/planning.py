"""The plan as a leader types and reads it; all wishes are checked before any is taken."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from datetime import date

from msgspec.structs import replace

from bot.club.acts import PlanWeek
from bot.club.facts_planning import PlannedDay
from bot.club.plan import (
    ANY_PATTERN,
    fits,
    plan_for,
    plan_of_weekday,
    theme_at_odds,
)
from bot.club.ports import Picked
from bot.club.problems import Problem
from bot.club.refusal import refuse
from bot.club.replies import PlanShown
from bot.club.state import ClubSettings, Puzzle
from bot.club.themes import HIGHEST_LEVEL, NO_THEME, read_theme
from engine import making

AS_THE_WEEK = "week"
"""What takes a weekday's own theme or pattern back."""

WISHES = ("level", "theme", "pattern", "rising")


def change_plan(settings: ClubSettings, act: PlanWeek) -> ClubSettings:
    """Return the settings with all the wishes. RefusedError names the first that does not fit."""
    changed = settings
    for name, text in act.changes:
        try:
            if act.weekdays or name == "level":
                changed = _for_days(changed, act.weekdays or tuple(range(7)), name, text)
            else:
                changed = _for_the_week(changed, name, text)
        except ValueError:
            problem = Problem.VALUE if name in WISHES else Problem.WISH
            raise refuse("club plan", problem, f"{name}={text}") from None
    refuse_odd_theme("club plan", settings, changed)
    return changed


def refuse_odd_theme(command: str, before: ClubSettings, after: ClubSettings) -> None:
    """Refuse a change after which a theme rests on what the club does without."""
    theme = theme_at_odds(after)
    if theme and theme != theme_at_odds(before):
        raise refuse(command, Problem.UNIQUENESS, theme)


def _for_the_week(settings: ClubSettings, name: str, text: str) -> ClubSettings:
    match name:
        case "theme":
            theme = NO_THEME if text == ANY_PATTERN else read_theme(text)
            return replace(settings, theme=None if theme == NO_THEME else theme)
        case "pattern":
            pattern = _read_pattern(text)
            return replace(settings, pattern="" if pattern == ANY_PATTERN else pattern)
        case "rising" if text in ("yes", "no"):
            return replace(settings, rising=text == "yes")
    raise ValueError(name)


def _for_days(
    settings: ClubSettings, weekdays: Iterable[int], name: str, text: str
) -> ClubSettings:
    levels, wishes = list(settings.levels), list(settings.wishes)
    for weekday in weekdays:
        match name:
            case "level":
                lowest, highest = _read_levels(text)
                levels[weekday] = lowest
                up_to = highest if highest > lowest else 0
                wishes[weekday] = replace(wishes[weekday], up_to=up_to)
            case "theme":
                theme = "" if text == AS_THE_WEEK else read_theme(text)
                wishes[weekday] = replace(wishes[weekday], theme=theme)
            case "pattern":
                pattern = "" if text == AS_THE_WEEK else _read_pattern(text)
                wishes[weekday] = replace(wishes[weekday], pattern=pattern)
            case _:
                raise ValueError(name)
    return replace(settings, levels=tuple(levels), wishes=tuple(wishes))


def _read_levels(text: str) -> tuple[int, int]:
    """Read `2` or `2-3`. Raises ValueError."""
    found = re.fullmatch(r"([1-9])(?:[-\u2013]([1-9]))?", text)
    if not found:
        raise ValueError(text)
    lowest, highest = int(found[1]), int(found[2] or found[1])
    if not lowest <= highest <= HIGHEST_LEVEL:
        raise ValueError(text)
    return lowest, highest


def _read_pattern(text: str) -> str:
    pattern = "-".join(text.replace("_", " ").replace("-", " ").split())
    if pattern in ("none", "no", ANY_PATTERN):
        return ANY_PATTERN
    if pattern not in making.PATTERNS:
        raise ValueError(text)
    return pattern


def plan_shown(
    settings: ClubSettings, stock: Sequence[Puzzle], *, changed: bool = False
) -> PlanShown:
    """Return the plan for showing, with how many puzzles of the stock fit each weekday."""
    counts: dict[object, int] = {}
    days = []
    for weekday in range(7):
        plan, wish = plan_of_weekday(weekday, settings), settings.wishes[weekday]
        if plan not in counts:
            counts[plan] = len({each.identity for each in stock if fits(each, plan)})
        days.append(
            PlannedDay(
                weekday=weekday,
                lowest=plan.lowest,
                highest=plan.highest,
                theme=plan.theme,
                pattern=plan.pattern,
                stock=counts[plan],
                is_raised=max(settings.levels[weekday], wish.up_to) < plan.lowest,
                has_own=bool(wish.theme or wish.pattern),
            )
        )
    return PlanShown(
        days=tuple(days),
        theme=settings.theme or "",
        pattern=settings.pattern,
        rising=settings.rising,
        changed=changed,
    )


def outdated_picks(
    picks: Sequence[Picked], before: ClubSettings, after: ClubSettings
) -> tuple[date, ...]:
    """Return the dates whose pick was made for another plan than the one that holds now."""
    is_new = before.rising != after.rising
    return tuple(
        pick.day
        for pick in picks
        if is_new or plan_for(pick.day, before) != plan_for(pick.day, after)
    )
