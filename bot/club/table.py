"""The table: ranks, streaks, personal bests and who improved most. Pure arithmetic on results.

Order is puzzles solved, then total adjusted time; equal results share a rank. Late answers are
kept and counted apart, and what waits for the leader or was taken out does not rank.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date

from bot.club.clock import Period
from bot.club.facts import Table, TableRow
from bot.club.state import Day, Member, Result


@dataclass(frozen=True, slots=True)
class Standing:
    """What tables are made of: all the club's finished `results`, and the `dates` of its posted
    puzzles, oldest first."""

    results: tuple[Result, ...] = ()
    dates: tuple[date, ...] = ()

    def with_day(self, on_date: date, results: Iterable[Result]) -> Standing:
        """Return it with other results on a date."""
        others = (each for each in self.results if each.date != on_date)
        return replace(self, results=(*others, *results))


BEFORE, WITHIN = 5, 3
"""Results that "most improved" asks for: before the period, and in it."""


def results_on(results: Iterable[Result], day: Day) -> tuple[Result, ...]:
    """Return a day's results."""
    return tuple(result for result in results if result.date == day.date)


def results_of(results: Iterable[Result], member: Member | None) -> tuple[Result, ...]:
    """Return a member's results, none of somebody who is none yet."""
    if member is None:
        return ()
    return tuple(result for result in results if result.member_id == member.id)


def by_member(results: Iterable[Result]) -> dict[int, list[Result]]:
    """Group results by member, each in the order in which they come."""
    grouped: dict[int, list[Result]] = {}
    for result in results:
        grouped.setdefault(result.member_id, []).append(result)
    return grouped


def rank_rows(
    results: Sequence[Result], streaks: dict[int, int] | None = None
) -> tuple[TableRow, ...]:
    """Return the rows of a table in order; members with nothing but late answers come last."""
    rows = []
    for member_id, own in by_member(results).items():
        ranked = [result for result in own if result.is_ranked]
        late = sum(result.is_late and result.verdict != "unranked" for result in own)
        if not ranked and not late:
            continue
        rows.append(
            TableRow(
                rank=0,
                name=own[-1].name,
                solved=len(ranked),
                adjusted=sum(result.adjusted for result in ranked),
                raw=sum(result.raw for result in ranked),
                hints=sum(result.hints for result in ranked),
                late=late,
                streak=(streaks or {}).get(member_id, 0),
                wrong=sum(result.tries for result in ranked),
            )
        )
    rows.sort(key=lambda row: (*_merit(row), row.name.casefold()))
    return tuple(_with_ranks(rows))


def _merit(row: TableRow) -> tuple[int, int]:
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


def personal_bests(results: Iterable[Result]) -> tuple[tuple[int, int, date], ...]:
    """Return (level, adjusted seconds, date) of a member's best ranked result of each level."""
    best: dict[int, Result] = {}
    for result in results:
        held = best.get(result.level)
        if result.is_ranked and (held is None or result.adjusted < held.adjusted):
            best[result.level] = result
    return tuple((level, best[level].adjusted, best[level].date) for level in sorted(best))


def is_personal_best(earlier: Iterable[Result], new: Result) -> bool:
    """Say whether a ranked result beats every earlier one of its level, of which there is one."""
    bests = {level: seconds for level, seconds, _ in personal_bests(earlier)}
    return new.is_ranked and new.level in bests and new.adjusted < bests[new.level]


def average(results: Sequence[Result]) -> int:
    """Return the average adjusted time in whole seconds; at least one result is needed."""
    return round(sum(result.adjusted for result in results) / len(results))


def improvement_of(own: Sequence[Result], first: date) -> float | None:
    """Return how much faster a member was in the period that starts at `first`, as a share of
    their own average over the five results before it; None with too few results."""
    ranked = sorted((result for result in own if result.is_ranked), key=lambda each: each.date)
    before = [result for result in ranked if result.date < first][-BEFORE:]
    within = [result for result in ranked if result.date >= first]
    if len(before) < BEFORE or len(within) < WITHIN:
        return None
    then, now = (sum(each.adjusted for each in part) / len(part) for part in (before, within))
    return (then - now) / then if then > 0 else None


def most_improved(results: Sequence[Result], first: date) -> tuple[str, ...]:
    """Return who improved most in the period, several where equal; nobody if no one did."""
    shares: list[tuple[str, float]] = []
    for own in by_member(results).values():
        share = improvement_of(own, first)
        if share is not None and share > 0:
            shares.append((own[-1].name, share))
    best = max((share for _, share in shares), default=0.0)
    return tuple(sorted(name for name, share in shares if share == best))


def table_of(
    club: str,
    period: Period,
    first: date | None,
    last: date | None,
    results: Sequence[Result],
    *,
    puzzle_dates: Sequence[date] = (),
    still_open: Collection[date] = (),
) -> Table:
    """Return the table of a period as it stood at its end; `results` may hold earlier and later
    ones too: streaks and improvement rest on what came before."""
    until = date.max if last is None else last
    results = [result for result in results if result.date <= until]
    within = [result for result in results if first is None or result.date >= first]
    puzzle_dates = [day for day in puzzle_dates if day <= until]
    streaks = {
        member_id: streaks_of(
            puzzle_dates, (each.date for each in own if each.is_ranked), still_open=still_open
        )[0]
        for member_id, own in by_member(results).items()
    }
    return Table(
        club=club,
        period=period,
        first=first,
        last=last,
        rows=rank_rows(within, streaks),
        most_improved=most_improved(results, first) if first else (),
    )
