"""The table of a week or month that is over: it goes up by itself, once, with a word of praise.

A period is over when all its days are closed and no other can come: its last date had its day, or
a later period has one. Its key never changes; what reaches us later mends it, as it does the
results of the day.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from bot.club.clock import Period, next_date, period_of
from bot.club.facts import Praise, Table, TablePicture
from bot.club.periods import beside, format_period
from bot.club.ports import QueueNotice, WithdrawNotice
from bot.club.replies import PeriodEnded, encode_reply
from bot.club.state import Club, Day
from bot.club.table import Standing, table_of

PERIODS: Sequence[Period] = ("week", "month")
_MOST_NAMES = 3
"""Praise of more than so many is praise of nobody."""


def key_of(club: Club, period: Period, on_date: date) -> str:
    """Return the key of the table of the period that holds a date."""
    return f"{period}:{club.id}:{format_period(period, on_date)}"


def periods_over(club: Club, day: Day, days: Sequence[Day], newest: date) -> tuple[Period, ...]:
    """Return the periods of a day that are over. `days`: all the club's; `newest`: the date of the
    newest, or of the one that is about to go up."""
    after = next_date(newest, club.settings.zone)
    closed = {each.date for each in days if each.is_closed}
    known = {newest, *(each.date for each in days)}
    over = []
    for period in PERIODS:
        span = period_of(period, day.date)
        inside = {each for each in known if period_of(period, each) == span}
        if span[1] is not None and after > span[1] and inside <= closed:
            over.append(period)
    return tuple(over)


def table_told(club: Club, period: Period, standing: Standing) -> QueueNotice | None:
    """Return the table of a period, as it goes up; None of one without any result."""
    reply = period_ended(club, period, standing)
    if not reply.table.rows or standing.last is None:
        return None
    return QueueNotice(club.id, key_of(club, period, standing.last), "room", encode_reply(reply))


def tables_mended(club: Club, on_date: date) -> tuple[QueueNotice, ...]:
    """Return what mends the tables of a date's periods, where they went up: made when it is sent,
    of what is known by then."""
    return tuple(
        QueueNotice(club.id, key_of(club, period, on_date), "mend", b"") for period in PERIODS
    )


def tables_withdrawn(club: Club, day: Day) -> tuple[WithdrawNotice, ...]:
    """Return what keeps back the tables that wait, now that a day of theirs is to come again."""
    return tuple(WithdrawNotice(club.id, key_of(club, each, day.date)) for each in PERIODS)


def period_ended(
    club: Club, period: Period, standing: Standing, *, is_mended: bool = False
) -> PeriodEnded:
    """Return the final table of a period, with a word of praise."""
    table = table_of(club.settings.name, period, standing)
    return PeriodEnded(
        table=table,
        picture=TablePicture(table) if table.rows else None,
        praise=praise_of(table, standing),
        earlier=beside(period, standing.dates)[0],
        is_mended=is_mended,
    )


# --- what was good ---


def praise_of(table: Table, standing: Standing) -> Praise | None:
    """Return the best that can be said of a period: who improved most, else who solved a level for
    the first time, else who came new to the club, else who needed the fewest hints."""
    if table.most_improved:
        return Praise("improved", table.most_improved)
    return _first(standing) or _fewest_hints(table)


def _first(standing: Standing) -> Praise | None:
    steps: dict[int, list[str]] = {}
    new: list[str] = []
    for own in standing.sums:
        if own.highest_before and own.highest > own.highest_before:
            steps.setdefault(own.highest, []).append(own.name)
        elif own.highest and not own.highest_before:
            new.append(own.name)
    if steps and len(steps[max(steps)]) <= _MOST_NAMES:
        return Praise("level", tuple(sorted(steps[max(steps)])), level=max(steps))
    if new and len(new) <= _MOST_NAMES and not standing.is_first:
        return Praise("new", tuple(sorted(new)))
    return None


def _fewest_hints(table: Table) -> Praise | None:
    """Of those who solved half as many as the first at least: few hints in one puzzle are easy."""
    ranked = [row for row in table.rows if row.rank]
    steady = [row for row in ranked if 2 * row.solved >= ranked[0].solved]
    if not steady:
        return None
    best = min(steady, key=lambda row: (row.hints / row.solved, -row.solved))
    same = [row for row in steady if (row.hints, row.solved) == (best.hints, best.solved)]
    if len(same) > _MOST_NAMES:
        return None
    names = tuple(sorted(row.name for row in same))
    return Praise("hints", names, hints=best.hints, solved=best.solved)
