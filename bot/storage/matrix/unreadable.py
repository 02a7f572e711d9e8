"""What the Matrix room set aside as unreadable, in SQLite: the newest kept, all of it counted.

The same thing that comes again is counted at its first row. Anybody may send such things, so the
rows have a limit, and the count alone grows.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from datetime import datetime
from hashlib import sha256

from bot.platforms.matrix.journal import Unread
from bot.platforms.matrix.news import SetAside
from bot.storage.rows import moment_of, ms_of

MOST_KEPT = 200


def set_aside(link: sqlite3.Connection, things: Sequence[SetAside], now: int) -> None:
    """Keep what could not be read, and count it. `now` in ms."""
    if not things:
        return
    link.executemany(
        "INSERT INTO matrix_unreadable VALUES (?, ?, ?, ?, ?, 1, ?)"
        " ON CONFLICT (mark) DO UPDATE SET times = times + 1, last_at = excluded.last_at",
        [
            (_mark(thing), thing.place, thing.sender, thing.problem, thing.body, now)
            for thing in things
        ],
    )
    link.execute(
        "DELETE FROM matrix_unreadable WHERE mark NOT IN"
        " (SELECT mark FROM matrix_unreadable ORDER BY last_at DESC, mark LIMIT ?)",
        (MOST_KEPT,),
    )
    link.execute(
        "INSERT INTO matrix_stream (id, unreadable) VALUES (1, ?)"
        " ON CONFLICT (id) DO UPDATE SET unreadable = unreadable + excluded.unreadable",
        (len(things),),
    )


def count_unreadable(link: sqlite3.Connection) -> int:
    """Return how much was set aside in all, repeats and what is no longer kept included."""
    row = link.execute("SELECT unreadable FROM matrix_stream").fetchone()
    return 0 if row is None else int(row["unreadable"])


def load_unreadable(link: sqlite3.Connection) -> tuple[Unread, ...]:
    """Return what is kept, the newest first, each thing once with how often it came."""
    rows = link.execute("SELECT * FROM matrix_unreadable ORDER BY last_at DESC, mark")
    return tuple(
        Unread(
            SetAside(row["place"], row["sender"], row["problem"], bytes(row["body"])),
            row["times"],
            moment_of(row["last_at"]),
        )
        for row in rows
    )


def prune_unreadable(link: sqlite3.Connection, before: datetime) -> None:
    """Forget things that last came before a moment; the count of all stays."""
    link.execute("DELETE FROM matrix_unreadable WHERE last_at < ?", (ms_of(before),))


def erase_unreadable(link: sqlite3.Connection, user_id: str) -> None:
    """Remove what came from one person, in any room; the count of all stays."""
    link.execute("DELETE FROM matrix_unreadable WHERE sender = ?", (user_id,))


def _mark(thing: SetAside) -> str:
    parts = (thing.place.encode(), thing.sender.encode(), thing.problem.encode(), thing.body)
    return sha256(b"\0".join(parts)).hexdigest()
