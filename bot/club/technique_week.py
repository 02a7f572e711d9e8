"""A technique week: its lesson on Monday, a question on Wednesday, and on Sunday what came of it.

It is planned like a week (`lessons` of the plan, with a theme), so a plan that is changed or
dropped changes it too. Each part goes up at the daily hour, or as soon after it as can be, and
once: what is up is kept. A part whose time is over is left out, and no question ends one that is
still open.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from hashlib import sha256
from typing import Literal

from bot.club.asked import Asked
from bot.club.asking import next_number
from bot.club.clock import local_date, monday_of, scheduled_at
from bot.club.due import WeekDue
from bot.club.exercises import practised_techniques
from bot.club.facts import HintPicture
from bot.club.lessons import worked_picture
from bot.club.loading import Loading
from bot.club.plan import settings_on
from bot.club.ports import Change, QueueNotice, Store
from bot.club.posing import Posed, study_drawn
from bot.club.putting_questions import question_changes
from bot.club.replies import encode_reply
from bot.club.reply import Reply
from bot.club.state import Club, ClubSettings, Day, Member, MemberSolve
from bot.club.week_sums import Sums, sums_of
from bot.club.weeks_kept import KeptWeek, Learner, SaveWeek

QUESTION_DAY, LAST_QUESTION_DAY, SUMS_DAY = 2, 5, 6
"""Weekdays, Monday being 0: when the question goes up at the earliest, and at the latest."""

LOOK_BACK = timedelta(days=28)
"""So far before the week it is looked at who needed hints."""


class LessonPosted(Reply, frozen=True, kw_only=True):
    """The week's lesson, as it goes up. `can_practise`: there are positions to practise at."""

    technique: str
    picture: HintPicture
    can_practise: bool = True


class WeekTold(Reply, frozen=True, kw_only=True):
    """What came of the week: how many members `tried` the technique, and how many `gained` it: it
    had not gone well for them, and now does. 0 where that is too few to be told."""

    technique: str
    tried: int = 0
    gained: int = 0
    can_practise: bool = True


def technique_on(on_date: date, settings: ClubSettings) -> str:
    """Return the technique of a date's technique week, empty where it is in none."""
    planned = settings_on(on_date, settings)
    return (planned.theme or "") if planned.lessons else ""


def week_of(kept: KeptWeek | None, on_date: date, technique: str) -> KeptWeek | None:
    """Return what is kept of a date's week, None where its lesson is not up yet."""
    if kept is None or (kept.monday, kept.technique) != (monday_of(on_date), technique):
        return None
    return kept


def can_practise(technique: str) -> bool:
    """Say whether there are positions of a technique, for practice and for a question."""
    return technique in practised_techniques()


# --- what is due ---


async def load_week_due(store: Store, club: Club, now: datetime) -> tuple[WeekDue, ...]:
    """Return the part of the week that is to go up now, if one is."""
    settings = club.settings
    today = local_date(now, settings.zone)
    technique = technique_on(today, settings)
    if not technique or club.paused or now < scheduled_at(today, settings.post_time, settings.zone):
        return ()
    kept = week_of(await store.load_week(club.id), today, technique)
    asked = await store.load_question(club.id, "") if kept and not kept.question else None
    part = next_part(club, today, technique, kept, asked)
    return (WeekDue(club, part, today, technique, now),) if part else ()


Part = Literal["lesson", "question", "sums"]


def next_part(
    club: Club, today: date, technique: str, kept: KeptWeek | None, asked: Asked | None
) -> Part | None:
    """Return which part is to go up on a date after the daily hour, by what is up already. `asked`:
    the club's question, where the week has had none."""
    weekday = today.weekday()
    if weekday == SUMS_DAY:
        return "sums" if kept is not None and not kept.is_told else None
    if kept is None:
        return "lesson"
    begun = local_date(kept.begun_at, club.settings.zone)
    is_time = QUESTION_DAY <= weekday <= LAST_QUESTION_DAY and begun < today
    is_free = not kept.question and (asked is None or asked.is_over)
    return "question" if is_time and is_free and can_practise(technique) else None


