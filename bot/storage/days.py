"""Statements on days and puzzles: what was posted, what waits, what is in stock.

Each runs inside a transaction of the caller.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from datetime import date, datetime
from typing import Any

from bot.club.ports import MarkClosed, MarkPosted, OpenDay, Queued, SavePuzzle
from bot.club.state import Day, Puzzle
from bot.storage.rows import day_of, day_values, ms_of, puzzle_of, puzzle_values

_DAY = (
    "SELECT day.*, puzzle.givens, puzzle.solution, puzzle.level, puzzle.needs, puzzle.hardest,"
    " puzzle.effort, puzzle.credit, puzzle.origin, puzzle.form, puzzle.pattern"
    " FROM day JOIN puzzle ON puzzle.id = day.puzzle_id"
)


def _one_day(connection: sqlite3.Connection, where: str, values: tuple[Any, ...]) -> Day | None:
    row = connection.execute(f"{_DAY} WHERE {where}", values).fetchone()
    return None if row is None else day_of(row)


def find_day(connection: sqlite3.Connection, club_id: int, day: date) -> Day | None:
    return _one_day(connection, "day.club_id = ? AND day.date = ?", (club_id, day.isoformat()))


def find_open_day(connection: sqlite3.Connection, club_id: int, at: datetime) -> Day | None:
    """Return the newest posted day with due_at <= at < closes_at."""
    ms = ms_of(at)
    return _one_day(
        connection,
        "day.club_id = ? AND day.posted_at IS NOT NULL AND day.due_at <= ? AND ? < day.closes_at"
        " ORDER BY day.due_at DESC LIMIT 1",
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


def list_days(connection: sqlite3.Connection, club_id: int, *, open_only: bool) -> tuple[Day, ...]:
    only = " AND NOT day.is_closed" if open_only else ""
    rows = connection.execute(f"{_DAY} WHERE day.club_id = ?{only} ORDER BY day.date", (club_id,))
    return tuple(map(day_of, rows))


def open_day(connection: sqlite3.Connection, change: OpenDay) -> None:
    day = change.day
    puzzle_id = insert_puzzle(connection, day.puzzle)
    added = connection.execute(
        "INSERT INTO day (club_id, date, puzzle_id, first_line, second_line, sealed, due_at,"
        " closes_at, posted_at, post_ref, is_closed) VALUES (:club_id, :date, :puzzle_id,"
        " :first_line, :second_line, :sealed, :due_at, :closes_at, :posted_at, :post_ref,"
        " :is_closed) ON CONFLICT (club_id, date) DO NOTHING",
        {**day_values(day), "puzzle_id": puzzle_id},
    ).rowcount
    if added:
        connection.execute(
            "DELETE FROM queue WHERE club_id = ? AND puzzle_id = ?", (day.club_id, puzzle_id)
        )


def mark_posted(connection: sqlite3.Connection, change: MarkPosted) -> None:
    connection.execute(
        "UPDATE day SET posted_at = ?, post_ref = ? WHERE id = ?",
        (ms_of(change.posted_at), change.post_ref, change.day_id),
    )


def mark_closed(connection: sqlite3.Connection, change: MarkClosed) -> None:
    connection.execute("UPDATE day SET is_closed = 1 WHERE id = ?", (change.day_id,))


_IDENTITY = "iif(puzzle.form = '', puzzle.givens, puzzle.form)"
"""As `Puzzle.identity` has it."""

_INSERT_PUZZLE = """
    INSERT INTO puzzle
        (givens, solution, level, needs, hardest, effort, credit, origin, form, pattern)
    VALUES
        (:givens, :solution, :level, :needs, :hardest, :effort, :credit, :origin, :form, :pattern)
    ON CONFLICT (givens) DO NOTHING
"""


def insert_puzzle(connection: sqlite3.Connection, puzzle: Puzzle) -> int:
    """Add a puzzle unless its givens are there; return its id. The first one's words stand."""
    connection.execute(_INSERT_PUZZLE, puzzle_values(puzzle))
    row = connection.execute("SELECT id FROM puzzle WHERE givens = ?", (puzzle.givens,)).fetchone()
    return int(row[0])


def insert_stock(connection: sqlite3.Connection, puzzles: Iterable[Puzzle]) -> int:
    """Add the puzzles whose givens are not there; return how many were added."""
    return connection.executemany(_INSERT_PUZZLE, map(puzzle_values, puzzles)).rowcount


def save_puzzle(connection: sqlite3.Connection, change: SavePuzzle) -> None:
    puzzle_id = insert_puzzle(connection, change.puzzle)
    if change.club_id is not None:
        connection.execute(
            "INSERT INTO queue (club_id, puzzle_id, day) VALUES (?, ?, ?)"
            " ON CONFLICT (club_id, puzzle_id) DO UPDATE SET day = excluded.day",
            (change.club_id, puzzle_id, None if change.day is None else change.day.isoformat()),
        )


def list_puzzles(
    connection: sqlite3.Connection, level: int | None, needs: str | None, limit: int
) -> tuple[Puzzle, ...]:
    rows = connection.execute(
        "SELECT * FROM puzzle WHERE (?1 IS NULL OR level = ?1) AND (?2 IS NULL OR EXISTS"
        " (SELECT 1 FROM json_each(puzzle.needs) WHERE value = ?2)) ORDER BY id LIMIT ?3",
        (level, needs, limit),
    )
    return tuple(map(puzzle_of, rows))


def list_queue(connection: sqlite3.Connection, club_id: int) -> tuple[Queued, ...]:
    rows = connection.execute(
        "SELECT puzzle.*, queue.day AS for_day FROM queue"
        " JOIN puzzle ON puzzle.id = queue.puzzle_id WHERE queue.club_id = ? ORDER BY queue.id",
        (club_id,),
    )
    return tuple(
        Queued(
            puzzle=puzzle_of(row),
            day=None if row["for_day"] is None else date.fromisoformat(row["for_day"]),
        )
        for row in rows
    )


def list_stock(connection: sqlite3.Connection, club_id: int) -> tuple[Puzzle, ...]:
    rows = connection.execute(
        f"SELECT * FROM puzzle WHERE {_IDENTITY} NOT IN"
        f" (SELECT {_IDENTITY} FROM puzzle JOIN day ON day.puzzle_id = puzzle.id"
        "   WHERE day.club_id = ?1"
        f"  UNION SELECT {_IDENTITY} FROM puzzle JOIN queue ON queue.puzzle_id = puzzle.id"
        "   WHERE queue.club_id = ?1)"
        " ORDER BY id",
        (club_id,),
    )
    return tuple(map(puzzle_of, rows))


def has_had(connection: sqlite3.Connection, club_id: int, identity: str) -> bool:
    row = connection.execute(
        "SELECT 1 FROM day JOIN puzzle ON puzzle.id = day.puzzle_id"
        f" WHERE day.club_id = ? AND {_IDENTITY} = ?",
        (club_id, identity),
    ).fetchone()
    return row is not None
