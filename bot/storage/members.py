"""Statements on clubs, members and their entries. Each runs inside a transaction of the caller."""

from __future__ import annotations

import sqlite3

from bot.club.erasing import is_mark_of
from bot.club.ports import NoteLeader, SaveEntry, SaveLacking, SaveMember, SaveSettings
from bot.club.rights import led_by
from bot.club.state import Club, ClubSettings, Member, MemberSolve
from bot.storage.results import keep_entry
from bot.storage.rows import (
    club_of,
    entry_of,
    entry_values,
    json_of,
    member_of,
)


def list_clubs(connection: sqlite3.Connection) -> tuple[Club, ...]:
    """Return all clubs in the order in which they were founded."""
    return tuple(map(club_of, connection.execute("SELECT * FROM club ORDER BY id")))


def list_clubs_of(connection: sqlite3.Connection, platform: str, user_id: str) -> tuple[Club, ...]:
    """Return the platform's clubs that know this person, in the order of their founding."""
    rows = connection.execute(
        "SELECT club.* FROM club JOIN member ON member.club_id = club.id"
        " WHERE platform = ? AND user_id = ? ORDER BY club.id",
        (platform, user_id),
    )
    return tuple(map(club_of, rows))


def find_club(connection: sqlite3.Connection, platform: str, room_id: str) -> Club | None:
    """Return the club of a room, else the last one that left it; None where it had none."""
    room = (platform, room_id)
    row = (
        connection.execute("SELECT * FROM club WHERE platform = ? AND room_id = ?", room).fetchone()
        or connection.execute(
            "SELECT club.* FROM left_room JOIN club ON club.id = left_room.club_id"
            " WHERE left_room.platform = ? AND left_room.room_id = ?"
            " ORDER BY left_room.stay DESC, club.id DESC LIMIT 1",
            room,
        ).fetchone()
    )
    return None if row is None else club_of(row)


def club_with(connection: sqlite3.Connection, club_id: int) -> Club:
    """Return the club; LookupError where there is none."""
    row = connection.execute("SELECT * FROM club WHERE id = ?", (club_id,)).fetchone()
    if row is None:
        raise LookupError(club_id)
    return club_of(row)


def insert_club(
    connection: sqlite3.Connection,
    platform: str,
    room_id: str,
    settings: ClubSettings,
    *,
    paused: bool = False,
) -> Club:
    """Add a club, or return the one that the room has, unchanged."""
    connection.execute(
        "INSERT INTO club (platform, room_id, settings, paused) VALUES (?, ?, ?, ?)"
        " ON CONFLICT (platform, room_id) DO NOTHING",
        (platform, room_id, json_of(settings), int(paused)),
    )
    club = find_club(connection, platform, room_id)
    assert club is not None, "inserted just now, or there before"
    return club


def save_settings(connection: sqlite3.Connection, change: SaveSettings) -> None:
    """Replace a club's settings as a whole, and whether it is paused."""
    connection.execute(
        "UPDATE club SET settings = ?, paused = ? WHERE id = ?",
        (json_of(change.settings), int(change.paused), change.club_id),
    )


def save_lacking(connection: sqlite3.Connection, change: SaveLacking) -> None:
    """Note of which duties a club's leaders are told."""
    values = (json_of(change.duties), change.club_id)
    connection.execute("UPDATE club SET lacking = ? WHERE id = ?", values)


def note_leader(connection: sqlite3.Connection, change: NoteLeader) -> None:
    """Note that somebody leads by the platform's rights, or no longer does."""
    left = led_by(club_with(connection, change.club_id), change)
    values = (json_of(left), change.club_id)
    connection.execute("UPDATE club SET led_by = ? WHERE id = ?", values)


def find_member(connection: sqlite3.Connection, club_id: int, user_id: str) -> Member | None:
    """Return a member by the platform's id, None for somebody whom the club does not know."""
    row = connection.execute(
        "SELECT * FROM member WHERE club_id = ? AND user_id = ?", (club_id, user_id)
    ).fetchone()
    return None if row is None else member_of(row)


def find_members(connection: sqlite3.Connection, club_id: int, name: str) -> tuple[Member, ...]:
    """Return the members whose name or user id is `name`, whatever the case; names may repeat."""
    # Compared here: SQLite's own lower() and NOCASE know only the letters of ASCII.
    wanted = name.casefold()
    rows = connection.execute("SELECT * FROM member WHERE club_id = ? ORDER BY id", (club_id,))
    return tuple(
        member_of(row)
        for row in rows
        if wanted in (row["name"].casefold(), row["user_id"].casefold())
    )