# --- having it go up ---


@dataclass(frozen=True, slots=True)
class ToTeach:
    """What is up of the week, and what the part that is due needs: the question before and the
    position of the new one, or who stands where, with the days that tell of it."""

    kept: KeptWeek | None = None
    asked: Asked | None = None
    posed: Posed | None = None
    learners: tuple[Learner, ...] = ()
    days: Sequence[tuple[Day, Sequence[tuple[Member, MemberSolve]]]] = ()


async def load_to_teach(loading: Loading, due: WeekDue) -> ToTeach:
    """Load what a part needs. `due` is asked anew: it may be up meanwhile."""
    club, store = due.club, loading.store
    kept = week_of(await store.load_week(club.id), due.date, due.technique)
    wider = ToTeach(kept, await store.load_question(club.id, ""))
    if due.part == "question":
        seed = f"{club.platform}:{club.home}:{due.date.isoformat()}:{due.technique}"
        mark = sha256(seed.encode()).hexdigest()
        return replace(wider, posed=loading.studies.of(study_drawn, due.technique, mark))
    if due.part == "sums":
        since = monday_of(due.date) - LOOK_BACK
        days = await store.load_days(club.id, since=since)
        entries = [(day, await store.load_entries(day.id)) for day in days]
        learners = await store.load_learners(club.id, due.technique)
        return replace(wider, learners=learners, days=entries)
    return wider


def week_changes(due: WeekDue, wider: ToTeach) -> tuple[Change, ...]:
    """Return what a part that goes up changes; nothing where it is up."""
    if next_part(due.club, due.date, due.technique, wider.kept, wider.asked) != due.part:
        return ()
    match due.part:
        case "lesson":
            return _lesson(due)
        case "question":
            return _question(due, wider)
        case "sums":
            return _sums(due, wider)


def _lesson(due: WeekDue) -> tuple[Change, ...]:
    posted = LessonPosted(
        technique=due.technique,
        picture=worked_picture(due.technique),
        can_practise=can_practise(due.technique),
    )
    week = KeptWeek(monday_of(due.date), due.technique, due.at)
    return _to_room(due, "lesson", posted), SaveWeek(due.club.id, week)


def _question(due: WeekDue, wider: ToTeach) -> tuple[Change, ...]:
    """Put the question; its find is shown at Sunday's daily hour."""
    assert wider.kept is not None
    assert wider.posed is not None
    club, settings = due.club, due.club.settings
    sunday = monday_of(due.date) + timedelta(days=SUMS_DAY)
    until = scheduled_at(sunday, settings.post_time, settings.zone)
    put = question_changes(club, wider.asked, wider.posed.position, wider.posed.step, until)
    return *put, SaveWeek(
        club.id, replace(wider.kept, question=next_number(wider.asked), asked_at=due.at)
    )


def _sums(due: WeekDue, wider: ToTeach) -> tuple[Change, ...]:
    assert wider.kept is not None
    is_ours = wider.asked is not None and wider.asked.number == wider.kept.question
    sums = sums_of(wider.kept, wider.learners, wider.days, with_question=is_ours)
    return _told(due, sums), SaveWeek(due.club.id, replace(wider.kept, is_told=True))


def _told(due: WeekDue, sums: Sums) -> QueueNotice:
    told = WeekTold(
        technique=due.technique,
        tried=sums.tried,
        gained=sums.gained,
        can_practise=can_practise(due.technique),
    )
    return _to_room(due, "learned", told)


def _to_room(due: WeekDue, kind: str, reply: Reply) -> QueueNotice:
    key = f"{kind}:{due.club.id}:{monday_of(due.date).isoformat()}:{due.technique}"
    return QueueNotice(due.club.id, key, "room", encode_reply(reply))
