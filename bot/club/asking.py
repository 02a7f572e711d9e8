"""A question that a leader puts to the club: a position, and what follows there?

Whoever puts it (`bot.club.putting_questions`, `bot.club.evening`) saves it by `saved_question`.
Members answer in private, as often as they like; their finds are judged on the position alone. When
it is revealed the club is shown the find, and how many saw it; only who wishes it is named.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Literal

from msgspec import structs

from bot.club.acts import Act, Event
from bot.club.asked import Asked, Marking, SaveNaming, SaveQuestion, SaveTry
from bot.club.course import Course, Decision
from bot.club.facts import (
    GridPicture,
    HintPicture,
    StepFacts,
    step_of_facts,
)
from bot.club.ladders import ladder_of
from bot.club.loading import Loading
from bot.club.ports import Change, QueueNotice, SaveMember
from bot.club.replies import decode_reply, encode_reply
from bot.club.reply import Reply
from bot.club.state import Club, Member, Puzzle, Scene
from engine import (
    WITHOUT_UNIQUENESS,
    Cell,
    Grid,
    Step,
    Technique,
    claims,
    count_solutions,
    parse_grid,
)


@dataclass(frozen=True, slots=True)
class SayFind(Act):
    """Say what follows, or that there is none; neither asks for the form. `about`: the club's
    question or the position that they practise at, where the line names it."""

    said: claims.Said | None = None
    says_none: bool = False
    about: Literal["", "question", "practice"] = ""


@dataclass(frozen=True, slots=True)
class NameMe(Act):
    """Wish to be named where the find is shown, or no longer."""

    on: bool = True


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


class FindWanted(Reply, frozen=True, kw_only=True):
    """The member is given the form, with what went up: on it they may point."""

    number: int
    picture: GridPicture | HintPicture | None = None


class FindJudged(Reply, frozen=True, kw_only=True):
    """What becomes of a find. `condition` with the cells, digits and houses that it names, by
    `engine.claims.Condition`, where it does not hold; `left`: how much more follows. `is_named`:
    the member is to be named among those who saw it."""

    number: int = 0
    judgement: claims.Judgement
    condition: claims.Condition | None = None
    cells: tuple[str, ...] = ()
    digits: tuple[int, ...] = ()
    houses: tuple[str, ...] = ()
    left: int = 0
    tries: int = 0
    is_late: bool = False
    is_named: bool = False


class NamingTold(Reply, frozen=True, kw_only=True):
    """The member's wish is noted; `has_tried`: there is something to be named for."""

    number: int
    is_named: bool
    has_tried: bool = True


class NoQuestion(Reply, frozen=True):
    """No question is open, or was ever put."""


class QuestionRevealed(Reply, frozen=True, kw_only=True):
    """The find, as the club is shown it, with how many `tried` and how many `seen` it. `names`: of
    those of them who wish it."""

    number: int
    step: StepFacts
    picture: HintPicture
    tried: int = 0
    seen: int = 0
    names: tuple[str, ...] = ()


class RevealTold(Reply, frozen=True, kw_only=True):
    """The leader is told that it goes up."""

    number: int


# --- putting it ---


def next_number(before: Asked | None) -> int:
    """Return the number of the question that comes after another."""
    return before.number + 1 if before else 1


def saved_question(club: Club, before: Asked | None, question: QuestionUp) -> tuple[Change, ...]:
    """Return what saves a question in place of the one before. Who saw that is named no longer,
    since nothing is kept to take a name out by."""
    saved = SaveQuestion(club.id, question.number, encode_reply(question), over_at=question.until)
    if before is None or not (before.is_over and before.names):
        return (saved,)
    return *_mended(club, replace(before, names=())), saved


# --- answering it ---


async def load_asked(
    loading: Loading, scene: Scene, event: Event, act: SayFind | NameMe | RevealQuestion
) -> Asked | None:
    """Load the club's question, with the member's tries."""
    return await loading.store.load_question(scene.club.id, event.user_id)


