"""The leader's report on one day: who got where, and with which technique the club needed help.

It names who started and who finished, which is no secret of theirs, and never who asked for what.
What fewer than three members share is left out where it would point at one of them.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from statistics import median

from bot.club.answers import result_of
from bot.club.facts import GridPicture, Position
from bot.club.replies import ReportShown
from bot.club.spacing import Skill
from bot.club.state import Day, Member, MemberSolve, Result

GROUP = 3
"""The fewest members whose common place may be told."""


def report_of(day: Day, entries: Sequence[tuple[Member, MemberSolve]]) -> ReportShown:
    """Return the report. `median` is of the adjusted seconds of answers in time."""
    finished = [
        result_of(day, entry, member.name) for member, entry in entries if entry.finished_at
    ]
    in_time = [result for result in finished if not result.is_late]
    techniques = technique_depths([entry for _, entry in entries])
    is_small = bool(techniques) and len(entries) < GROUP
    stuck_count, position = commonest_stuck([entry for _, entry in entries])
    return ReportShown(
        date=day.date,
        started=sum(bool(entry.started_at or entry.finished_at) for _, entry in entries),
        finished=len(finished),
        late=len(finished) - len(in_time),
        median=round(median(result.adjusted for result in in_time)) if in_time else None,
        techniques=() if is_small else techniques,
        stuck_count=stuck_count,
        picture=_picture(day, position),
        flagged=tuple(
            (result.name, result.raw, "quick") for result in finished if result.verdict == "flagged"
        ),
        finishers=tuple(
            (result.name, result.adjusted, result.why_unranked)
            for result in sorted(finished, key=_by_place)
        ),
        starters=tuple(
            member.name for member, entry in entries if entry.started_at and not entry.finished_at
        ),
        is_small=is_small,
    )


_UNRANKED = ("", "flagged", "unranked", "late")


def _by_place(result: Result) -> tuple[int, int]:
    return _UNRANKED.index(result.why_unranked), result.adjusted


def _picture(day: Day, position: Position | None) -> GridPicture | None:
    if position is None:
        return None
    return GridPicture(day.puzzle.givens, position, with_candidates=True, lines=day.lines)


def technique_depths(entries: Sequence[MemberSolve]) -> tuple[tuple[str, int, int], ...]:
    """Return (technique, members who asked, average of each one's deepest rung, in tenths)."""
    deepest: dict[str, list[int]] = {}
    for entry in entries:
        rungs: dict[str, int] = {}
        for charge in entry.charges:
            if charge.technique:
                rungs[charge.technique] = max(charge.rung, rungs.get(charge.technique, 0))
        for technique, rung in rungs.items():
            deepest.setdefault(technique, []).append(rung)
    rows = [
        (technique, len(rungs), round(10 * sum(rungs) / len(rungs)))
        for technique, rungs in deepest.items()
    ]
    return tuple(sorted(rows, key=lambda row: (-row[1], -row[2], row[0])))


def practice_sums(skills: Iterable[Skill]) -> tuple[tuple[str, int, int], ...]:
    """Return (technique, members whom it does not come easily to, members who practise it), most
    first; left out where fewer than three share it."""
    practise, weak = Counter[str](), Counter[str]()
    for skill in skills:
        practise[skill.technique] += 1
        weak[skill.technique] += skill.is_weak
    rows = [(name, count, practise[name]) for name, count in weak.items() if count >= GROUP]
    return tuple(sorted(rows, key=lambda row: (-row[1], row[0])))


def commonest_stuck(entries: Sequence[MemberSolve]) -> tuple[int, Position | None]:
    """Return how many members asked about the same step, and one position where it was next.

    Boards differ in a digit or two that do not matter, so what is counted is the step that the
    hint led to. (0, None) where fewer than three were there.
    """
    places: dict[str, list[Position]] = {}
    for entry in entries:
        for charge in entry.charges:
            if charge.technique and charge.position is not None:
                places.setdefault(charge.key, []).append(charge.position)
    if not places:
        return 0, None
    _, positions = min(places.items(), key=lambda item: (-len(item[1]), item[0]))
    if len(positions) < GROUP:
        return 0, None
    shared = max(positions, key=lambda each: (positions.count(each), each.grid))
    return len(positions), shared
