"""Handing in: which day an answer is for, whether it is right, and what it brings.

The first right answer counts and later ones change nothing. What decides is the stamp of the
member's act, not when it reached us, in which order, or whether the day was closed in our books.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256

from msgspec.structs import replace

from bot.club.answer_key import (
    AnswerUnreadableError,
    Judgement,
    answer_within,
    is_near,
    judge,
    read_answer,
)
from bot.club.boards import count_open
from bot.club.charging import as_of, charges_before, rung_charged, with_charge
from bot.club.clock import counted_from, has_clock, whole_seconds
from bot.club.refusal import refuse
from bot.club.replies import (
    AnswerAlready,
    AnswerNearlyRight,
    AnswerRight,
    AnswerSwapped,
    AnswerUnfinished,
    AnswerWrong,
    Reply,
)
from bot.club.state import ClubSettings, Day, MemberSolve, Result
from bot.club.table import Bests, count_ranked, is_personal_best, rank_of


@dataclass(frozen=True, slots=True)
class Answerable:
    """One day that an answer may be for: the member's entry and the day's finished results."""

    day: Day
    entry: MemberSolve
    results: tuple[Result, ...] = ()


@dataclass(frozen=True, slots=True)
class Handed:
    """What came of an answer. `result` is set where it was the first right one."""

    entry: MemberSolve
    reply: Reply
    result: Result | None = None


def choose_answerable(
    text: str, answerables: tuple[Answerable, ...], acted_at: datetime
) -> Answerable:
    """Return the day that an answer is for: that which it fits best."""
    day = best_day(text, tuple(answerable.day for answerable in answerables), acted_at)
    return next(answerable for answerable in answerables if answerable.day.id == day.id)


def best_day(text: str, days: Sequence[Day], acted_at: datetime) -> Day:
    """Return the day that an answer fits best: right, or right the other way round, or on a day
    that was closed by then with a slip or two; the first where it fits none.

    How near it comes to an open puzzle plays no part: that would tell of it.
    """

    for judgement in (Judgement.RIGHT, Judgement.SWAPPED):
        for day in days:
            if _fits(text, day, judgement):
                return day
    return next((day for day in days if _is_slip(text, day, acted_at)), days[0])


def answers(text: str, day: Day) -> bool:
    """Say whether something said holds the answer to a day, its lines in either order."""
    found = answer_within(text, day.puzzle.solution, day.lines) or text
    return any(_fits(found, day, each) for each in (Judgement.RIGHT, Judgement.SWAPPED))


def _fits(text: str, day: Day, judgement: Judgement) -> bool:
    digits = _digits_or_none(text, day)
    return digits is not None and judge(digits, day.puzzle.solution, day.lines) is judgement


def _is_slip(text: str, day: Day, acted_at: datetime) -> bool:
    digits = _digits_or_none(text, day) if acted_at >= day.closes_at else None
    return digits is not None and is_near(digits, day.puzzle.solution, day.lines)


def _digits_or_none(text: str, day: Day) -> str | None:
    try:
        return read_answer(text, day.puzzle.solution, day.lines)
    except AnswerUnreadableError:
        return None


def spoken_answer(text: str, days: Sequence[Day], acted_at: datetime) -> str | None:
    """Return the answer to an open puzzle that talk in the open room holds, None for plain talk.

    What fits a closed day's puzzle better is talk: everybody may know it.
    """
    for day in days:
        if acted_at < day.closes_at:
            found = answer_within(text, day.puzzle.solution, day.lines)
            if found is not None:
                is_open = acted_at < best_day(found, days, acted_at).closes_at
                return found if is_open else None
    return None


def hand_in(
    answerable: Answerable,
    text: str,
    acted_at: datetime,
    settings: ClubSettings,
    *,
    name: str,
    bests: Bests = (),
) -> Handed:
    """Judge an answer for one day. RefusedError where it cannot be read as one."""
    day, before = answerable.day, answerable.entry
    entry = as_of(before, acted_at)
    if entry.finished_at is not None:
        return Handed(entry, _already(answerable, settings, name))
    judged = _judged(day, entry, text)
    if isinstance(judged, AnswerUnfinished):
        return Handed(before, judged)
    verdict, digits = judged
    closed = day.date if acted_at >= day.closes_at else None
    if verdict is Judgement.SWAPPED:
        return Handed(before, AnswerSwapped(lines=day.lines, closed=closed))
    if verdict is Judgement.WRONG and closed and is_near(digits, day.puzzle.solution, day.lines):
        return Handed(before, AnswerNearlyRight(lines=day.lines, closed=closed))
    if verdict is Judgement.WRONG:
        entry, reply = _with_wrong(entry, digits, acted_at, settings)
        return Handed(replace(entry, finished_at=before.finished_at), reply)
    entry = _finished(day, entry, acted_at, settings)
    result = result_of(day, entry, name)
    results = (*(each for each in answerable.results if each.member_id != entry.member_id), result)
    return Handed(
        entry,
        AnswerRight(
            date=day.date,
            raw=result.raw,
            added=result.added,
            adjusted=result.adjusted,
            hints=result.hints,
            tries=result.tries,
            rank=rank_of(results, entry.member_id),
            of=count_ranked(results),
            is_late=entry.is_late,
            is_unranked=entry.verdict == "unranked",
            is_flagged=entry.verdict == "flagged",
            timed_from_post=not has_clock(entry.started_at, entry.finished_at),
            is_personal_best=is_personal_best(bests, result),
        ),
        result,
    )


def _judged(day: Day, entry: MemberSolve, text: str) -> tuple[Judgement, str] | AnswerUnfinished:
    """Return what an answer is, and its digits."""
    puzzle = day.puzzle
    if not text.strip():
        open_cells = count_open(entry.board.grid)
        if open_cells:
            return AnswerUnfinished(open_cells=open_cells, lines=day.lines, day=day.date)
        text = entry.board.grid
    try:
        digits = read_answer(text, puzzle.solution, day.lines)
    except AnswerUnreadableError as error:
        raise refuse(
            "hand-in", error.problem, error.text, found=error.found, expected=error.expected
        ) from None
    return judge(digits, puzzle.solution, day.lines), digits


def _with_wrong(
    entry: MemberSolve, digits: str, acted_at: datetime, settings: ClubSettings
) -> tuple[MemberSolve, AnswerWrong]:
    """Charge a wrong answer, the same one once: from the first time that it was handed in."""
    key = f"wrong:{sha256(digits.encode()).hexdigest()[:16]}"
    is_again = rung_charged(entry, key) > 0
    if is_again:
        charges = tuple(
            replace(each, at=min(each.at or acted_at, acted_at)) if each.key == key else each
            for each in entry.charges
        )
        entry, seconds = replace(entry, charges=charges), 0
    else:
        entry, seconds = with_charge(entry, key, 1, settings.penalties.wrong, at=acted_at)
        entry = replace(entry, tries=entry.tries + 1)
    reply = AnswerWrong(
        tries=entry.tries, seconds=seconds, total=entry.added_seconds, is_again=is_again
    )
    return entry, reply


def _finished(
    day: Day, entry: MemberSolve, acted_at: datetime, settings: ClubSettings
) -> MemberSolve:
    charges = charges_before(entry, acted_at)
    too_late = [each for each in entry.charges if each not in charges]
    finished = replace(
        entry,
        finished_at=acted_at,
        is_late=acted_at >= day.closes_at,
        charges=charges,
        tries=entry.tries - sum(each.key.startswith("wrong:") for each in too_late),
    )
    return with_verdict(day, finished, settings)


def with_verdict(day: Day, entry: MemberSolve, settings: ClubSettings) -> MemberSolve:
    """Return a finished entry that waits for the leader if it was too quick; rulings stand."""
    if entry.verdict not in ("ranked", "flagged") or entry.finished_at is None:
        return entry
    raw = whole_seconds(timed_from(day, entry), entry.finished_at)
    is_quick = not entry.is_late and raw < settings.quick * count_open(day.puzzle.givens)
    return replace(entry, verdict="flagged" if is_quick else "ranked")


def with_start(
    day: Day, entry: MemberSolve, acted_at: datetime, settings: ClubSettings
) -> MemberSolve:
    """Return the entry with a clock started by an act; of several the earliest counts.

    Who had finished by then keeps the time from the post.
    """
    if entry.finished_at is not None and entry.finished_at <= acted_at:
        return entry
    if entry.started_at is not None and entry.started_at <= acted_at:
        return entry
    started = replace(entry, started_at=max(acted_at, _seen_at(day)))
    return with_verdict(day, started, settings)


def _seen_at(day: Day) -> datetime:
    return day.posted_at or day.due_at


def timed_from(day: Day, entry: MemberSolve) -> datetime:
    """Return when a member's time starts: their clock, else the post."""
    return counted_from(_seen_at(day), entry.started_at, entry.finished_at)


def result_of(day: Day, entry: MemberSolve, name: str) -> Result:
    """Return the result of a finished entry."""
    assert entry.finished_at is not None
    return Result(
        member_id=entry.member_id,
        name=name,
        date=day.date,
        level=day.puzzle.level,
        raw=whole_seconds(timed_from(day, entry), entry.finished_at),
        added=entry.added_seconds,
        hints=entry.hints,
        tries=entry.tries,
        is_late=entry.is_late,
        verdict=entry.verdict,
        finished_at=entry.finished_at,
    )


def _already(answerable: Answerable, settings: ClubSettings, name: str) -> AnswerAlready:
    result = result_of(answerable.day, answerable.entry, name)
    return AnswerAlready(
        date=answerable.day.date,
        raw=result.raw,
        adjusted=result.adjusted,
        rank=rank_of(answerable.results, answerable.entry.member_id),
    )
