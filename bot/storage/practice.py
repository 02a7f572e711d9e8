"""What members have practised: how they stand, the position shown last, and which they have seen.

Each runs inside a transaction of the caller. All of it goes with the member.
"""

from __future__ import annotations

import sqlite3

from bot.club.exercises import Sighting
from bot.club.practised import (
    ENTRIES_LOOKED_AT,
    YEAR,
    Exercise,
    Practised,
    SaveExercise,
    SaveSkill,
    as_exported,
    needs_of,
)
from bot.club.spacing import Skill
from bot.storage.rows import charges_of, moment_of, moment_or_none, ms_of, ms_or_none

PRACTICE = (
    # How a member stands with a technique; phase to due_at are the scheduler's.
    """
    CREATE TABLE skill (
        member_id INTEGER NOT NULL REFERENCES member ON DELETE CASCADE,
        technique TEXT NOT NULL,
        met INTEGER NOT NULL,
        alone INTEGER NOT NULL,
        helped INTEGER NOT NULL,
        phase INTEGER NOT NULL,
        step INTEGER,
        stability REAL NOT NULL,
        difficulty REAL NOT NULL,
        due_at INTEGER NOT NULL,
        seen_at INTEGER NOT NULL,
        PRIMARY KEY (member_id, technique)
    ) STRICT, WITHOUT ROWID
    """,
    # The position that a member was shown last, as the reply.
    """
    CREATE TABLE exercise (
        member_id INTEGER PRIMARY KEY REFERENCES member ON DELETE CASCADE,
        technique TEXT NOT NULL,
        reply BLOB NOT NULL,
        fingerprint TEXT NOT NULL,
        base TEXT NOT NULL,
        shown_at INTEGER NOT NULL,
        tries INTEGER NOT NULL,
        rung INTEGER NOT NULL,
        is_over INTEGER NOT NULL
    ) STRICT
    """,
    # When a member was shown a position last, in whatever disguise.
    """
    CREATE TABLE exercise_seen (
        member_id INTEGER NOT NULL REFERENCES member ON DELETE CASCADE,
        technique TEXT NOT NULL,
        fingerprint TEXT NOT NULL,
        base TEXT NOT NULL,
        shown_at INTEGER NOT NULL,
        PRIMARY KEY (member_id, technique, fingerprint)
    ) STRICT, WITHOUT ROWID
    """,
)

_MEMBER = "(SELECT id FROM member WHERE club_id = ? AND user_id = ?)"


def load_practice(connection: sqlite3.Connection, club_id: int, user_id: str) -> Practised:
    """Return what is kept of a member's practice."""
    who = (club_id, user_id)
    row = connection.execute(f"SELECT * FROM exercise WHERE member_id = {_MEMBER}", who).fetchone()
    skills = connection.execute(
        f"SELECT * FROM skill WHERE member_id = {_MEMBER} ORDER BY technique", who
    )
    entries = connection.execute(
        f"SELECT charges, version FROM entry WHERE member_id = {_MEMBER}"
        " ORDER BY day_id DESC LIMIT ?",
        (*who, ENTRIES_LOOKED_AT),
    )
    needed = tuple(need for each in entries for need in needs_of(charges_of(each)))
    exercise = _exercise_of(row) if row else None
    return Practised(exercise, tuple(map(skill_of, skills)), needed)


def list_seen(
    connection: sqlite3.Connection, club_id: int, user_id: str, technique: str
) -> tuple[Sighting, ...]:
    """Return the positions of a technique that a member was shown, by when."""
    rows = connection.execute(
        f"SELECT * FROM exercise_seen WHERE member_id = {_MEMBER} AND technique = ?"
        " ORDER BY shown_at",
        (club_id, user_id, technique),
    )
    return tuple(
        Sighting(row["fingerprint"], row["base"], moment_of(row["shown_at"])) for row in rows
    )


def list_skills(connection: sqlite3.Connection, club_id: int) -> tuple[Skill, ...]:
    """Return how a club's members stand, without saying who."""
    rows = connection.execute(
        "SELECT skill.* FROM skill JOIN member ON member.id = member_id WHERE club_id = ?"
        " ORDER BY technique, member_id",
        (club_id,),
    )
    return tuple(map(skill_of, rows))


def _exercise_of(row: sqlite3.Row) -> Exercise:
    return Exercise(
        row["technique"],
        bytes(row["reply"]),
        row["fingerprint"],
        row["base"],
        moment_of(row["shown_at"]),
        row["tries"],
        row["rung"],
        bool(row["is_over"]),
    )


def skill_of(row: sqlite3.Row) -> Skill:
    """Return how a member stands with a technique, as a row of `skill` has it."""
    return Skill(
        row["technique"],
        row["met"],
        row["alone"],
        row["helped"],
        row["phase"],
        row["step"],
        row["stability"],
        row["difficulty"],
        moment_of(row["due_at"]),
        moment_of(row["seen_at"]),
        moment_or_none(row["gained_at"]),
    )


def save_skill(connection: sqlite3.Connection, change: SaveSkill) -> None:
    """Note how a member stands with a technique."""
    skill = change.skill
    connection.execute(
        f"INSERT OR REPLACE INTO skill VALUES ({_MEMBER}, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        (
            change.club_id,
            change.user_id,
            skill.technique,
            skill.met,
            skill.alone,
            skill.helped,
            skill.phase,
            skill.step,
            skill.stability,
            skill.difficulty,
            ms_of(skill.due_at),
            ms_of(skill.seen_at),
            ms_or_none(skill.gained_at),
        ),
    )


def save_exercise(connection: sqlite3.Connection, change: SaveExercise) -> None:
    """Note the position that a member was shown last, and that they have seen it."""
    who, exercise = (change.club_id, change.user_id), change.exercise
    shown_at = ms_of(exercise.shown_at)
    connection.execute(
        f"INSERT OR REPLACE INTO exercise VALUES ({_MEMBER}, ?, ?, ?, ?, ?, ?, ?, ?)",
        (
            *who,
            exercise.technique,
            exercise.reply,
            exercise.fingerprint,
            exercise.base,
            shown_at,
            exercise.tries,
            exercise.rung,
            exercise.is_over,
        ),
    )
    connection.execute(
        f"INSERT OR REPLACE INTO exercise_seen VALUES ({_MEMBER}, ?, ?, ?, ?)",
        (*who, exercise.technique, exercise.fingerprint, exercise.base, shown_at),
    )
    connection.execute(
        f"DELETE FROM exercise_seen WHERE member_id = {_MEMBER} AND technique = ?"
        " AND shown_at <= ?",
        (*who, exercise.technique, ms_of(exercise.shown_at - YEAR)),
    )


def export_practice(connection: sqlite3.Connection, member_id: int) -> list[object]:
    """Return how a member stands with each technique, as JSON values."""
    rows = connection.execute(
        "SELECT * FROM skill WHERE member_id = ? ORDER BY technique", (member_id,)
    )
    return [as_exported(skill_of(row)) for row in rows]
