"""The plan as a leader types and reads it; all wishes are checked before any is taken."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from datetime import date, timedelta

from msgspec.structs import replace

from bot.club.acts import PlanWeek
from bot.club.clock import next_date
from bot.club.facts_planning import PlannedDay
from bot.club.plan import (
    ANY_PATTERN,
    WEEKDAYS,
    fits,
    is_rising_on,
    plan_for,
    plan_of_weekday,
    settings_from,
    settings_on,
    theme_at_odds,
    with_plan_from,
    without_plan_from,
)
from bot.club.ports import Picked
from bot.club.problems import Problem
from bot.club.refusal import RefusedError, refuse
from bot.club.replies import PlanShown
from bot.club.state import ClubSettings, Puzzle
from bot.club.themes import HIGHEST_LEVEL, NO_THEME, NeverNeededError, read_theme
from bot.club.week_planning import (
    asks_for_lessons,
    week_planned,
    with_end,
    with_week_of_lessons,
    without_end,
)
from bot.club.weeks_kept import KeptWeek
from engine import making

AS_THE_WEEK = "week"
"""What takes a weekday's own theme or pattern back."""

WISHES = ("level", "theme", "pattern", "rising", "lessons")


_SUNDAY = 6


def start_of(act: PlanWeek, today: date, next_day: date, zone: str) -> date:
    """Return from when on an act plans; `next_day` is the first date that has no puzzle.

    Who plans on a Sunday means the new week, and tonight's puzzle is settled by then: it changes
    where that is said alone. RefusedError for a date that is past.
    """
    match act.starts:
        case date() as starts if starts < today:
            raise refuse("club plan", Problem.PLAN_PAST, starts)
        case date() as starts:
            return max(starts, next_day)
        case "next":
            return max(today + timedelta(days=7 - today.weekday()), next_day)
        case None if act.changes and today == next_day and today.weekday() == _SUNDAY:
            return next_date(today, zone)
    return next_day


def change_plan_from(
    settings: ClubSettings, act: PlanWeek, starts: date, next_day: date
) -> ClubSettings:
    """Return the settings with the plan changed from a date on; before it all stays. RefusedError
    names the first wish that does not fit, or says that no plan begins then that could go."""
    if act.is_dropped:
        if all(each.starts != starts for each in settings.later):
            raise refuse("club plan", Problem.NO_PLAN, starts)
        return without_end(settings, without_plan_from(starts, settings), starts)
    planned = change_plan(settings_on(starts, settings), act)
    after = with_plan_from(starts, settings, planned)
    if asks_for_lessons(act):
        after = with_end(settings, after, starts)
    return settings_from(next_day, after)


def line_for_today(act: PlanWeek) -> str:
    """Return the command line that plans the same for this week, today's puzzle included."""
    days = " ".join(WEEKDAYS[weekday] for weekday in act.weekdays) or "week"
    switches = {"yes": "rising", "no": "steady"}
    wishes = [
        switches.get(text, text) if name == "rising" else f"{name}={text}"
        for name, text in act.changes
    ]
    return " ".join(("club plan this", days, *wishes))


def change_plan(settings: ClubSettings, act: PlanWeek) -> ClubSettings:
    """Return the settings with all the wishes. RefusedError names the first that does not fit."""
    changed = settings
    for name, text in act.changes:
        try:
            if act.weekdays or name == "level":
                changed = _for_days(changed, act.weekdays or tuple(range(7)), name, text)
            else:
                changed = _for_the_week(changed, name, text)
        except ValueError as error:
            change = f"{name}={text}"
            if name not in WISHES:
                raise refuse("club plan", Problem.WISH, change) from None
            raise refuse_value("club plan", change, error) from None
    if asks_for_lessons(act):
        changed = with_week_of_lessons(changed, act)
    refuse_odd_theme("club plan", settings, changed)
    return changed


def refuse_value(command: str, change: str, error: ValueError) -> RefusedError:
    """Return the error, to be raised, for a value that cannot be read."""
    if isinstance(error, NeverNeededError):
        return refuse(command, Problem.NEVER_NEEDED, error.technique)
    return refuse(command, Problem.VALUE, change)


def theme_to_show(command: str, text: str) -> str:
    """Return the id of a technique to show things by, empty for none. Raises RefusedError."""
    try:
        theme = read_theme(text) if text else NO_THEME
    except ValueError as error:
        raise refuse_value(command, f"theme={text}", error) from None
    return "" if theme == NO_THEME else theme


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
        case "rising" | "lessons" if text in ("yes", "no"):
            return replace(settings, **{name: text == "yes"})
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


def plan_shown(settings: ClubSettings, stock: Sequence[Puzzle]) -> PlanShown:
    """Return a plan for showing, with how many puzzles of the stock fit each weekday."""
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
        changed=False,
    )


def _own_days(settings: ClubSettings, act: PlanWeek, wish: str) -> tuple[int, ...]:
    """Return the weekdays that keep their own where something is planned for the week."""
    if act.weekdays or all(name != wish for name, _ in act.changes):
        return ()
    return tuple(day for day in range(7) if getattr(settings.wishes[day], wish))


def plan_answer(
    before: ClubSettings,
    after: ClubSettings,
    act: PlanWeek,
    starts: date,
    next_day: date,
    stock: Sequence[Puzzle],
    kept: KeptWeek | None = None,
) -> PlanShown:
    """Return the plan that holds from a date on, and what a change of it has left as it was."""
    shown = settings_on(starts, after)
    ahead = [each.starts for each in after.later if each.starts > starts]
    has_own = any(each.starts == starts for each in after.later)
    is_about_today = not act.weekdays or next_day.weekday() in act.weekdays
    is_today_left = act.starts is None and starts > next_day and is_about_today
    return replace(
        plan_shown(shown, stock),
        changed=before != after,
        starts=starts if starts > next_day else None,
        has_own_start=has_own,
        then=min(ahead, default=None),
        own_themes=_own_days(shown, act, "theme"),
        own_patterns=_own_days(shown, act, "pattern"),
        for_today=line_for_today(act) if is_today_left else "",
        is_dropped=act.is_dropped,
        week=week_planned(after, starts, kept, stock),
    )


def outdated_picks(
    picks: Sequence[Picked], before: ClubSettings, after: ClubSettings
) -> tuple[date, ...]:
    """Return the dates whose pick was made for another plan than the one that holds now."""
    return tuple(
        pick.day
        for pick in picks
        if is_rising_on(pick.day, before) != is_rising_on(pick.day, after)
        or plan_for(pick.day, before) != plan_for(pick.day, after)
    )
