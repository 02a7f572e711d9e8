"""Statements on the last moment that the machine's clock was believed at."""

from __future__ import annotations

import sqlite3
from datetime import datetime

from bot.storage.rows import moment_or_none, ms_of


def keep_clock(connection: sqlite3.Connection, at: datetime) -> None:
    """Note `at` as the moment believed last; there is one for the whole database."""
    connection.execute(
        "INSERT INTO clock (id, seen_at) VALUES (1, ?)"
        " ON CONFLICT (id) DO UPDATE SET seen_at = excluded.seen_at",
        (ms_of(at),),
    )


def load_clock(connection: sqlite3.Connection) -> datetime | None:
    """Return the moment believed last, None before the first."""
    row = connection.execute("SELECT seen_at FROM clock").fetchone()
    return None if row is None else moment_or_none(row["seen_at"])
