"""The tables of the links by which people come to their boards, or to the room, from elsewhere."""

from __future__ import annotations

LINKS = (
    # What people come to their board, or to the room, by. Secrets are kept as digests alone; a
    # link without a date leads to the room.
    """
    CREATE TABLE link (
        id TEXT PRIMARY KEY,
        club_id INTEGER NOT NULL REFERENCES club,
        user_id TEXT NOT NULL,
        name TEXT NOT NULL,
        date TEXT NOT NULL,
        secret BLOB NOT NULL,
        made_at INTEGER NOT NULL
    ) STRICT
    """,
    "CREATE INDEX link_by_member ON link (club_id, user_id)",
    """
    CREATE TABLE link_session (
        secret BLOB PRIMARY KEY,
        link_id TEXT NOT NULL REFERENCES link ON DELETE CASCADE,
        made_at INTEGER NOT NULL
    ) STRICT
    """,
    "CREATE INDEX link_session_by_link ON link_session (link_id)",
)
