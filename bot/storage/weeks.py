"""How far a club's technique week is, and how its members stand with the technique.

Each runs inside a transaction of the caller.
"""

from __future__ import annotations

import sqlite3
from datetime import date

from bot.club.weeks_kept import KeptWeek, Learner, SaveWeek
from bot.storage.practice import skill_of
from bot.storage.rows import moment_of, moment_or_none, ms_of, ms_or_none

WEEKS = (
    """
    CREATE TABLE technique_week (
        club_id INTEGER PRIMARY KEY REFERENCES club,
        monday TEXT NOT NULL,
        technique TEXT NOT NULL,
        begun_at INTEGER NOT NULL,
        question INTEGER NOT NULL,
        asked_at INTEGER,
        is_told INTEGER NOT NULL
    ) STRICT
    """,
    # When a member who had needed help with a technique found it alone.
    "ALTER TABLE skill ADD COLUMN gained_at INTEGER",
)


def find_week(connection: sqlite3.Connection, club_id: int) -> KeptWeek | None:
    """Return a club's last technique week, None where it had none."""
    row = connection.execute(
        "SELECT * FROM technique_week WHERE club_id = ?", (club_id,)
    ).fetchone()
    if row is None:
        return None
    return KeptWeek(
        date.fromisoformat(row["monday"]),
        row["technique"],
        moment_of(row["begun_at"]),
        row["question"],
        moment_or_none(row["asked_at"]),
        bool(row["is_told"]),
    )


def save_week(connection: sqlite3.Connection, change: SaveWeek) -> None:
    """Note how far a club's week is, in place of the one before."""
    week = change.week
    connection.execute(
        "INSERT OR REPLACE INTO technique_week VALUES (?, ?, ?, ?, ?, ?, ?)",
        (
            change.club_id,
            week.monday.isoformat(),
            week.technique,
            ms_of(week.begun_at),
            week.question,
            ms_or_none(week.asked_at),
            week.is_told,
        ),
    )


def list_learners(
    connection: sqlite3.Connection, club_id: int, technique: str
) -> tuple[Learner, ...]:
    """Return a club's members with how they stand with a technique, by their ids."""
    rows = connection.execute(
        "SELECT member.id, skill.*, tries, saw FROM member"
        " LEFT JOIN skill ON skill.member_id = member.id AND technique = ?"
        " LEFT JOIN question_try ON question_try.member_id = member.id"
        " WHERE club_id = ? ORDER BY member.id",
        (technique, club_id),
    )
    return tuple(
        Learner(
            row["id"],
            skill_of(row) if row["technique"] is not None else None,
            bool(row["tries"]),
            bool(row["saw"]),
        )
        for row in rows
    )
