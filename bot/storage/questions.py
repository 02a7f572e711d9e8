"""The question that a leader put to the club, and who has tried it.

Each runs inside a transaction of the caller. A member's tries go with the member.
"""

from __future__ import annotations

import sqlite3
from datetime import date

from bot.club.agenda import Agenda, DropPlanned, SavePlanned
from bot.club.asked import Asked, SaveNaming, SaveQuestion, SaveTry
from bot.club.facts import decode_position, encode_position
from bot.club.facts_planning import Planned
from bot.club.until import format_until, parse_until
from bot.storage.rows import moment_of, moment_or_none, ms_or_none

QUESTIONS = (
    # A club's question, as the reply that went up, and what members have tried of it so far.
    """
    CREATE TABLE question (
        club_id INTEGER PRIMARY KEY REFERENCES club,
        number INTEGER NOT NULL,
        reply BLOB NOT NULL,
        is_over INTEGER NOT NULL
    ) STRICT
    """,
    """
    CREATE TABLE question_try (
        member_id INTEGER PRIMARY KEY REFERENCES member ON DELETE CASCADE,
        tries INTEGER NOT NULL,
        saw INTEGER NOT NULL
    ) STRICT
    """,
)

QUESTION_TIMES = (
    # When the find of the question is shown of itself, or was shown.
    "ALTER TABLE question ADD COLUMN over_at INTEGER",
)

NAMED_TRIES = (
    # Who wishes to be named where the find is shown.
    "ALTER TABLE question_try ADD COLUMN is_named INTEGER NOT NULL DEFAULT 0",
)

PLANNED_QUESTIONS = (
    # Questions to come, a date each; `until` as `format_until` writes it, `position` as one that
    # was pasted is copied: its digits, and what is struck beside.
    """
    CREATE TABLE planned_question (
        club_id INTEGER NOT NULL REFERENCES club,
        date TEXT NOT NULL,
        is_weekly INTEGER NOT NULL,
        technique TEXT NOT NULL,
        mark TEXT NOT NULL,
        until TEXT NOT NULL,
        position TEXT,
        PRIMARY KEY (club_id, date)
    ) STRICT, WITHOUT ROWID
    """,
)


def find_question(connection: sqlite3.Connection, club_id: int, user_id: str) -> Asked | None:
    """Return a club's question with a member's tries, None where none was put."""
    row = connection.execute(
        "SELECT question.*, count(tries) AS tried, coalesce(sum(saw), 0) AS seen,"
        " coalesce(max(tries) FILTER (WHERE user_id = ?2), 0) AS tries,"
        " coalesce(max(saw) FILTER (WHERE user_id = ?2), 0) AS saw,"
        " coalesce(max(is_named) FILTER (WHERE user_id = ?2), 0) AS is_named"
        " FROM question LEFT JOIN member ON member.club_id = question.club_id"
        " LEFT JOIN question_try ON member_id = member.id"
        " WHERE question.club_id = ?1 GROUP BY question.club_id",
        (club_id, user_id),
    ).fetchone()
    if row is None:
        return None
    named = connection.execute(
        "SELECT name FROM question_try JOIN member ON member.id = member_id"
        " WHERE club_id = ? AND saw AND is_named ORDER BY member_id",
        (club_id,),
    )
    return Asked(
        row["number"],
        bytes(row["reply"]),
        bool(row["is_over"]),
        row["tries"],
        bool(row["saw"]),
        row["tried"],
        row["seen"],
        moment_or_none(row["over_at"]),
        bool(row["is_named"]),
        tuple(each["name"] for each in named.fetchall()),
    )


def find_agenda(connection: sqlite3.Connection, club_id: int) -> Agenda:
    """Return what is to come of a club's questions."""
    row = connection.execute(
        "SELECT number, over_at FROM question"
        " WHERE club_id = ? AND NOT is_over AND over_at IS NOT NULL",
        (club_id,),
    ).fetchone()
    number, over_at = (None, None) if row is None else (row["number"], moment_of(row["over_at"]))
    planned = connection.execute(
        "SELECT * FROM planned_question WHERE club_id = ? ORDER BY date", (club_id,)
    )
    return Agenda(number, over_at, tuple(map(_planned_of, planned.fetchall())))


