"""Handing in: which day an answer is for, whether it is right, and what it brings.

The first right answer counts and later ones change nothing. What decides is the stamp of the
member's act, not when it reached us or whether the day was closed in our books.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from msgspec.structs import replace

from bot.club.answer_key import (
    AnswerUnreadableError,
    Judgement,
    answer_within,
    judge,
    read_answer,
)
from bot.club.boards import count_open
from bot.club.charging import with_charge
from bot.club.clock import whole_seconds
from bot.club.refusal import RefusedError
from bot.club.replies import (
    AnswerAlready,
    AnswerRight,
    AnswerSwapped,
    AnswerUnfinished,
    AnswerWrong,
    InputRefused,
    Reply,
)
from bot.club.state import ClubSettings, Day, Entry, Result, Verdict
from bot.club.table import count_ranked, is_personal_best, rank_of


@dataclass(frozen=True, slots=True)
class Attempt:
    """One day that an answer may be for: the member's entry and the day's finished results."""

    day: Day
    entry: Entry
    results: tuple[Result, ...] = ()


@dataclass(frozen=True, slots=True)
class Handed:
    """What came of an answer. `result` is set where it was the first right one."""

    entry: Entry
    reply: Reply
    result: Result | None = None


def choose_attempt(text: str, attempts: tuple[Attempt, ...]) -> Attempt:
    """Return the day that an answer is for: the first that it fits, the newest if it fits none."""
    for attempt in attempts:
        puzzle, lines = attempt.day.puzzle, attempt.day.lines
        try:
            if judge(read_answer(text, puzzle.solution, lines), puzzle.solution, lines) == "right":
                return attempt
        except AnswerUnreadableError:
            continue
    return attempts[0]


def spoken_answer(text: str, attempts: tuple[Attempt, ...]) -> str | None:
    """Return the answer that talk in the open room holds, None for plain talk."""
    for attempt in attempts:
        found = answer_within(text, attempt.day.puzzle.solution, attempt.day.lines)
        if found is not None:
            return found
    return None


def hand_in(
    attempt: Attempt,
    text: str,
    acted_at: datetime,
    settings: ClubSettings,
    *,
    name: str,
    earlier: tuple[Result, ...] = (),
) -> Handed:
    """Judge an answer for one day. RefusedError where it cannot be read as one."""
    day, entry = attempt.day, attempt.entry
    if entry.finished_at is not None:
        return Handed(entry, _already(attempt, settings, name))
    verdict = _judged(day, entry, text)
    if isinstance(verdict, AnswerUnfinished):
        return Handed(entry, verdict)
    if verdict is Judgement.SWAPPED:
        return Handed(entry, AnswerSwapped(lines=day.lines))
    if verdict is Judgement.WRONG:
        tries = entry.tries + 1
        entry, seconds = with_charge(entry, "wrong", tries, settings.penalties.wrong)
        entry = replace(entry, tries=tries)
        reply = AnswerWrong(tries=tries, seconds=seconds, total=entry.added_seconds)
        return Handed(entry, reply)
    entry = _finished(day, entry, acted_at, settings)
    result = result_of(day, entry, name)
    results = (*(each for each in attempt.results if each.member_id != entry.member_id), result)
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
            timed_from_post=entry.started_at is None,
            is_personal_best=is_personal_best(earlier, result),
        ),
        result,
    )


def _judged(day: Day, entry: Entry, text: str) -> Judgement | AnswerUnfinished:
    puzzle = day.puzzle
    if not text.strip():
        open_cells = count_open(entry.board.grid)
        if open_cells:
            return AnswerUnfinished(open_cells=open_cells, lines=day.lines)
        text = entry.board.grid
    try:
        return judge(read_answer(text, puzzle.solution, day.lines), puzzle.solution, day.lines)
    except AnswerUnreadableError as error:
        raise RefusedError(
            InputRefused(
                command="hand-in",
                problem=error.problem,
                text=error.text,
                found=error.found,
                expected=error.expected,
            )
        ) from None


def _finished(day: Day, entry: Entry, acted_at: datetime, settings: ClubSettings) -> Entry:
    is_late = acted_at >= day.closes_at
    raw = whole_seconds(timed_from(day, entry), acted_at)
    verdict: Verdict = entry.verdict
    if verdict == "ranked" and not is_late and raw < settings.quick * count_open(day.puzzle.givens):
        verdict = "flagged"
    return replace(entry, finished_at=acted_at, is_late=is_late, verdict=verdict)


def timed_from(day: Day, entry: Entry) -> datetime:
    """Return when a member's time starts: their clock, else the post."""
    return entry.started_at or day.posted_at or day.due_at


def result_of(day: Day, entry: Entry, name: str) -> Result:
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
    )


def _already(attempt: Attempt, settings: ClubSettings, name: str) -> AnswerAlready:
    result = result_of(attempt.day, attempt.entry, name)
    return AnswerAlready(
        date=attempt.day.date,
        raw=result.raw,
        adjusted=result.adjusted,
        rank=rank_of(attempt.results, attempt.entry.member_id),
    )
