"""A club's moves from room to room: where it met before, and what becomes of its posts.

Each runs inside a transaction of the caller. A notice has the number of the stay that its post went
up in, once the club has left that room; without one it is for the room where the club meets.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Mapping
from datetime import datetime

from bot.club.changes import NoteServer, Relocate
from bot.storage.members import club_with
from bot.storage.memory import RoomMemory
from bot.storage.posts import IS_THE_DAYS_POST
from bot.storage.rows import ms_of

MOVES = (
    "ALTER TABLE club ADD COLUMN stay INTEGER NOT NULL DEFAULT 0",
    "ALTER TABLE club ADD COLUMN first_room TEXT NOT NULL DEFAULT ''",
    "ALTER TABLE club ADD COLUMN server TEXT NOT NULL DEFAULT ''",
    "ALTER TABLE notice ADD COLUMN stay INTEGER",
    """
    CREATE TABLE left_room (
        club_id INTEGER NOT NULL REFERENCES club,
        stay INTEGER NOT NULL,
        platform TEXT NOT NULL,
        room_id TEXT NOT NULL,
        PRIMARY KEY (club_id, stay)
    ) STRICT, WITHOUT ROWID
    """,
    "CREATE INDEX left_room_by_id ON left_room (platform, room_id)",
)
"""The statements of the migration that made clubs movable."""


def relocate(
    connection: sqlite3.Connection,
    change: Relocate,
    now: datetime,
    memories: Iterable[RoomMemory] = (),
) -> None:
    """Have a club meet in another room. Raises IntegrityError where that has a club."""
    club = club_with(connection, change.club_id)
    said = {"club": club.id, "stay": club.stay, "now": ms_of(now)}
    connection.execute(
        "INSERT INTO left_room (club_id, stay, platform, room_id) VALUES (?, ?, ?, ?)",
        (club.id, club.stay, club.platform, club.room_id),
    )
    connection.execute(
        "UPDATE club SET room_id = ?, first_room = ?, stay = stay + 1 WHERE id = ?",
        (change.room_id, club.home, club.id),
    )
    connection.execute(
        # What is up stays there; so does a thread, which hangs under what is up.
        "UPDATE notice SET stay = :stay WHERE club_id = :club AND stay IS NULL"
        " AND (reference IS NOT NULL OR audience = 'thread' OR audience = 'under' AND EXISTS ("
        "SELECT 1 FROM notice AS above WHERE above.club_id = notice.club_id"
        " AND above.key = notice.under AND above.reference IS NOT NULL))",
        said,
    )
    _send_anew(connection, said, dict(change.left))
    for key, reply in change.left:
        _leave_post(connection, {**said, "key": key, "reply": reply})
    if change.farewell:
        connection.execute(
            "INSERT INTO notice (club_id, key, audience, reply, user_id, queued_at, stay)"
            " VALUES (:club, 'left:' || :stay, 'room', :reply, '', :now, :stay)",
            {**said, "reply": change.farewell},
        )
    for memory in memories:
        if memory.platform == club.platform:
            memory.move(connection, club.room_id, change.room_id)


def _leave_post(connection: sqlite3.Connection, said: Mapping[str, object]) -> None:
    """Have a post that is up say something else, and give up its key: that of its successor."""
    connection.execute(
        # What hangs under the day's post waits for the new one.
        "UPDATE day SET post_ref = NULL FROM notice"
        f" WHERE notice.club_id = :club AND notice.key = :key AND {IS_THE_DAYS_POST}",
        said,
    )
    connection.execute(
        "UPDATE notice SET key = 'left:' || :stay || ':' || key, audience = 'mend',"
        " reply = :reply, edition = edition + 1, sent_at = NULL, attempted_at = NULL"
        " WHERE club_id = :club AND key = :key AND stay = :stay",
        said,
    )


def _send_anew(
    connection: sqlite3.Connection, said: Mapping[str, object], left: Mapping[str, bytes]
) -> None:
    """Give what is on its way another id: should it arrive in the room that is left, then that is
    not what the club has said in the new one. A post that is not to stand there is looked for."""
    rows = connection.execute(
        "SELECT id, club_id, key, audience, reply, user_id, day_id, under, queued_at FROM notice"
        " WHERE club_id = :club AND stay IS NULL AND audience <> 'member'"
        " AND sent_at IS NULL AND attempted_at IS NOT NULL",
        said,
    ).fetchall()
    for number, *row in rows:
        if (key := row[1]) in left:
            connection.execute(
                "UPDATE notice SET key = 'left:' || :stay || ':' || key, stay = :stay,"
                " reply = :reply, edition = edition + 1 WHERE id = :id",
                {**said, "reply": left[key], "id": number},
            )
        else:
            connection.execute("DELETE FROM notice WHERE id = ?", (number,))
        connection.execute(
            "INSERT INTO notice"
            " (club_id, key, audience, reply, user_id, day_id, under, queued_at)"
            " VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
            row,
        )


def note_server(connection: sqlite3.Connection, change: NoteServer) -> None:
    """Note what a club's room is part of."""
    connection.execute("UPDATE club SET server = ? WHERE id = ?", (change.server, change.club_id))


def list_left_rooms(connection: sqlite3.Connection, platform: str) -> dict[str, int]:
    """Return the rooms of a platform that clubs have left, with the id of the last one that did."""
    rows = connection.execute(
        "SELECT room_id, club_id FROM left_room WHERE platform = ? ORDER BY stay, club_id",
        (platform,),
    )
    return {row["room_id"]: row["club_id"] for row in rows}


def rooms_of(connection: sqlite3.Connection, club_id: int) -> tuple[str, ...]:
    """Return the rooms that a club meets in and has met in, each once, the present one first."""
    rows = connection.execute(
        "SELECT room_id FROM left_room WHERE club_id = ? ORDER BY stay DESC", (club_id,)
    )
    present = club_with(connection, club_id).room_id
    return tuple(dict.fromkeys((present, *(row["room_id"] for row in rows))))