def decide_find(scene: Scene, event: Event, act: SayFind, asked: Asked | None) -> Decision:
    """Judge a find. Tries are counted that were made while the question was open, and cost nothing;
    where one comes in after the find was shown, what was said of how many saw it is mended."""
    if asked is None:
        return Decision(NoQuestion())
    if act.said is None and not act.says_none:
        return Decision(FindWanted(number=asked.number, picture=question_of(asked).picture))
    is_late = asked.is_over_at(event.acted_at)
    tries = asked.tries if is_late else asked.tries + 1
    reply = FindJudged(judgement=claims.Judgement.FAILS)
    if act.said is not None:
        question = question_of(asked)
        grid = question.picture.position.to_grid()
        step = step_of_facts(grid.layout, question.step)
        has_one_solution = count_solutions(parse_grid(question.picture.position.grid)) == 1
        ladder = ladder_of(scene.club.settings) if has_one_solution else WITHOUT_UNIQUENESS
        reply = judged_facts(grid, act.said, step, ladder)
    saw = reply.judgement in (claims.Judgement.RIGHT, claims.Judgement.RIGHT_AND_MORE)
    reply = structs.replace(
        reply, number=asked.number, tries=tries, is_late=is_late, is_named=asked.is_named
    )
    if is_late:
        return Decision(reply)
    club = scene.club
    member = Member(0, club.id, event.user_id, event.name)
    changes: list[Change] = [] if scene.member else [SaveMember(member)]
    changes.append(SaveTry(club.id, event.user_id, tries, asked.saw or saw))
    if asked.is_over:
        is_new = saw and not asked.saw
        counted = replace(
            asked,
            tried=asked.tried + (not asked.tries),
            seen=asked.seen + is_new,
            names=(*asked.names, *([_name_of(scene, event)] if is_new and asked.is_named else [])),
        )
        changes.extend(_mended(club, counted))
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
    left = judged.unsaid.bit_count() + len(judged.unsaid_places)
    return facts_of_flaw(grid, judged.judgement, judged.flaw, left)


def facts_of_flaw(
    grid: Grid, judgement: claims.Judgement, flaw: claims.Verdict | None, left: int = 0
) -> FindJudged:
    """Return a judgement with the condition that fails, where one does."""
    if not isinstance(flaw, claims.Flaw):
        return FindJudged(judgement=judgement, left=left)
    return FindJudged(
        judgement=judgement,
        condition=flaw.condition,
        cells=tuple(map(grid.layout.format_cell, flaw.cells)),
        digits=flaw.digits,
        houses=tuple(grid.layout.houses[house].name for house in flaw.houses),
        left=left,
    )


def question_of(asked: Asked) -> QuestionUp:
    """Return what went up."""
    question = decode_reply(asked.reply)
    assert isinstance(question, QuestionUp)
    return question


def decide_naming(scene: Scene, event: Event, act: NameMe, asked: Asked | None) -> Decision:
    """Note whether the member is to be named; what was shown already is mended."""
    if asked is None:
        return Decision(NoQuestion())
    told = NamingTold(number=asked.number, is_named=act.on, has_tried=asked.tries > 0)
    if not asked.tries or act.on == asked.is_named:
        return Decision(told)
    club = scene.club
    noted = SaveNaming(club.id, event.user_id, act.on)
    if not (asked.is_over and asked.saw):
        return Decision(told, (noted,))
    name = _name_of(scene, event)
    names = (*asked.names, name) if act.on else _without(asked.names, name)
    return Decision(told, (noted, *_mended(club, replace(asked, names=names))))


def unnamed(club: Club, member: Member, asked: Asked | None) -> tuple[QueueNotice, ...]:
    """Return what takes a member's name out of the find that was shown last, if it is there."""
    if asked is None or not (asked.is_over and asked.saw and asked.is_named):
        return ()
    return _mended(club, replace(asked, names=_without(asked.names, member.name)))


def _name_of(scene: Scene, event: Event) -> str:
    return scene.member.name if scene.member else event.name


def _without(names: tuple[str, ...], name: str) -> tuple[str, ...]:
    """Return names less one: others may be called the same."""
    place = names.index(name)
    return names[:place] + names[place + 1 :]


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


def shown_before(
    club: Club, asked: Asked | None, puzzle: Puzzle, at: datetime
) -> tuple[Change, ...]:
    """Return what is to be shown before a puzzle goes up at a moment, however early that is: the
    find of an open question about a position of it."""
    if asked is None or asked.is_over:
        return ()
    stands, givens = question_of(asked).picture.position.grid, puzzle.givens
    is_of_it = len(stands) == len(givens) and all(
        given in (".", mark) for given, mark in zip(givens, stands, strict=True)
    )
    if not is_of_it:
        return ()
    return reveal_changes(club, replace(asked, over_at=min(asked.over_at or at, at)))


def _mended(club: Club, asked: Asked) -> tuple[QueueNotice, ...]:
    """Return what mends the post of the find, if it has one: a lesson may have shown it alone."""
    return (_reveal(club, asked, audience="mend"),)


def _reveal(club: Club, asked: Asked, audience: str = "room") -> QueueNotice:
    question = question_of(asked)
    shown = question.picture
    revealed = QuestionRevealed(
        number=asked.number,
        step=question.step,
        picture=HintPicture(shown.givens, shown.position, question.step, "why"),
        tried=asked.tried,
        seen=asked.seen,
        names=asked.names,
    )
    key = f"reveal:{club.id}:{asked.number}"
    return QueueNotice(club.id, key, audience, encode_reply(revealed))


NAME = Course(NameMe, decide_naming, load_asked)
REVEAL = Course(RevealQuestion, decide_reveal, load_asked)
