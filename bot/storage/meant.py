"""Which club somebody means in a chat with the bot alone, where several know them: the one that
they have chosen last. It is kept with the member, and goes with them.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from datetime import datetime

from bot.storage.connection import Database
from bot.storage.rows import ms_of


class SqliteMeant:
    """Implements `bot.platforms.clubs.Meant` for one platform."""

    def __init__(self, database: Database, platform: str, now: Callable[[], datetime]) -> None:
        self._database = database
        self._platform = platform
        self._now = now

    async def load(self, user_id: str) -> str | None:
        """Return the room of the club that somebody has chosen last."""

        def work(link: sqlite3.Connection) -> str | None:
            row = link.execute(
                "SELECT club.room_id FROM member JOIN club ON club.id = member.club_id"
                " WHERE club.platform = ? AND member.user_id = ? AND member.meant_at > 0"
                " ORDER BY member.meant_at DESC",
                (self._platform, user_id),
            ).fetchone()
            return None if row is None else str(row["room_id"])

        return await self._database.read(work)

    async def save(self, user_id: str, room_id: str) -> None:
        """Note which club somebody chooses, of those that know them."""
        at = ms_of(self._now())
        await self._database.write(
            lambda link: link.execute(
                "UPDATE member SET meant_at = ? WHERE user_id = ? AND club_id ="
                " (SELECT id FROM club WHERE platform = ? AND room_id = ?)",
                (at, user_id, self._platform, room_id),
            )
        )
