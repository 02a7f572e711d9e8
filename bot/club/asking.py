"""A question that a leader puts to the club: a position, and what follows there?

It is about a lesson's worked position or where a closed day's puzzle turns, never an open puzzle's.
Members answer in private, as often as they like; their finds are judged on the position alone. When
it is revealed the club is shown the find, and how many saw it; nobody is named.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Literal

from msgspec import structs

from bot.club.acts import Act, Event
from bot.club.asked import Asked, SaveQuestion, SaveTry
from bot.club.course import Course, Decision
from bot.club.facts import (
    GridPicture,
    HintPicture,
    Position,
    StepFacts,
    step_of_facts,
)
from bot.club.ladders import ladder_of
from bot.club.loading import Loading
from bot.club.ports import Change, QueueNotice, SaveMember
from bot.club.posing import COMMAND, Posed, study_lesson, study_pasted, study_turn
from bot.club.problems import Problem
from bot.club.refusal import refuse
from bot.club.replies import decode_reply, encode_reply
from bot.club.reply import Reply
from bot.club.state import Club, ClubSettings, Member, Scene
from bot.club.until import Until
from engine import Cell, Grid, Step, Technique, claims

Marking = Literal["none", "house", "pattern"]
"""What is marked of a find: nothing, the first house to look at, or all cells of its pattern."""


@dataclass(frozen=True, slots=True)
class PutQuestion(Act):
    """Put a question: of a technique, or of where the puzzle of a closed day turns. `until`: when
    the find is shown of itself; `mark`: what is marked of it. `pasted`: a position as a leader
    pasted it, with what is `struck` beside; a technique is looked for there then."""

    technique: str = ""
    day: date | None = None
    until: Until | None = None
    mark: Marking = "house"
    pasted: str = ""
    struck: tuple[tuple[str, int], ...] = ()


@dataclass(frozen=True, slots=True)
class SayFind(Act):
    """Say what follows, or that there is none; neither asks for the form. `about`: the club's
    question or the position that they practise at, where the line names it."""

    said: claims.Said | None = None
    says_none: bool = False
    about: Literal["", "question", "practice"] = ""


@dataclass(frozen=True, slots=True)
class RevealQuestion(Act):
    """Show the find that the question is about."""


class QuestionUp(Reply, frozen=True, kw_only=True):
    """What goes up. `picture` shows the position with its candidates, since some of them may have
    been struck on the way; `step` is the find, of which no more is said than `mark` says. `until`:
    when it is shown of itself."""

    number: int
    step: StepFacts
    picture: GridPicture | HintPicture
    until: datetime | None = None
    zone: str = "UTC"
    mark: Marking = "house"


class QuestionPut(Reply, frozen=True, kw_only=True):
    """The leader is told that it goes up. `ended`: the one before was not yet revealed."""

    number: int
    ended: bool = False
    until: datetime | None = None
    zone: str = "UTC"


class FindWanted(Reply, frozen=True, kw_only=True):
    """The member is given the form."""

    number: int


class FindJudged(Reply, frozen=True, kw_only=True):
    """What becomes of a find. `condition` with the cells, digits and houses that it names, by
    `engine.claims.Condition`, where it does not hold; `left`: how much more follows."""

    number: int = 0
    judgement: claims.Judgement
    condition: claims.Condition | None = None
    cells: tuple[str, ...] = ()
    digits: tuple[int, ...] = ()
    houses: tuple[str, ...] = ()
    left: int = 0
    tries: int = 0
    is_late: bool = False


class NoQuestion(Reply, frozen=True):
    """No question is open, or was ever put."""


class QuestionRevealed(Reply, frozen=True, kw_only=True):
    """The find, as the club is shown it, with how many `tried` and how many `seen` it."""

    number: int
    step: StepFacts
    picture: HintPicture
    tried: int = 0
    seen: int = 0


class RevealTold(Reply, frozen=True, kw_only=True):
    """The leader is told that it goes up."""

    number: int


# --- putting it ---


@dataclass(frozen=True, slots=True)
class ToAsk:
    """What the question before was, what the new one is about, and how the puzzles end that are
    open."""

    before: Asked | None
    posed: Posed | None = None
    open_solutions: tuple[str, ...] = ()


async def load_to_ask(loading: Loading, scene: Scene, event: Event, act: PutQuestion) -> ToAsk:
    """Load the position and the find."""
    club = scene.club
    before = await loading.store.load_question(club.id, event.user_id)
    if act.pasted:
        posed = loading.studies.of(
            study_pasted, act.pasted, act.struck, act.technique, club.settings
        )
        days = await loading.store.load_days(club.id, open_only=True)
        return ToAsk(before, posed, tuple(day.puzzle.solution for day in days))
    if act.technique:
        return ToAsk(before, loading.studies.of(study_lesson, act.technique))
    closed = [
        day for day in await loading.store.load_days(club.id) if day.is_closed and day.posted_at
    ]
    if act.day is not None:
        closed = [day for day in closed if day.date == act.day]
    if not closed:
        return ToAsk(before)
    return ToAsk(before, loading.studies.of(study_turn, closed[-1].puzzle.givens))


def decide_asking(scene: Scene, event: Event, act: PutQuestion, wider: ToAsk) -> Decision:
    """Put the question up."""
    posed, before, club = wider.posed, wider.before, scene.club
    if posed is None:
        raise refuse(COMMAND, Problem.NO_FIND, act.technique or act.day or "")
    if posed.solution in wider.open_solutions:
        raise refuse(COMMAND, Problem.STILL_OPEN)
    until = _shown_at(event, act, club.settings)
    ended = before is not None and not before.is_over
    put = QuestionPut(number=next_number(before), ended=ended, until=until, zone=club.settings.zone)
    changes = question_changes(club, before, posed.position, posed.step, until, mark=act.mark)
    return Decision(put, changes)


def next_number(before: Asked | None) -> int:
    """Return the number of the question that comes after another."""
    return before.number + 1 if before else 1


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
        position.grid,
        position,
        with_candidates=True,
        houses=step.houses[:1] if mark == "house" else (),
        cells=step.cells if mark == "pattern" else (),
    )
    number, zone = next_number(before), club.settings.zone
    question = QuestionUp(
        number=number, step=step, picture=shown, until=until, zone=zone, mark=mark
    )
    reply = encode_reply(question)
    return (
        SaveQuestion(club.id, number, reply, over_at=until),
        QueueNotice(club.id, f"question:{club.id}:{number}", "room", reply),
    )


def _shown_at(event: Event, act: PutQuestion, settings: ClubSettings) -> datetime | None:
    """Return when the find is shown of itself. Raises RefusedError for a time that is past."""
    if act.until is None:
        return None
    at = act.until.moment(event.acted_at, settings)
    if at is None:
        said = (act.until.on.isoformat() if act.until.on else "", act.until.hour)
        raise refuse(COMMAND, Problem.UNTIL, " ".join(filter(None, said)) or settings.post_time)
    return at


# --- answering it ---


async def load_asked(
    loading: Loading, scene: Scene, event: Event, act: SayFind | RevealQuestion
) -> Asked | None:
    """Load the club's question, with the member's tries."""
    return await loading.store.load_question(scene.club.id, event.user_id)


def decide_find(scene: Scene, event: Event, act: SayFind, asked: Asked | None) -> Decision:
    """Judge a find. Tries are counted that were made while the question was open, and cost nothing;
    where one comes in after the find was shown, what was said of how many saw it is mended."""
    if asked is None:
        return Decision(NoQuestion())
    if act.said is None and not act.says_none:
        return Decision(FindWanted(number=asked.number))
    is_late = asked.is_over_at(event.acted_at)
    tries = asked.tries if is_late else asked.tries + 1
    reply = FindJudged(judgement=claims.Judgement.FAILS)
    if act.said is not None:
        question = _question_of(asked)
        grid = question.picture.position.to_grid()
        step = step_of_facts(grid.layout, question.step)
        reply = judged_facts(grid, act.said, step, ladder_of(scene.club.settings))
    saw = reply.judgement in (claims.Judgement.RIGHT, claims.Judgement.RIGHT_AND_MORE)
    reply = structs.replace(reply, number=asked.number, tries=tries, is_late=is_late)
    if is_late:
        return Decision(reply)
    club = scene.club
    member = Member(0, club.id, event.user_id, event.name)
    changes: list[Change] = [] if scene.member else [SaveMember(member)]
    changes.append(SaveTry(club.id, event.user_id, tries, asked.saw or saw))
    if asked.is_over:
        counted = replace(
            asked,
            tried=asked.tried + (not asked.tries),
            seen=asked.seen + (saw and not asked.saw),
        )
        changes.append(_reveal(club, counted, audience="mend"))
    return Decision(reply, tuple(changes))


def judged_facts(
    grid: Grid, said: claims.Said, asked: Step | None, ladder: Sequence[Technique]
) -> FindJudged:
    """Return what becomes of a find at a position, without whose and which it is."""
    marked: tuple[Cell, ...] = ()
    if asked is not None:
        house = grid.layout.houses[asked.houses[0]].cells if asked.houses else asked.cells
        marked = tuple(sorted({*asked.cells, *house}))
    judged = claims.judge(grid, said, marked=marked, asked=asked, ladder=ladder)
    flaw = judged.flaw
    return FindJudged(
        judgement=judged.judgement,
        condition=flaw.condition if flaw else None,
        cells=tuple(map(grid.layout.format_cell, flaw.cells)) if flaw else (),
        digits=flaw.digits if flaw else (),
        houses=tuple(grid.layout.houses[house].name for house in flaw.houses) if flaw else (),
        left=judged.unsaid.bit_count() + len(judged.unsaid_places),
    )


def _question_of(asked: Asked) -> QuestionUp:
    question = decode_reply(asked.reply)
    assert isinstance(question, QuestionUp)
    return question


# --- revealing it ---


def decide_reveal(scene: Scene, event: Event, act: RevealQuestion, asked: Asked | None) -> Decision:
    """Show the find, and how many saw it. Once it is shown there is nothing more to reveal."""
    if asked is None or asked.is_over:
        return Decision(NoQuestion())
    over_at = min(asked.over_at or event.acted_at, event.acted_at)
    told = RevealTold(number=asked.number)
    return Decision(told, reveal_changes(scene.club, replace(asked, over_at=over_at)))


def reveal_changes(club: Club, asked: Asked) -> tuple[Change, ...]:
    """Return what showing the find changes."""
    over = SaveQuestion(club.id, asked.number, asked.reply, is_over=True, over_at=asked.over_at)
    return over, _reveal(club, asked)


def _reveal(club: Club, asked: Asked, audience: str = "room") -> QueueNotice:
    question = _question_of(asked)
    shown = question.picture
    revealed = QuestionRevealed(
        number=asked.number,
        step=question.step,
        picture=HintPicture(shown.givens, shown.position, question.step, "why"),
        tried=asked.tried,
        seen=asked.seen,
    )
    key = f"reveal:{club.id}:{asked.number}"
    return QueueNotice(club.id, key, audience, encode_reply(revealed))


ASK = Course(PutQuestion, decide_asking, load_to_ask)
REVEAL = Course(RevealQuestion, decide_reveal, load_asked)
