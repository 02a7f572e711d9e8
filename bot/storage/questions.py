"""The question that a leader put to the club, and who has tried it.

Each runs inside a transaction of the caller. A member's tries go with the member.
"""

from __future__ import annotations

import sqlite3
from datetime import datetime

from bot.club.asked import Asked, SaveQuestion, SaveTry
from bot.storage.rows import moment_or_none, ms_of, ms_or_none

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


def find_question(connection: sqlite3.Connection, club_id: int, user_id: str) -> Asked | None:
    """Return a club's question with a member's tries, None where none was put."""
    row = connection.execute(
        "SELECT question.*, count(tries) AS tried, coalesce(sum(saw), 0) AS seen,"
        " coalesce(max(tries) FILTER (WHERE user_id = ?2), 0) AS tries,"
        " coalesce(max(saw) FILTER (WHERE user_id = ?2), 0) AS saw"
        " FROM question LEFT JOIN member ON member.club_id = question.club_id"
        " LEFT JOIN question_try ON member_id = member.id"
        " WHERE question.club_id = ?1 GROUP BY question.club_id",
        (club_id, user_id),
    ).fetchone()
    if row is None:
        return None
    return Asked(
        row["number"],
        bytes(row["reply"]),
        bool(row["is_over"]),
        row["tries"],
        bool(row["saw"]),
        row["tried"],
        row["seen"],
        moment_or_none(row["over_at"]),
    )


def find_question_due(connection: sqlite3.Connection, club_id: int, now: datetime) -> int | None:
    """Return the number of a club's question whose find is to be shown by now."""
    row = connection.execute(
        "SELECT number FROM question WHERE club_id = ? AND NOT is_over AND over_at <= ?",
        (club_id, ms_of(now)),
    ).fetchone()
    return None if row is None else int(row["number"])


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


def export_tries(connection: sqlite3.Connection, member_id: int) -> list[object]:
    """Return what is kept of a member's tries of the question, as JSON values."""
    rows = connection.execute(
        "SELECT number, tries, saw FROM question_try JOIN member ON member.id = member_id"
        " JOIN question ON question.club_id = member.club_id WHERE member_id = ?",
        (member_id,),
    )
    return [
        {"question": row["number"], "tries": row["tries"], "saw": bool(row["saw"])}
        for row in rows.fetchall()
    ]