def load_member_names(connection: sqlite3.Connection, club_id: int) -> dict[str, str]:
    """Return the names of a club's members by user id."""
    rows = connection.execute("SELECT user_id, name FROM member WHERE club_id = ?", (club_id,))
    return {row["user_id"]: row["name"] for row in rows}


def save_member(connection: sqlite3.Connection, change: SaveMember) -> None:
    """Add a member, or give the one that is there the newer name and wishes."""
    member = change.member
    connection.execute(
        "INSERT INTO member (club_id, user_id, name, look, reminds) VALUES (?, ?, ?, ?, ?)"
        " ON CONFLICT (club_id, user_id) DO UPDATE SET name = excluded.name,"
        " look = excluded.look, reminds = excluded.reminds",
        (member.club_id, member.user_id, member.name, member.look, member.reminds),
    )


_SAVE_ENTRY = """
    INSERT INTO entry (
        day_id, member_id, started_at, finished_at, is_late, tries, verdict, reason,
        charges, board, history, undone, known, hint, version
    )
    SELECT
        day.id, member.id, :started_at, :finished_at, :is_late, :tries, :verdict, :reason,
        :charges, :board, :history, :undone, :known, :hint, :version
    FROM day JOIN member ON member.club_id = day.club_id
    WHERE day.id = :day_id AND member.user_id = :user_id
    ON CONFLICT (day_id, member_id) DO UPDATE SET
        started_at = excluded.started_at, finished_at = excluded.finished_at,
        is_late = excluded.is_late, tries = excluded.tries, verdict = excluded.verdict,
        reason = excluded.reason,
        charges = excluded.charges, board = excluded.board, history = excluded.history,
        undone = excluded.undone, known = excluded.known,
        hint = excluded.hint, version = excluded.version
    RETURNING id, member_id, charges, version
"""


def save_entry(connection: sqlite3.Connection, change: SaveEntry) -> None:
    """Insert or replace; LookupError where the day or the member is not there."""
    values = {**entry_values(change.entry), "user_id": change.user_id}
    saved = connection.execute(_SAVE_ENTRY, values).fetchall()
    if not saved:
        raise LookupError(f"no member or day for an entry of day {change.entry.day_id}")
    keep_entry(connection, saved[0], is_finished=change.entry.finished_at is not None)


def find_entry(connection: sqlite3.Connection, day_id: int, user_id: str) -> MemberSolve | None:
    """Return what a member has done on a day, None where they never took part in it."""
    row = connection.execute(
        "SELECT entry.* FROM entry JOIN member ON member.id = entry.member_id"
        " WHERE entry.day_id = ? AND member.user_id = ?",
        (day_id, user_id),
    ).fetchone()
    return None if row is None else entry_of(row)


def list_entries(
    connection: sqlite3.Connection, day_id: int
) -> tuple[tuple[Member, MemberSolve], ...]:
    """Return who took part in a day, with what they did, in the order in which they began."""
    rows = connection.execute(
        "SELECT entry.*, member.club_id, member.user_id, member.name, member.look, member.reminds"
        " FROM entry"
        " JOIN member ON member.id = entry.member_id WHERE entry.day_id = ? ORDER BY entry.id",
        (day_id,),
    )
    return tuple((member_of(row, "member_id"), entry_of(row)) for row in rows)


def list_day_ids(connection: sqlite3.Connection, club_id: int, user_id: str) -> frozenset[int]:
    """Return the ids of the days that a member took part in."""
    rows = connection.execute(
        "SELECT entry.day_id FROM entry JOIN member ON member.id = entry.member_id"
        " WHERE member.club_id = ? AND member.user_id = ?",
        (club_id, user_id),
    )
    return frozenset(row["day_id"] for row in rows)


def days_come_back_to(connection: sqlite3.Connection, club_id: int, user_id: str) -> frozenset[int]:
    """Return the ids of the days not closed yet that hold the mark of a person."""
    rows = connection.execute(
        # The marks are few, and looked through first.
        "SELECT erased.* FROM erased CROSS JOIN day ON day.id = erased.day_id"
        " WHERE day.club_id = ?",
        (club_id,),
    )
    return frozenset(
        row["day_id"] for row in rows if is_mark_of((row["salt"], row["digest"]), user_id)
    )
