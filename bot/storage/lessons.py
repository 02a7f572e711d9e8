"""The lesson that a leader holds: what it is about, and where it stands.

Each runs inside a transaction of the caller. Nothing here is about a member.
"""

from __future__ import annotations

import sqlite3

from bot.club.taught import SaveLesson, Taught

LESSONS = (
    """
    CREATE TABLE lesson (
        club_id INTEGER PRIMARY KEY REFERENCES club,
        number INTEGER NOT NULL,
        reply BLOB NOT NULL,
        frame INTEGER NOT NULL,
        is_asking INTEGER NOT NULL,
        question INTEGER NOT NULL,
        asked INTEGER NOT NULL,
        is_over INTEGER NOT NULL
    ) STRICT
    """,
    # The key of the post that something hangs under, in a thread.
    "ALTER TABLE notice ADD COLUMN under TEXT NOT NULL DEFAULT ''",
)
"""The statements of the migration that brought lessons."""


def find_lesson(connection: sqlite3.Connection, club_id: int) -> Taught | None:
    """Return a club's lesson, None where none was ever held."""
    row = connection.execute("SELECT * FROM lesson WHERE club_id = ?", (club_id,)).fetchone()
    if row is None:
        return None
    return Taught(
        row["number"],
        bytes(row["reply"]),
        row["frame"],
        bool(row["is_asking"]),
        row["question"],
        row["asked"],
        bool(row["is_over"]),
    )


def save_lesson(connection: sqlite3.Connection, change: SaveLesson) -> None:
    """Keep a club's lesson as it stands."""
    kept = change.lesson
    connection.execute(
        "INSERT OR REPLACE INTO lesson VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
        (
            change.club_id,
            kept.number,
            kept.reply,
            kept.frame,
            kept.is_asking,
            kept.question,
            kept.asked,
            kept.is_over,
        ),
    )
