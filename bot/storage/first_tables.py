"""The tables that the first version of the database had.

What changed in them since stands in `migrations`.
"""

from __future__ import annotations

FIRST: tuple[str, ...] = (
    """
    CREATE TABLE club (
        id INTEGER PRIMARY KEY,
        platform TEXT NOT NULL,
        room_id TEXT NOT NULL,
        settings TEXT NOT NULL,
        paused INTEGER NOT NULL DEFAULT 0,
        UNIQUE (platform, room_id)
    ) STRICT
    """,
    """
    CREATE TABLE member (
        id INTEGER PRIMARY KEY,
        club_id INTEGER NOT NULL REFERENCES club,
        user_id TEXT NOT NULL,
        name TEXT NOT NULL,
        UNIQUE (club_id, user_id)
    ) STRICT
    """,
    """
    CREATE TABLE puzzle (
        id INTEGER PRIMARY KEY,
        givens TEXT NOT NULL UNIQUE,
        solution TEXT NOT NULL,
        level INTEGER NOT NULL,
        needs TEXT NOT NULL,
        hardest TEXT NOT NULL,
        effort REAL NOT NULL,
        credit TEXT NOT NULL,
        origin TEXT NOT NULL
    ) STRICT
    """,
    """
    CREATE TABLE queue (
        id INTEGER PRIMARY KEY AUTOINCREMENT,
        club_id INTEGER NOT NULL REFERENCES club,
        puzzle_id INTEGER NOT NULL REFERENCES puzzle,
        day TEXT,
        UNIQUE (club_id, puzzle_id)
    ) STRICT
    """,
    """
    CREATE TABLE day (
        id INTEGER PRIMARY KEY,
        club_id INTEGER NOT NULL REFERENCES club,
        date TEXT NOT NULL,
        puzzle_id INTEGER NOT NULL REFERENCES puzzle,
        first_line TEXT NOT NULL,
        second_line TEXT NOT NULL,
        sealed INTEGER NOT NULL,
        due_at INTEGER NOT NULL,
        closes_at INTEGER NOT NULL,
        posted_at INTEGER,
        post_ref TEXT,
        is_closed INTEGER NOT NULL DEFAULT 0,
        UNIQUE (club_id, date)
    ) STRICT
    """,
    "CREATE INDEX day_by_due ON day (club_id, due_at)",
    "CREATE INDEX day_by_puzzle ON day (puzzle_id, club_id)",
    """
    CREATE TABLE entry (
        id INTEGER PRIMARY KEY,
        day_id INTEGER NOT NULL REFERENCES day,
        member_id INTEGER NOT NULL REFERENCES member ON DELETE CASCADE,
        started_at INTEGER,
        finished_at INTEGER,
        is_late INTEGER NOT NULL,
        tries INTEGER NOT NULL,
        verdict TEXT NOT NULL,
        reason TEXT NOT NULL,
        mistake_rung INTEGER NOT NULL,
        charges TEXT NOT NULL,
        board TEXT NOT NULL,
        history TEXT NOT NULL,
        known TEXT NOT NULL,
        hint TEXT,
        UNIQUE (day_id, member_id)
    ) STRICT
    """,
    "CREATE INDEX entry_by_member ON entry (member_id)",
    """
    CREATE TABLE event (
        id TEXT PRIMARY KEY,
        reply BLOB NOT NULL,
        saved_at INTEGER NOT NULL,
        club_id INTEGER,
        user_id TEXT
    ) STRICT, WITHOUT ROWID
    """,
    "CREATE INDEX event_by_time ON event (saved_at)",
    "CREATE INDEX event_by_user ON event (club_id, user_id)",
    """
    CREATE TABLE notice (
        id INTEGER PRIMARY KEY AUTOINCREMENT,
        club_id INTEGER NOT NULL REFERENCES club,
        key TEXT NOT NULL,
        audience TEXT NOT NULL,
        reply BLOB NOT NULL,
        user_id TEXT NOT NULL,
        day_id INTEGER REFERENCES day,
        queued_at INTEGER NOT NULL,
        edition INTEGER NOT NULL DEFAULT 1,
        attempted_at INTEGER,
        attempted_edition INTEGER,
        sent_at INTEGER,
        reference TEXT,
        UNIQUE (club_id, key)
    ) STRICT
    """,
    "CREATE INDEX notice_waiting ON notice (club_id, id) WHERE sent_at IS NULL",
    """
    CREATE TABLE room_log (
        id INTEGER PRIMARY KEY AUTOINCREMENT,
        room_id TEXT NOT NULL,
        user_id TEXT,
        kind TEXT NOT NULL,
        body BLOB NOT NULL,
        key TEXT,
        logged_at INTEGER NOT NULL,
        UNIQUE (room_id, key)
    ) STRICT
    """,
    "CREATE INDEX room_log_by_user ON room_log (room_id, user_id, id)",
    """
    CREATE TABLE room_picture (
        token TEXT PRIMARY KEY,
        picture BLOB NOT NULL,
        saved_at INTEGER NOT NULL
    ) STRICT
    """,
    """
    CREATE TABLE room_picture_use (
        token TEXT NOT NULL REFERENCES room_picture ON DELETE CASCADE,
        entry_id INTEGER NOT NULL REFERENCES room_log ON DELETE CASCADE,
        PRIMARY KEY (token, entry_id)
    ) STRICT, WITHOUT ROWID
    """,
    "CREATE INDEX room_picture_use_by_entry ON room_picture_use (entry_id)",
)
