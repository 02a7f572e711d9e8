"""Statements on days: what is to be posted, what was, and what is over.

Each runs inside a transaction of the caller.
"""

from __future__ import annotations

import sqlite3
from datetime import date, datetime
from typing import Any

from bot.club.ports import MarkClosed, MarkPosted, MoveClosing, OpenDay, WithdrawDay, Withdrawn
from bot.club.state import Day
from bot.storage.posts import NEVER_WENT_UP
from bot.storage.puzzles import insert_puzzle, use_up
from bot.storage.results import keep_day, keep_runs_from
from bot.storage.rows import day_of, day_values, ms_of, puzzle_of

_DAY = (
    "SELECT day.*, puzzle.givens, puzzle.solution, puzzle.level, puzzle.needs, puzzle.hardest,"
    " puzzle.effort, puzzle.credit, puzzle.origin, puzzle.form, puzzle.pattern, puzzle.turns,"
    f" {NEVER_WENT_UP} AS is_void"
    " FROM day JOIN puzzle ON puzzle.id = day.puzzle_id"
)


def _one_day(connection: sqlite3.Connection, where: str, values: tuple[Any, ...]) -> Day | None:
    row = connection.execute(f"{_DAY} WHERE {where}", values).fetchone()
    return None if row is None else day_of(row)


def find_day(connection: sqlite3.Connection, club_id: int, on_date: date) -> Day | None:
    """Return the club's day of that date, posted or not."""
    return _one_day(connection, "day.club_id = ? AND day.date = ?", (club_id, on_date.isoformat()))


def find_open_day(connection: sqlite3.Connection, club_id: int, at: datetime) -> Day | None:
    """Return the newest posted day with due_at <= at < closes_at."""
    ms = ms_of(at)
    return _one_day(
        connection,
        # The few days that close later are looked through, not the many that were due before.
        "day.club_id = ? AND day.posted_at IS NOT NULL AND +day.due_at <= ? AND ? < day.closes_at"
        " ORDER BY +day.due_at DESC LIMIT 1",
        (club_id, ms, ms),
    )


def find_day_before(connection: sqlite3.Connection, club_id: int, at: datetime) -> Day | None:
    """Return the newest posted day with due_at < at."""
    return _one_day(
        connection,
        "day.club_id = ? AND day.posted_at IS NOT NULL AND day.due_at < ?"
        " ORDER BY day.due_at DESC LIMIT 1",
        (club_id, ms_of(at)),
    )


def find_unconfirmed_day(connection: sqlite3.Connection, club_id: int) -> Day | None:
    """Return the newest day that is not known to be up."""
    return _one_day(
        connection,
        "day.club_id = ? AND day.posted_at IS NULL ORDER BY day.due_at DESC LIMIT 1",
        (club_id,),
    )


def find_newest_before(connection: sqlite3.Connection, club_id: int, on_date: date) -> Day | None:
    """Return the newest day before a date, posted or not."""
    return _one_day(
        connection,
        "day.club_id = ? AND day.date < ? ORDER BY day.date DESC LIMIT 1",
        (club_id, on_date.isoformat()),
    )


def list_days(
    connection: sqlite3.Connection, club_id: int, *, open_only: bool, since: date | None = None
) -> tuple[Day, ...]:
    """Return days by date; `open_only`: those not marked closed; `since`: from a date on."""
    only = " AND day.is_closed = 0" if open_only else ""
    rows = connection.execute(
        f"{_DAY} WHERE day.club_id = ? AND day.date >= ?{only} ORDER BY day.date",
        (club_id, (since or date.min).isoformat()),
    )
    return tuple(map(day_of, rows))


def list_finished_days(
    connection: sqlite3.Connection, club_id: int, user_id: str
) -> tuple[Day, ...]:
    """Return the days on which a member has finished, by date."""
    rows = connection.execute(
        f"{_DAY} WHERE day.id IN (SELECT entry.day_id FROM member"
        " JOIN result ON result.member_id = member.id JOIN entry ON entry.id = result.entry_id"
        " WHERE member.club_id = ? AND member.user_id = ?) ORDER BY day.date",
        (club_id, user_id),
    )
    return tuple(map(day_of, rows))


