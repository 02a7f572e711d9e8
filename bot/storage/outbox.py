"""Statements on what is to be said after a commit, and on replies kept for redelivered events.

Each runs inside a transaction of the caller. A notice that was sent keeps its key and reference,
so that it can be mended, but not its words: those stand in the room.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Collection
from datetime import datetime

from bot.club.people import may_name
from bot.club.ports import Notice, QueueNotice, SendingAttempt, WithdrawNotice
from bot.storage.posts import IS_THE_DAYS_POST
from bot.storage.puzzles import use_up
from bot.storage.results import forget_former, keep_day
from bot.storage.rows import club_of, json_of, ms_of


def queue_notice(connection: sqlite3.Connection, change: QueueNotice, now: datetime) -> None:
    """Add a notice once per key; a mend takes the place of the one that is there, if one is.

    A mend of what was never sent is a post with the new words: there is nothing to replace yet.
    """
    if change.audience == "mend":
        connection.execute(
            "UPDATE notice SET reply = ?, edition = edition + 1, sent_at = NULL,"
            " attempted_at = iif(sent_at IS NULL, attempted_at, NULL),"
            " audience = iif(reference IS NULL, audience, 'mend') WHERE club_id = ? AND key = ?",
            (change.reply, change.club_id, change.key),
        )
        return
    connection.execute(
        "INSERT INTO notice (club_id, key, audience, reply, user_id, day_id, under, queued_at)"
        " VALUES (:club_id, :key, :audience, :reply, :user_id, :day_id, :under, :now)"
        " ON CONFLICT (club_id, key) DO NOTHING",
        {
            "club_id": change.club_id,
            "key": change.key,
            "audience": change.audience,
            "reply": change.reply,
            "user_id": change.user_id,
            "day_id": change.day_id,
            "under": change.under,
            "now": ms_of(now),
        },
    )


_WAITING = """
    SELECT
        notice.id AS notice_id, notice.key, notice.audience, notice.reply, notice.user_id,
        CASE notice.audience WHEN 'mend' THEN notice.reference WHEN 'under' THEN above.reference
            ELSE day.post_ref END AS ref,
        notice.stay AS left_stay, nullif(left_room.room_id, club.room_id) AS left_room, club.*
    FROM notice
    JOIN club ON club.id = notice.club_id
    LEFT JOIN day ON day.id = notice.day_id
    LEFT JOIN notice AS above ON above.club_id = notice.club_id AND above.key = notice.under
    LEFT JOIN left_room ON left_room.club_id = notice.club_id AND left_room.stay = notice.stay
    WHERE notice.sent_at IS NULL
    AND (notice.audience <> 'thread' OR day.id IS NULL OR day.post_ref IS NOT NULL)
    AND (notice.audience <> 'under' OR above.reference IS NOT NULL)
"""


def list_notices(connection: sqlite3.Connection, limit: int) -> tuple[Notice, ...]:
    """Return what waits to be sent, of all clubs, oldest first."""
    waiting = _WAITING.replace("FROM notice", "FROM notice INDEXED BY notice_waiting")
    rows = connection.execute(waiting + " ORDER BY notice.id LIMIT ?", (limit,))
    return tuple(map(_notice_of, rows))


def has_waiting(connection: sqlite3.Connection) -> bool:
    """Say whether anything waits to be sent, in any club."""
    return connection.execute("SELECT 1 FROM notice WHERE sent_at IS NULL").fetchone() is not None


_FIRST_OF_EACH = """
    AND notice.id IN (
        SELECT id FROM (
            SELECT id, row_number() OVER (
                PARTITION BY audience, user_id, substr(key, 1, instr(key, ':')) ORDER BY id
            ) AS place
            FROM notice
            WHERE club_id = ? AND sent_at IS NULL AND id NOT IN (SELECT value FROM json_each(?))
        )
        WHERE place <= ?
    )
    ORDER BY notice.id
