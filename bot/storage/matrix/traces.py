"""What the Matrix room keeps of one person: what they sent, as it came, and their private room."""

from __future__ import annotations

import sqlite3

from bot.storage.rows import moment_of


def export_matrix_traces(link: sqlite3.Connection, room_id: str, user_id: str) -> dict[str, object]:
    """Return what is kept of one person of one club, ready for JSON; what came encrypted is kept
    so."""
    row = link.execute(
        "SELECT target FROM matrix_direct WHERE room_id = ? AND user_id = ?", (room_id, user_id)
    ).fetchone()
    target = "" if row is None else row["target"] or ""
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
