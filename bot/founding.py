"""Founds a club where a leader asks for one: asleep at first, with the page that sets it up.

The room has checked that the platform calls the asker a leader; the club checks once more, when
the page is asked for. Nothing is posted until the leader begins.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from zlib import crc32

from bot.club.ports import Store
from bot.club.settings import NAME_LIMIT
from bot.club.state import Club, ClubSettings
from bot.platforms.message import Answerer, Incoming, Message
from bot.wording.prose import UNNAMED_CLUB, clean_text

SETUP = "club setup"

FIRST_HOUR = 18
SPREAD_MINUTES = 30
"""New clubs' days begin at any minute of so many, so that not all of a host's do at once."""


def spread_time(room_id: str) -> str:
    """Return the time of day that a new club of this room begins with, `18:17`; always the same."""
    return f"{FIRST_HOUR}:{crc32(room_id.encode()) % SPREAD_MINUTES:02}"


class Founding:
    """The `Founder` of every platform. `opened` is told of a club that is there now."""

    def __init__(self, store: Store, answer: Answerer, opened: Callable[[Club], None]) -> None:
        self._store = store
        self._answer = answer
        self._opened = opened

    async def __call__(self, incoming: Incoming, name: str) -> tuple[Message, ...]:
        """Return the page that sets the club of `incoming.room_id` up, founding it if need be."""
        if not incoming.leads:
            return ()
        settings = ClubSettings(
            clean_text(name, NAME_LIMIT) or UNNAMED_CLUB, post_time=spread_time(incoming.room_id)
        )
        club = await self._store.add_club(
            incoming.platform, incoming.room_id, settings, paused=True
        )
        self._opened(club)
        return await self._answer(replace(incoming, text=incoming.text or SETUP))