"""


def list_club_notices(
    connection: sqlite3.Connection, club_id: int, resting: Collection[int], each: int
) -> tuple[Notice, ...]:
    """Return the first so many of each kind (a key's first word) and receiver, oldest first.

    However many wait of one, or rest, they leave room for the others.
    """
    rows = connection.execute(_WAITING + _FIRST_OF_EACH, (club_id, json_of(resting), each))
    return tuple(map(_notice_of, rows))


def _notice_of(row: sqlite3.Row) -> Notice:
    return Notice(
        id=row["notice_id"],
        club=club_of(row),
        key=row["key"],
        audience=row["audience"],
        reply=row["reply"],
        user_id=row["user_id"],
        post_ref=row["ref"],
        left_room=row["left_room"] or "",
        stay=row["stay"] if row["left_stay"] is None else row["left_stay"],
    )


def begin_attempt(
    connection: sqlite3.Connection, notice_id: int, now: datetime
) -> SendingAttempt | None:
    """Note that sending begins now, and return the notice as it stands; None: nothing to send.

    What stands at the first attempt is what `mark_sent` holds to have been sent: it may be out.
    """
    row = connection.execute(
        _WAITING.replace("SELECT", "SELECT notice.attempted_at,") + " AND notice.id = ?",
        (notice_id,),
    ).fetchone()
    if row is None:
        return None
    over = connection.execute(
        f"SELECT 1 FROM notice LEFT JOIN day ON {IS_THE_DAYS_POST} WHERE notice.id = ?"
        " AND (day.is_closed AND day.posted_at IS NULL"
        "  OR notice.audience = 'room' AND notice.key LIKE 'left:%:%')",
        (notice_id,),
    ).fetchone()
    connection.execute(
        "UPDATE notice SET attempted_at = ?, attempted_edition ="
        " iif(attempted_at IS NULL, edition, attempted_edition) WHERE id = ?",
        (ms_of(now), notice_id),
    )
    return SendingAttempt(
        _notice_of(row), is_again=row["attempted_at"] is not None, is_over=over is not None
    )


def mark_sent(
    connection: sqlite3.Connection, notice_id: int, reference: str, now: datetime
) -> None:
    """Note that a notice is out. One that was mended while it was on its way is to be mended now:
    the words that went out are the old ones. A day's own post marks the day posted."""
    connection.execute(
        "UPDATE notice SET sent_at = ?, reference = ?, reply = x''"
        " WHERE id = ? AND coalesce(attempted_edition, edition) = edition",
        (ms_of(now), reference, notice_id),
    )
    connection.execute(
        "UPDATE notice SET audience = 'mend', reference = ?, attempted_at = NULL"
        " WHERE id = ? AND attempted_edition <> edition",
        (reference, notice_id),
    )
    connection.execute(
        "UPDATE day SET post_ref = ? FROM notice"
        f" WHERE notice.id = ? AND day.post_ref IS NULL AND {IS_THE_DAYS_POST}",
        (reference, notice_id),
    )
    posted = connection.execute(
        # Found only after its closing: it is closed once more, now that there is something to say.
        "UPDATE day SET posted_at = ?, is_closed = 0 WHERE posted_at IS NULL"
        f" AND EXISTS (SELECT 1 FROM notice WHERE notice.id = ? AND {IS_THE_DAYS_POST})"
        " RETURNING id, club_id, puzzle_id",
        (ms_of(now), notice_id),
    ).fetchall()
    for row in posted:
        use_up(connection, row["club_id"], row["puzzle_id"])
        keep_day(connection, row["id"])
    forget_former(connection)


def drop_notice(connection: sqlite3.Connection, notice_id: int, now: datetime) -> None:
    """Give up on a notice; its key stays taken, and a reference that it has stays."""
    connection.execute(
        "UPDATE notice SET sent_at = ?, reply = x'' WHERE id = ?", (ms_of(now), notice_id)
    )
    forget_former(connection)


def withdraw_notice(connection: sqlite3.Connection, change: WithdrawNotice, now: datetime) -> None:
    """Never send what waits under a key; the key stays taken."""
    connection.execute(
        "UPDATE notice SET sent_at = ?, reply = x''"
        " WHERE club_id = ? AND key = ? AND sent_at IS NULL AND (? OR attempted_at IS NULL)",
        (ms_of(now), change.club_id, change.key, not change.unless_begun),
    )


def insert_event(
    connection: sqlite3.Connection,
    event_id: str,
    reply: bytes,
    now: datetime,
    author: tuple[int, str] | None,
) -> bool:
    """Keep the reply to an event; False where the event was there already."""
    club_id, user_id = author or (None, None)
    added = connection.execute(
        "INSERT INTO event (id, reply, saved_at, club_id, user_id, names)"
        " VALUES (?, ?, ?, ?, ?, ?) ON CONFLICT (id) DO NOTHING",
        (event_id, reply, ms_of(now), club_id, user_id, may_name(reply)),
    ).rowcount
    return added == 1


def find_reply(connection: sqlite3.Connection, event_id: str) -> bytes | None:
    """Return the encoded reply kept for an event, None where it is new or its reply is
    forgotten."""
    row = connection.execute("SELECT reply FROM event WHERE id = ?", (event_id,)).fetchone()
    return None if row is None else bytes(row["reply"])


def prune_events(connection: sqlite3.Connection, before: datetime) -> None:
    """Forget replies saved before a moment."""
    connection.execute("DELETE FROM event WHERE saved_at < ?", (ms_of(before),))
