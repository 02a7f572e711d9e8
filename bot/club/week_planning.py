"""A technique week as a leader plans it: `lessons=yes` beside a theme, in one line.

It lasts from its Monday to its Sunday, all its puzzles at the theme's level; then the plan of
before carries on. What cannot be had for it, a question or enough puzzles, is told when it is
planned.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from msgspec.structs import replace

from bot.club.acts import PlanWeek
from bot.club.clock import WEEK, local_date, monday_of
from bot.club.facts_planning import WeekPlanned
from bot.club.plan import fits, plan_for, settings_on, with_plan_from, without_plan_from
from bot.club.problems import Missing, Problem
from bot.club.refusal import refuse
from bot.club.state import ClubSettings, Puzzle
from bot.club.technique_week import (
    LAST_QUESTION_DAY,
    QUESTION_DAY,
    SUMS_DAY,
    can_practise,
    technique_on,
    week_of,
)
from bot.club.weeks_kept import KeptWeek
from engine import technique_with


def asks_for_lessons(act: PlanWeek) -> bool:
    """Say whether an act plans a technique week."""
    return ("lessons", "yes") in act.changes


def start_of_lessons(act: PlanWeek, settings: ClubSettings, starts: date) -> date:
    """Return from when on an act plans, that would plan from `starts` on.

    A technique week begins on a Monday where nothing else is said, and never on a Sunday. One that
    is taken back is taken back where it begins.
    """
    if asks_for_lessons(act):
        is_late = starts.weekday() == SUMS_DAY
        if is_late or (act.starts is None and starts != monday_of(starts)):
            return monday_of(starts) + WEEK
    if ("lessons", "no") in act.changes and act.starts is None:
        return first_with_lessons(settings, starts) or starts
    return starts


def with_week_of_lessons(settings: ClubSettings, act: PlanWeek) -> ClubSettings:
    """Return a changed plan as a technique week: rising, and at the theme's level, where nothing
    else is said. RefusedError where it has no theme."""
    theme = settings.theme
    if theme is None:
        raise refuse("club plan", Problem.MISSING, Missing.THEME)
    named = {name for name, _ in act.changes}
    if "rising" not in named:
        settings = replace(settings, rising=True)
    if "level" not in named:
        level = technique_with(theme).level
        wishes = tuple(replace(wish, up_to=0) for wish in settings.wishes)
        settings = replace(settings, levels=(level,) * len(wishes), wishes=wishes)
    return settings


def with_end(before: ClubSettings, after: ClubSettings, starts: date) -> ClubSettings:
    """Return settings that have a technique week with the plan of before it from its end on."""
    end = monday_of(starts) + WEEK
    return with_plan_from(end, after, settings_on(end, before))


def without_end(before: ClubSettings, after: ClubSettings, starts: date) -> ClubSettings:
    """Return settings from which the plan that began on a date is gone, without the one that was to
    carry on behind it, where that was a technique week."""
    end = monday_of(starts) + WEEK
    without = without_plan_from(end, after)
    if not settings_on(starts, before).lessons:
        return after
    left, kept = (replace(settings_on(end, each), later=()) for each in (without, after))
    return without if left == kept else after


def first_with_lessons(settings: ClubSettings, starts: date) -> date | None:
    """Return the first date from one on that is in a technique week, None where none is planned."""
    if technique_on(starts, settings):
        return starts
    ahead = (each.starts for each in settings.later if each.lessons and each.starts > starts)
    return min(ahead, default=None)


def week_planned(
    settings: ClubSettings, starts: date, kept: KeptWeek | None, stock: Sequence[Puzzle]
) -> WeekPlanned | None:
    """Return the technique week that is planned from a date on, None where none is. `kept`: how far
    the club's last one is."""
    first = first_with_lessons(settings, starts)
    if first is not None and first.weekday() == SUMS_DAY:
        # On a Sunday nothing of it begins: where its lesson is not up, it is the next one's turn.
        is_up = week_of(kept, first, technique_on(first, settings)) is not None
        first = first if is_up else first_with_lessons(settings, first + timedelta(days=1))
    if first is None:
        return None
    technique, sunday = technique_on(first, settings), monday_of(first) + timedelta(days=SUMS_DAY)
    up = week_of(kept, first, technique)
    lesson_on = local_date(up.begun_at, settings.zone) if up else first
    dates = [first + timedelta(days=count) for count in range((sunday - first).days + 1)]
    plans = {plan_for(each, settings) for each in dates}
    fitting = {
        each.identity: each
        for each in stock
        if any(plan.theme == technique and fits(each, plan) for plan in plans)
    }
    return WeekPlanned(
        technique=technique,
        lesson_on=lesson_on,
        is_lesson_up=up is not None,
        question_on=_question_on(settings, lesson_on, technique, up),
        is_question_up=up is not None and up.question > 0,
        sums_on=sunday,
        can_practise=can_practise(technique),
        puzzles=sum(plan_for(each, settings).theme == technique for each in dates),
        fitting=len(fitting),
        clean=sum(each.is_clean_for(technique) for each in fitting.values()),
    )


def _question_on(
    settings: ClubSettings, lesson_on: date, technique: str, up: KeptWeek | None
) -> date | None:
    if up is not None and up.asked_at is not None:
        return local_date(up.asked_at, settings.zone)
    monday = monday_of(lesson_on)
    day = max(monday + timedelta(days=QUESTION_DAY), lesson_on + timedelta(days=1))
    is_time = day <= monday + timedelta(days=LAST_QUESTION_DAY)
    return day if is_time and can_practise(technique) else None
