"""The table: ranks, streaks, personal bests and who improved most. Pure arithmetic on results.

Order is puzzles solved, then total adjusted time; equal results share a rank. Late answers are
kept and counted apart, and what waits for the leader or was taken out does not rank.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from bot.club.clock import Period
from bot.club.facts import Table, TableRow
from bot.club.state import Day, Result

Bests = tuple[tuple[int, int, date], ...]
"""(level, adjusted seconds, date) of a member's best ranked result of each level."""

BEFORE, WITHIN = 5, 3
"""Results that "most improved" asks for: before the period, and in it."""


@dataclass(frozen=True, slots=True)
class Sums:
    """What one member's results of a period come to; times in whole seconds.

    - `late`: answers after the closing; `wrong`: wrong answers to what ranks.
    - `streak`: puzzles solved in a row by the end of the period.
    - `before`: the adjusted times of the last BEFORE ranked results before it, in any order.
    - `highest`, `highest_before`: the highest level solved in it and before it, 0 for none.
    """

    member_id: int
    name: str
    solved: int = 0
    adjusted: int = 0
    raw: int = 0
    hints: int = 0
    late: int = 0
    wrong: int = 0
    streak: int = 0
    before: tuple[int, ...] = ()
    highest: int = 0
    highest_before: int = 0


@dataclass(frozen=True, slots=True)
class Standing:
    """What the table of a period is made of: the `sums` of who has any result in it.

    `dates`: the nearest dates before and after it that had a puzzle. `has_puzzle`: it had one
    itself. `is_first`: nobody had a ranked result before it.
    """

    first: date | None
    last: date | None
    sums: tuple[Sums, ...] = ()
    dates: tuple[date | None, date | None] = (None, None)
    has_puzzle: bool = True
    is_first: bool = True


def sum_up(
    results: Iterable[Result],
    first: date | None,
    last: date | None,
    *,
    puzzle_dates: Sequence[date] = (),
    still_open: Collection[date] = (),
) -> Standing:
    """Return what the results of a club come to in a period. `puzzle_dates`: those posted, oldest
    first; `results` may be of earlier and later days too, and need no order."""
    begin, end = first or date.min, last or date.max
    known = sorted((each for each in results if each.date <= end), key=lambda each: each.date)
    dates = [day for day in puzzle_dates if day <= end]
    sums = tuple(
        _sums_of(own, begin, dates, still_open)
        for own in by_member(known).values()
        if own[-1].date >= begin
    )
    return Standing(
        first,
        last,
        sums,
        (
            max((day for day in puzzle_dates if day < begin), default=None),
            min((day for day in puzzle_dates if day > end), default=None),
        ),
        has_puzzle=any(begin <= day <= end for day in puzzle_dates),
        is_first=not any(each.is_ranked and each.date < begin for each in known),
    )


def _sums_of(
    own: Sequence[Result], begin: date, dates: Sequence[date], still_open: Collection[date]
) -> Sums:
    ranked = [each for each in own if each.is_ranked]
    within = [each for each in ranked if each.date >= begin]
    before = [each for each in ranked if each.date < begin]
    return Sums(
        member_id=own[-1].member_id,
        name=own[-1].name,
        solved=len(within),
        adjusted=sum(each.adjusted for each in within),
        raw=sum(each.raw for each in within),
        hints=sum(each.hints for each in within),
        late=sum(each.is_late and each.verdict != "unranked" for each in own if each.date >= begin),
        wrong=sum(each.tries for each in within),
        streak=streaks_of(dates, (each.date for each in ranked), still_open=still_open)[0],
        before=tuple(each.adjusted for each in before[-BEFORE:]),
        highest=max((each.level for each in within), default=0),
        highest_before=max((each.level for each in before), default=0),
    )


def results_on(results: Iterable[Result], day: Day) -> tuple[Result, ...]:
    """Return a day's results."""
    return tuple(result for result in results if result.date == day.date)


def by_member(results: Iterable[Result]) -> dict[int, list[Result]]:
    """Group results by member, each in the order in which they come."""
    grouped: dict[int, list[Result]] = {}
    for result in results:
        grouped.setdefault(result.member_id, []).append(result)
    return grouped