def open_day(connection: sqlite3.Connection, change: OpenDay) -> None:
    """Add the day with its puzzle, and forget picks up to its date.

    A date that has its day keeps it, and its picks stay.
    """
    day = change.day
    puzzle_id = insert_puzzle(connection, day.puzzle)
    added = connection.execute(
        "INSERT INTO day (club_id, date, puzzle_id, first_line, second_line, sealed, due_at,"
        " closes_at, posted_at, post_ref, is_closed, edition, theme) VALUES (:club_id, :date,"
        " :puzzle_id, :first_line, :second_line, :sealed, :due_at, :closes_at, :posted_at,"
        " :post_ref, :is_closed, :edition, :theme) ON CONFLICT (club_id, date) DO NOTHING",
        {**day_values(day), "puzzle_id": puzzle_id},
    ).rowcount
    if added:
        connection.execute(
            "DELETE FROM pick WHERE club_id = ? AND day <= ?", (day.club_id, day.date.isoformat())
        )


def mark_posted(connection: sqlite3.Connection, change: MarkPosted) -> None:
    """Note when and under what reference a day went up; its puzzle leaves the club's queue."""
    connection.execute(
        "UPDATE day SET posted_at = ?, post_ref = ? WHERE id = ?",
        (ms_of(change.posted_at), change.post_ref, change.day_id),
    )
    keep_day(connection, change.day_id)
    _use_up_puzzle(connection, change.day_id)


def _use_up_puzzle(connection: sqlite3.Connection, day_id: int) -> None:
    rows = connection.execute("SELECT club_id, puzzle_id FROM day WHERE id = ?", (day_id,))
    for row in rows.fetchall():
        use_up(connection, row["club_id"], row["puzzle_id"])


def move_closing(connection: sqlite3.Connection, change: MoveClosing) -> None:
    """Have a day close at another time; one that is marked closed stays as it is."""
    connection.execute(
        "UPDATE day SET closes_at = ? WHERE id = ? AND NOT is_closed",
        (ms_of(change.closes_at), change.day_id),
    )


def mark_closed(connection: sqlite3.Connection, change: MarkClosed) -> None:
    """Close a day, and forget who had their data erased while it was open."""
    connection.execute("UPDATE day SET is_closed = 1 WHERE id = ?", (change.day_id,))
    connection.execute("DELETE FROM erased WHERE day_id = ?", (change.day_id,))


def withdraw_day(connection: sqlite3.Connection, change: WithdrawDay) -> None:
    """Take a day away, with what members did on it; its puzzle stays known as one that was seen."""
    day_id = (change.day_id,)
    _use_up_puzzle(connection, change.day_id)
    connection.execute(
        "INSERT INTO withdrawn (club_id, day, edition, puzzle_id)"
        " SELECT club_id, date, edition, puzzle_id FROM day WHERE id = ?",
        day_id,
    )
    connection.execute("UPDATE notice SET day_id = NULL WHERE day_id = ?", day_id)
    connection.execute("DELETE FROM entry WHERE day_id = ?", day_id)
    gone = connection.execute("DELETE FROM day WHERE id = ? RETURNING club_id, date", day_id)
    for row in gone.fetchall():
        keep_runs_from(connection, row["club_id"], date.fromisoformat(row["date"]))


def list_withdrawn(connection: sqlite3.Connection, club_id: int) -> tuple[Withdrawn, ...]:
    """Return the puzzles of withdrawn days, by date, then by edition."""
    rows = connection.execute(
        "SELECT puzzle.*, withdrawn.day AS of_day FROM withdrawn"
        " JOIN puzzle ON puzzle.id = withdrawn.puzzle_id WHERE withdrawn.club_id = ?"
        " ORDER BY withdrawn.day, withdrawn.edition",
        (club_id,),
    )
    return tuple(Withdrawn(puzzle_of(row), date.fromisoformat(row["of_day"])) for row in rows)