def _planned_of(row: sqlite3.Row) -> Planned:
    return Planned(
        on=date.fromisoformat(row["date"]),
        is_weekly=bool(row["is_weekly"]),
        technique=row["technique"],
        mark=row["mark"],
        until=parse_until(row["until"]),
        position=None if row["position"] is None else decode_position(row["position"]),
    )


def save_planned(connection: sqlite3.Connection, change: SavePlanned) -> None:
    """Plan a question, in place of the one of its date."""
    planned, position = change.planned, change.planned.position
    connection.execute(
        "INSERT OR REPLACE INTO planned_question"
        " (club_id, date, is_weekly, technique, mark, until, position)"
        " VALUES (?, ?, ?, ?, ?, ?, ?)",
        (
            change.club_id,
            planned.on.isoformat(),
            planned.is_weekly,
            planned.technique,
            planned.mark,
            format_until(planned.until),
            None if position is None else encode_position(position),
        ),
    )


def drop_planned(connection: sqlite3.Connection, change: DropPlanned) -> None:
    """Forget the question that is planned for a date."""
    connection.execute(
        "DELETE FROM planned_question WHERE club_id = ? AND date = ?",
        (change.club_id, change.on.isoformat()),
    )


def save_question(connection: sqlite3.Connection, change: SaveQuestion) -> None:
    """Put a question; a new one forgets the tries."""
    connection.execute(
        "DELETE FROM question_try WHERE member_id IN (SELECT id FROM member WHERE club_id = ?1)"
        " AND NOT EXISTS (SELECT 1 FROM question WHERE club_id = ?1 AND number = ?2)",
        (change.club_id, change.number),
    )
    connection.execute(
        "INSERT INTO question (club_id, number, reply, is_over, over_at) VALUES (?, ?, ?, ?, ?)"
        " ON CONFLICT (club_id) DO UPDATE SET number = excluded.number, reply = excluded.reply,"
        " is_over = excluded.is_over, over_at = excluded.over_at",
        (
            change.club_id,
            change.number,
            change.reply,
            change.is_over,
            ms_or_none(change.over_at),
        ),
    )


def save_try(connection: sqlite3.Connection, change: SaveTry) -> None:
    """Note a member's tries."""
    done = connection.execute(
        "INSERT INTO question_try (member_id, tries, saw)"
        " SELECT id, ?, ? FROM member WHERE club_id = ? AND user_id = ?"
        " ON CONFLICT (member_id) DO UPDATE SET tries = excluded.tries, saw = excluded.saw",
        (change.tries, change.saw, change.club_id, change.user_id),
    )
    if not done.rowcount:
        raise LookupError(f"no member {change.user_id} for a try")


def save_naming(connection: sqlite3.Connection, change: SaveNaming) -> None:
    """Note whether a member wishes to be named; nothing of one who has not tried."""
    connection.execute(
        "UPDATE question_try SET is_named = ? WHERE member_id ="
        " (SELECT id FROM member WHERE club_id = ? AND user_id = ?)",
        (change.is_named, change.club_id, change.user_id),
    )


def export_tries(connection: sqlite3.Connection, member_id: int) -> list[object]:
    """Return what is kept of a member's tries of the question, as JSON values."""
    rows = connection.execute(
        "SELECT number, tries, saw, is_named FROM question_try JOIN member ON member.id = member_id"
        " JOIN question ON question.club_id = member.club_id WHERE member_id = ?",
        (member_id,),
    )
    return [
        {
            "question": row["number"],
            "tries": row["tries"],
            "saw": bool(row["saw"]),
            "named": bool(row["is_named"]),
        }
        for row in rows.fetchall()
    ]
