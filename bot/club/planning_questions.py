"""Questions that are planned like a day: put in the plan, shown, dropped, and put up when due."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from bot.club.acts import Act, Event
from bot.club.agenda import Agenda, DropPlanned, QuestionDue, SavePlanned, moved_on, planned_on
from bot.club.asking import reveal_changes
from bot.club.clock import local_date
from bot.club.course import Course, Decision
from bot.club.facts_planning import Planned
from bot.club.loading import Loading
from bot.club.ports import Change
from bot.club.posing import COMMAND
from bot.club.problems import Problem
from bot.club.putting_questions import (
    PutQuestion,
    ToAsk,
    load_posed,
    posed_for,
    put_question,
    written_time,
)
from bot.club.refusal import RefusedError, refuse
from bot.club.replies import InputRefused
from bot.club.reply import Reply
from bot.club.rights import to_leaders
from bot.club.state import Club, Scene
from bot.club.until import Until


@dataclass(frozen=True, slots=True)
class PlanQuestion(Act):
    """Plan a question for a day to come, or, `is_weekly`, for that day of each week."""

    question: PutQuestion
    when: Until
    is_weekly: bool = False


@dataclass(frozen=True, slots=True)
class DropQuestion(Act):
    """Take a question out of the plan: that of a day, or the only one there is."""

    when: Until | None = None


class QuestionPlanned(Reply, frozen=True, kw_only=True):
    """It is planned, and goes up `next_at`. `instead`: what was planned for the date before."""

    planned: Planned
    next_at: datetime
    zone: str
    instead: Planned | None = None


class QuestionDropped(Reply, frozen=True, kw_only=True):
    """It is out of the plan, None where nothing is planned for what was named; what is `left`."""

    dropped: Planned | None
    left: tuple[Planned, ...] = ()


class QuestionMissing(Reply, frozen=True, kw_only=True):
    """To a leader, privately: what was planned for a date of `club` could not be put; since it
    `is_open`, a position of the puzzle that is up, or since there is nothing to ask."""

    club: str
    planned: Planned
    is_open: bool = False


# --- planning it ---


@dataclass(frozen=True, slots=True)
class ToPlan:
    """What is planned, and the question as it could be put now."""

    agenda: Agenda
    to_ask: ToAsk | None = None


async def load_to_plan(loading: Loading, scene: Scene, event: Event, act: PlanQuestion) -> ToPlan:
    """Load what is planned, and find out whether there is something to ask."""
    agenda = await loading.store.load_agenda(scene.club.id)
    question = act.question
    if not question.technique and not question.pasted:
        return ToPlan(agenda)  # where the latest puzzle turns by then
    return ToPlan(
        agenda, await load_posed(loading, scene.club, question, event.user_id, event.acted_at)
    )


def decide_plan(scene: Scene, event: Event, act: PlanQuestion, wider: ToPlan) -> Decision:
    """Plan the question. What could not be put now is refused."""
    question, club = act.question, scene.club
    zone, daily = club.settings.zone, club.settings.post_time
    next_at = _day_of(act.when).moment(event.acted_at, zone=zone, daily=daily)
    if next_at is None:
        raise refuse(COMMAND, Problem.UNTIL, act.when.on or daily)
    position = None
    if wider.to_ask is not None:
        posed = posed_for(question, wider.to_ask)
        position = posed.position if question.pasted else None
    planned = Planned(
        on=local_date(next_at, zone),
        is_weekly=act.is_weekly,
        technique=question.technique,
        mark=question.mark,
        until=question.until or Until(days=1),
        position=position,
    )
    is_once = planned.until.on is not None and act.is_weekly
    if is_once or planned.until.moment(next_at, zone=zone, daily=daily) is None:
        raise refuse(COMMAND, Problem.UNTIL, written_time(planned.until, club.settings))
    reply = QuestionPlanned(
        planned=planned,
        next_at=next_at,
        zone=zone,
        instead=planned_on(wider.agenda.planned, planned.on),
    )
    return Decision(reply, (SavePlanned(club.id, planned),))


def _day_of(when: Until) -> Until:
    """Return a day at the club's daily hour: a planned question goes up with the puzzle."""
    return Until(when.on, when.weekday, when.days)


# --- dropping it ---


async def load_agenda(loading: Loading, scene: Scene, event: Event, act: Act) -> Agenda:
    """Load what is planned."""
    return await loading.store.load_agenda(scene.club.id)


def decide_drop(scene: Scene, event: Event, act: DropQuestion, agenda: Agenda) -> Decision:
    """Take a question out of the plan, if it is plain which."""
    club, planned = scene.club, agenda.planned
    named = [each for each in planned if act.when is None or _is_of(each, act.when, event, club)]
    if len(named) != 1:
        return Decision(QuestionDropped(dropped=None, left=planned))
    left = tuple(each for each in planned if each is not named[0])
    return Decision(
        QuestionDropped(dropped=named[0], left=left), (DropPlanned(club.id, named[0].on),)
    )


def _is_of(planned: Planned, when: Until, event: Event, club: Club) -> bool:
    """Say whether a plan is of a day that somebody names."""
    if when.weekday is not None:
        return planned.on.weekday() == when.weekday
    if when.days is not None:
        today = local_date(event.acted_at, club.settings.zone)
        return (planned.on - today).days == when.days
    return planned.on == when.on


# --- putting it up ---


async def load_due(loading: Loading, due: QuestionDue) -> ToAsk:
    """Load what a planned question is about: a fresh position of a technique."""
    return await load_posed(loading, due.club, _question_of(due.planned), "", due.at)


def put_planned(due: QuestionDue, wider: ToAsk) -> tuple[Change, ...]:
    """Return what putting a planned question changes. The one before is shown first, if it was
    not, without names, which last until the next question. Raises RefusedError where there is
    nothing to ask about."""
    club, before = due.club, wider.before
    shown: tuple[Change, ...] = ()
    if before is not None and not before.is_over:
        shown = reveal_changes(club, replace(before, over_at=due.at, names=()))
    _, changes = put_question(club, _question_of(due.planned), wider, due.at)
    return (*shown, *changes, *moved_on(due))


def missing(due: QuestionDue, leaders: Sequence[str], refused: RefusedError) -> tuple[Change, ...]:
    """Return what becomes of a planned question that cannot be put: leaders are told."""
    club, planned, reply = due.club, due.planned, refused.reply
    is_open = isinstance(reply, InputRefused) and reply.problem is Problem.STILL_OPEN
    said = QuestionMissing(club=club.settings.name, planned=planned, is_open=is_open)
    key = f"no-question:{club.id}:{planned.on.isoformat()}"
    return (*to_leaders(club, key, said, leaders), *moved_on(due))


def _question_of(planned: Planned) -> PutQuestion:
    position = planned.position
    return PutQuestion(
        technique=planned.technique,
        until=planned.until,
        mark=planned.mark,
        pasted="" if position is None else position.grid,
        struck=() if position is None else position.removed,
        seed=planned.on.isoformat(),
        sure=True,
    )


PLAN = Course(PlanQuestion, decide_plan, load_to_plan)
DROP = Course(DropQuestion, decide_drop, load_agenda)
