"""The sheet of a week's puzzles, which a leader prints for those who solve at a table.

It has what went up and what is to come; what is to come then stays as it was printed. The answer of
a puzzle that is still open is left out.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from msgspec import Struct

from bot.club.acts import Act, Event
from bot.club.answer_key import line_names
from bot.club.choosing import Coming
from bot.club.clock import WEEK, local_date, monday_of
from bot.club.course import Course, Decision
from bot.club.due import LOOK_AHEAD, days_to_come
from bot.club.exercises import Drawn, draw_several
from bot.club.facts import Position, StepFacts
from bot.club.facts_sheets import EXERCISES, Answers, PaperSize
from bot.club.ladders import ladder_of
from bot.club.leading_puzzles import load_to_come, picked_for
from bot.club.loading import Loading
from bot.club.problems import Missing, Problem
from bot.club.refusal import refuse
from bot.club.reply import Reply
from bot.club.state import Day, Puzzle, Scene

COMMAND = "club sheet"


@dataclass(frozen=True, slots=True)
class PrintSheet(Act):
    """A leader wants the puzzles of a week on paper: of this one, the next, or a date's. `a_page`:
    how many share a page at most. `practice`: a technique to add exercises of."""

    week: Literal["this", "next"] | date = "this"
    paper: PaperSize = PaperSize.A4
    a_page: int = 2
    answers: Answers = "last"
    practice: str = ""


class SheetDay(Struct, frozen=True, kw_only=True):
    """A puzzle on a sheet. `answer`: its solution, empty where it is not to be told.
    `is_open`: it is up now; `is_coming`: it is not up yet."""

    date: date
    level: int
    givens: str
    lines: tuple[str, str]
    credit: str = ""
    answer: str = ""
    is_open: bool = False
    is_coming: bool = False


class SheetExercise(Struct, frozen=True, kw_only=True):
    """A position at which `step` is to be found."""

    position: Position
    step: StepFacts


class SheetMade(Reply, frozen=True, kw_only=True):
    """A week's puzzles to print, Monday's date `monday`. `missing`: dates to come for which nothing
    is there yet. `club`: what the club is called."""

    club: str
    monday: date
    days: tuple[SheetDay, ...]
    missing: tuple[date, ...] = ()
    paper: PaperSize = PaperSize.A4
    a_page: int = 2
    answers: Answers = "last"
    exercises: tuple[SheetExercise, ...] = ()


@dataclass(frozen=True, slots=True)
class Week:
    """What of a week was up by then, and what all days up to its last will get, with the dates of
    these: None where nothing is there. `exercises`: what is to be practised."""

    monday: date
    posted: tuple[Day, ...]
    dates: tuple[date, ...]
    coming: tuple[Coming | None, ...]
    exercises: tuple[Drawn, ...] = ()


async def load_week(loading: Loading, scene: Scene, event: Event, act: PrintSheet) -> Week:
    """Load the puzzles of the week that is asked for."""
    club = scene.club
    monday = _monday_wanted(act, local_date(event.acted_at, club.settings.zone))
    wanted = {monday + timedelta(days=number) for number in range(WEEK.days)}
    days = await loading.store.load_days(club.id)
    posted = tuple(
        day
        for day in days
        if day.date in wanted
        and day.posted_at is not None
        and not day.is_void
        and day.due_at <= event.acted_at
    )
    ahead = days_to_come(club, days, event.acted_at, LOOK_AHEAD)
    last = max((each for each in ahead if each in wanted), default=None)
    exercises = _exercises(loading, scene, act, monday)
    if last is None:
        return Week(monday, posted, (), (), exercises)
    dates = ahead[: ahead.index(last) + 1]
    found = await load_to_come(loading, event, club, last, COMMAND, count=len(dates))
    return Week(monday, posted, dates, found.coming, exercises)


def _exercises(loading: Loading, scene: Scene, act: PrintSheet, monday: date) -> tuple[Drawn, ...]:
    """Return what is to be practised, the same in one week. Raises RefusedError for a technique
    that the club does without."""
    if not act.practice:
        return ()
    if all(each.id != act.practice for each in ladder_of(scene.club.settings)):
        raise refuse(COMMAND, Problem.UNIQUENESS, act.practice)
    seed = f"{scene.club.home} {monday} {act.practice}"
    return loading.studies.of(draw_several, act.practice, seed, EXERCISES)


def _monday_wanted(act: PrintSheet, today: date) -> date:
    match act.week:
        case date() as named:
            return monday_of(named)
        case "next":
            return monday_of(today) + WEEK
    return monday_of(today)


def decide_sheet(scene: Scene, event: Event, act: PrintSheet, week: Week) -> Decision:
    """Give the sheet of a week; what it shows of days to come is what goes up."""
    club = scene.club
    up = [
        _sheet_day(day.date, day.puzzle, act, is_open=event.acted_at < day.closes_at)
        for day in week.posted
    ]
    own = [pair for pair in zip(week.dates, week.coming, strict=True) if pair[0] >= week.monday]
    ahead = [_sheet_day(day, coming.puzzle, act, is_coming=True) for day, coming in own if coming]
    if not up and not ahead:
        raise refuse(COMMAND, Problem.MISSING, Missing.PUZZLE)
    reply = SheetMade(
        club=club.settings.name,
        monday=week.monday,
        days=(*sorted(up, key=lambda day: day.date), *ahead),
        missing=tuple(day for day, coming in own if coming is None),
        paper=act.paper,
        a_page=act.a_page,
        answers=act.answers,
        exercises=tuple(
            SheetExercise(position=drawn.position, step=drawn.step)
            for drawn in week.exercises
            if drawn.step is not None
        ),
    )
    return Decision(reply, picked_for(club, week.coming))


def _sheet_day(
    on_date: date,
    puzzle: Puzzle,
    act: PrintSheet,
    *,
    is_open: bool = False,
    is_coming: bool = False,
) -> SheetDay:
    return SheetDay(
        date=on_date,
        level=puzzle.level,
        givens=puzzle.givens,
        lines=line_names(puzzle.givens),
        credit=puzzle.credit,
        answer="" if is_open or act.answers == "none" else puzzle.solution,
        is_open=is_open,
        is_coming=is_coming,
    )


SHEET = Course(PrintSheet, decide_sheet, load_week)
