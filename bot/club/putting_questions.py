"""A question is put up: of a technique, of where a closed day's puzzle turned, or as pasted.

It is never about an open day's puzzle, and about one to come only if the leader is sure; then its
find is shown before that goes up. What it is about is found by `bot.club.posing`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from bot.club.acts import Act, Event
from bot.club.asked import Asked, Marking
from bot.club.asking import QuestionUp, next_number, question_of, saved_question
from bot.club.clock import scheduled_at
from bot.club.course import Course, Decision
from bot.club.due import LOOK_AHEAD, days_to_come
from bot.club.facts import GridPicture, Position, StepFacts
from bot.club.ladders import ladder_of
from bot.club.loading import Loading
from bot.club.ports import Change, QueueNotice
from bot.club.posing import COMMAND, Posed, study_drawn, study_lesson, study_pasted, study_turn
from bot.club.problems import Problem
from bot.club.refusal import RefusedError, refuse
from bot.club.replies import encode_reply
from bot.club.reply import Reply
from bot.club.state import Club, ClubSettings, Day, Scene
from bot.club.until import Until


@dataclass(frozen=True, slots=True)
class PutQuestion(Act):
    """Put a question: of a technique, or of where the puzzle of a closed day turns. `until`: when
    the find is shown of itself; `mark`: what is marked of it. `pasted`: a position as a leader
    pasted it, with what is `struck` beside; a technique is looked for there then. `seed`: of a
    technique another position than the lesson's, chosen by it. `sure`: also about a puzzle that
    is still to come."""

    technique: str = ""
    day: date | None = None
    until: Until | None = None
    mark: Marking = "house"
    pasted: str = ""
    struck: tuple[tuple[str, int], ...] = ()
    seed: str = ""
    sure: bool = False


class QuestionPut(Reply, frozen=True, kw_only=True):
    """The leader is told that it goes up. `ended`: the one before was not yet revealed."""

    number: int
    ended: bool = False
    until: datetime | None = None
    zone: str = "UTC"


class QuestionAhead(Reply, frozen=True, kw_only=True):
    """The leader is asked whether they are sure: the puzzle is still to come, on a `date` if one is
    known; `is_pasted`: a position of it was pasted."""

    date: date | None
    is_pasted: bool = False


@dataclass(frozen=True, slots=True)
class Ahead:
    """The puzzle that a question is about is still to come, on a date if one is known, and no
    sooner than `opens_at`."""

    date: date | None
    opens_at: datetime


@dataclass(frozen=True, slots=True)
class ToAsk:
    """What the question before was, and what the new one is about. `ahead`: about a puzzle that
    members have still to meet."""

    before: Asked | None
    posed: Posed | None = None
    ahead: Ahead | None = None


async def load_to_ask(loading: Loading, scene: Scene, event: Event, act: PutQuestion) -> ToAsk:
    """Load the position and the find."""
    return await load_posed(loading, scene.club, act, event.user_id, event.acted_at)


async def load_posed(
    loading: Loading, club: Club, act: PutQuestion, user_id: str, at: datetime
) -> ToAsk:
    """Load the question before and what the new one is about. Raises RefusedError for a technique
    that the club does without."""
    studies, before = loading.studies, await loading.store.load_question(club.id, user_id)
    if act.technique and act.technique not in {each.id for each in ladder_of(club.settings)}:
        raise refuse(COMMAND, Problem.UNIQUENESS, act.technique)
    if act.pasted:
        return await _load_pasted(loading, club, before, act, at)
    if act.technique:
        seed = act.seed
        if before is not None and question_of(before).step.technique == act.technique:
            seed = seed or str(before.number)
        if not seed:
            return ToAsk(before, studies.of(study_lesson, act.technique))
        return ToAsk(before, studies.of(study_drawn, act.technique, f"{club.id} {seed}"))
    days = await loading.store.load_days(club.id)
    if act.day is not None and all(day.date != act.day for day in days):
        return await _load_ahead(loading, club, before, act.day, days, at)
    if any(day.date == act.day and not day.is_closed for day in days):
        raise refuse(COMMAND, Problem.STILL_OPEN)
    closed = [day for day in days if day.is_closed and day.posted_at]
    if act.day is not None:
        closed = [day for day in closed if day.date == act.day]
    if not closed:
        return ToAsk(before)
    return ToAsk(before, studies.of(study_turn, closed[-1].puzzle.givens, club.settings))


async def _load_ahead(
    loading: Loading,
    club: Club,
    before: Asked | None,
    day: date,
    days: Sequence[Day],
    at: datetime,
) -> ToAsk:
    """Load where the puzzle of a day to come turns."""
    settings = club.settings
    if day not in days_to_come(club, days, at, LOOK_AHEAD):
        return ToAsk(before)
    puzzle = await loading.choose(club, day)
    if puzzle is None:
        return ToAsk(before)
    ahead = Ahead(day, scheduled_at(day, settings.post_time, settings.zone))
    posed = loading.studies.of(study_turn, puzzle.givens, settings)
    return ToAsk(before, posed, ahead)


async def _load_pasted(
    loading: Loading, club: Club, before: Asked | None, act: PutQuestion, at: datetime
) -> ToAsk:
    """Load a find at a pasted position, and when its puzzle comes if it is queued or chosen."""
    store, settings = loading.store, club.settings
    days = await store.load_days(club.id, open_only=True)
    queued, picked = await store.load_queue(club.id), await store.load_picks(club.id)
    coming = {each.puzzle.givens: each.day for each in queued}
    coming |= {each.puzzle.givens: each.day for each in picked}
    posed = loading.studies.of(
        study_pasted,
        act.pasted,
        act.struck,
        act.technique,
        settings,
        tuple(day.puzzle.givens for day in days),
        tuple(coming),
    )
    if not posed.of_coming:
        return ToAsk(before, posed)
    day = coming[posed.of_coming]
    on_date = day or days_to_come(club, days, at, 1)[0]
    opens_at = scheduled_at(on_date, settings.post_time, settings.zone)
    return ToAsk(before, posed, Ahead(day, opens_at))


def decide_asking(scene: Scene, event: Event, act: PutQuestion, wider: ToAsk) -> Decision:
    """Put the question up."""
    return Decision(*put_question(scene.club, act, wider, event.acted_at))


def posed_for(act: PutQuestion, wider: ToAsk) -> Posed:
    """Return what a question is about. Raises RefusedError where there is nothing, and for a puzzle
    to come unless the leader is sure."""
    if wider.posed is None:
        raise refuse(COMMAND, Problem.NO_FIND, act.technique or act.day or "")
    if wider.ahead is not None and not act.sure:
        raise RefusedError(QuestionAhead(date=wider.ahead.date, is_pasted=bool(act.pasted)))
    return wider.posed


def put_question(
    club: Club, act: PutQuestion, wider: ToAsk, at: datetime
) -> tuple[QuestionPut, tuple[Change, ...]]:
    """Return what the leader is told, and the changes. Raises RefusedError."""
    posed, before = posed_for(act, wider), wider.before
    until = _shown_at(act, club.settings, at)
    if wider.ahead is not None:  # what is found is out for all before the puzzle is
        until = min(until or wider.ahead.opens_at, wider.ahead.opens_at)
    ended = before is not None and not before.is_over
    put = QuestionPut(number=next_number(before), ended=ended, until=until, zone=club.settings.zone)
    return put, question_changes(club, before, posed.position, posed.step, until, mark=act.mark)


def question_changes(
    club: Club,
    before: Asked | None,
    position: Position,
    step: StepFacts,
    until: datetime | None,
    *,
    mark: Marking = "house",
) -> tuple[Change, ...]:
    """Return what putting a question changes."""
    shown = GridPicture(
        position.givens,
        position,
        with_candidates=True,
        houses=step.houses[:1] if mark == "house" else (),
        cells=step.cells if mark == "pattern" else (),
    )
    number, zone = next_number(before), club.settings.zone
    question = QuestionUp(
        number=number, step=step, picture=shown, until=until, zone=zone, mark=mark
    )
    key = f"question:{club.id}:{number}"
    posted = QueueNotice(club.id, key, "room", encode_reply(question))
    return *saved_question(club, before, question), posted


def _shown_at(act: PutQuestion, settings: ClubSettings, asked_at: datetime) -> datetime | None:
    """Return when the find is shown of itself. Raises RefusedError for a time that is past."""
    if act.until is None:
        return None
    at = act.until.moment(asked_at, zone=settings.zone, daily=settings.post_time)
    if at is None:
        raise refuse(COMMAND, Problem.UNTIL, written_time(act.until, settings))
    return at


def written_time(until: Until, settings: ClubSettings) -> str:
    """Return the date and hour of a time that is refused."""
    on_date = until.on.isoformat() if until.on else ""
    return " ".join(filter(None, (on_date, until.hour))) or settings.post_time


ASK = Course(PutQuestion, decide_asking, load_to_ask)