def rank_rows(sums: Iterable[Sums]) -> tuple[TableRow, ...]:
    """Return the rows of a table in order; members with nothing but late answers come last."""
    rows = [
        TableRow(
            rank=0,
            name=own.name,
            solved=own.solved,
            adjusted=own.adjusted,
            raw=own.raw,
            hints=own.hints,
            late=own.late,
            streak=own.streak,
            wrong=own.wrong,
        )
        for own in sums
        if own.solved or own.late
    ]
    rows.sort(key=lambda row: (*_merit(row), row.name.casefold()))
    return tuple(_with_ranks(rows))


def row_of(standing: Standing, member_id: int) -> TableRow | None:
    """Return a member's row in the table, None where nothing of theirs ranks."""
    own = next((each for each in standing.sums if each.member_id == member_id), None)
    if own is None or not own.solved:
        return None
    rows = rank_rows(standing.sums)
    return next(each for each in rows if (each.name, *_merit(each)) == (own.name, *_merit(own)))


def _merit(row: TableRow | Sums) -> tuple[int, int]:
    return -row.solved, row.adjusted


def _with_ranks(rows: Sequence[TableRow]) -> Iterable[TableRow]:
    """Yield the sorted rows with ranks: a tie shares one, and the next skips as many places."""
    rank = 0
    for place, row in enumerate(rows, start=1):
        if place == 1 or _merit(row) != _merit(rows[place - 2]):
            rank = place
        yield TableRow(
            rank=rank if row.solved else 0,
            name=row.name,
            solved=row.solved,
            adjusted=row.adjusted,
            raw=row.raw,
            hints=row.hints,
            late=row.late,
            streak=row.streak,
            wrong=row.wrong,
        )


def rank_of(results: Sequence[Result], member_id: int) -> int | None:
    """Return a member's rank on one day's results; None where theirs does not rank."""
    ranked = [result for result in results if result.is_ranked]
    own = next((result for result in ranked if result.member_id == member_id), None)
    if own is None:
        return None
    return 1 + sum(result.adjusted < own.adjusted for result in ranked)


def count_ranked(results: Sequence[Result]) -> int:
    """Count the results that rank."""
    return sum(result.is_ranked for result in results)


def streaks_of(
    puzzle_dates: Sequence[date], solved: Iterable[date], *, still_open: Collection[date] = ()
) -> tuple[int, int]:
    """Return a member's running and best streak, over the club's puzzle dates, oldest first.

    A date without a puzzle breaks nothing, nor does an open puzzle not solved yet.
    """
    have = set(solved)
    run = best = 0
    for day in puzzle_dates:
        if day in have:
            run += 1
            best = max(best, run)
        elif day not in still_open:
            run = 0
    return run, best


def personal_bests(results: Iterable[Result]) -> Bests:
    """Return a member's bests; of equal ones the first that comes."""
    best: dict[int, Result] = {}
    for result in results:
        held = best.get(result.level)
        if result.is_ranked and (held is None or result.adjusted < held.adjusted):
            best[result.level] = result
    return tuple((level, best[level].adjusted, best[level].date) for level in sorted(best))


def is_personal_best(bests: Bests, new: Result) -> bool:
    """Say whether a ranked result beats the best of its level, where there is one."""
    held = {level: seconds for level, seconds, _ in bests}
    return new.is_ranked and new.level in held and new.adjusted < held[new.level]


def average(results: Sequence[Result]) -> int:
    """Return the average adjusted time in whole seconds; at least one result is needed."""
    return round(sum(result.adjusted for result in results) / len(results))


def improvement_of(own: Sums) -> float | None:
    """Return how much faster a member was in the period, as a share of their own average over the
    five results before it; None with too few results."""
    if len(own.before) < BEFORE or own.solved < WITHIN:
        return None
    then, now = sum(own.before) / len(own.before), own.adjusted / own.solved
    return (then - now) / then if then > 0 else None


def most_improved(sums: Iterable[Sums]) -> tuple[str, ...]:
    """Return who improved most in the period, several where equal; nobody if no one did."""
    shares: list[tuple[str, float]] = []
    for own in sums:
        share = improvement_of(own)
        if share is not None and share > 0:
            shares.append((own.name, share))
    best = max((share for _, share in shares), default=0.0)
    return tuple(sorted(name for name, share in shares if share == best))


def table_of(club: str, period: Period, standing: Standing) -> Table:
    """Return the table of a period as it stood at its end."""
    return Table(
        club=club,
        period=period,
        first=standing.first,
        last=standing.last,
        rows=rank_rows(standing.sums),
        most_improved=most_improved(standing.sums) if standing.first else (),
    )
