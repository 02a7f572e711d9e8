"""What the Matrix room keeps of one person: what they sent, as it came, what was sent to them
alone, and their private room. An erasure takes away all but the private room.
"""

from __future__ import annotations

import sqlite3

from bot.storage.matrix.unreadable import erase_unreadable
from bot.storage.memory import Leaver
from bot.storage.rows import moment_of


def erase_matrix_traces(link: sqlite3.Connection, room_id: str, leaver: Leaver) -> None:
    """Remove what is kept of one person of one club: what was said, and what was sent to them.

    Their private room stays known: it is where they are told so. Of what was sent no words are
    kept, so none names them.
    """
    target = _private_room(link, room_id, leaver.user_id)
    # The event that asks for the erasure may be in here still: its id stays until it is answered.
    link.execute(
        "DELETE FROM matrix_inbox WHERE sender = ? AND is_finished = 1 AND room_id IN (?, ?)",
        (leaver.user_id, room_id, target),
    )
    link.execute("DELETE FROM matrix_outbox WHERE target = ? AND event_id IS NOT NULL", (target,))
    erase_unreadable(link, leaver.user_id)


def move_private_rooms(link: sqlite3.Connection, left: str, room_id: str) -> None:
    """Have the private rooms of a club's members be those of the club where it meets now."""
    link.execute(
        "UPDATE OR REPLACE matrix_direct SET room_id = ? WHERE room_id = ?", (room_id, left)
    )


def export_matrix_traces(link: sqlite3.Connection, room_id: str, user_id: str) -> dict[str, object]:
    """Return what is kept of one person of one club, ready for JSON; what came encrypted is kept
    so."""
    target = _private_room(link, room_id, user_id)
    sent = link.execute(
        "SELECT received_at AS at, body FROM matrix_inbox WHERE sender = ?1 AND room_id IN (?2, ?3)"
        " UNION ALL SELECT last_at, body FROM matrix_unreadable WHERE sender = ?1 ORDER BY 1",
        (user_id, room_id, target),
    )
    found: dict[str, object] = {"private_room": target} if target else {}
    lines = [
        {
            "at": moment_of(each["at"]).isoformat(),
            "event": bytes(each["body"]).decode(errors="replace"),
        }
        for each in sent
    ]
    return found | ({"sent": lines} if lines else {})


def _private_room(link: sqlite3.Connection, room_id: str, user_id: str) -> str:
    """Return the private room of a person of a club, else the chat that they have opened; empty
    where there is none."""
    row = link.execute(
        "SELECT target FROM matrix_direct WHERE room_id IN (?, '') AND user_id = ?"
        " AND target IS NOT NULL ORDER BY room_id DESC",
        (room_id, user_id),
    ).fetchone()
    return "" if row is None else row["target"]
