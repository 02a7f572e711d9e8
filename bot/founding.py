"""Founds a club where a leader asks for one: asleep at first, with the page that sets it up.

The room has checked that the platform calls the asker a leader; the club checks once more, when
the page is asked for. Nothing is posted until the leader begins.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from bot.club.ports import Store
from bot.club.settings import NAME_LIMIT
from bot.club.state import Club, ClubSettings
from bot.platforms.message import Answerer, Incoming, Message
from bot.wording.prose import UNNAMED_CLUB, clean_text

SETUP = "club setup"


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
        settings = ClubSettings(clean_text(name, NAME_LIMIT) or UNNAMED_CLUB)
        club = await self._store.add_club(
            incoming.platform, incoming.room_id, settings, paused=True
        )
        self._opened(club)
        return await self._answer(replace(incoming, text=incoming.text or SETUP))
