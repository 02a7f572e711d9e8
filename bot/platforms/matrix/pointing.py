"""Tells members who have not come into their private rooms yet where their answers are: in the
club's room, as one line that changes, so that many who start together do not bury the post.

After a while the line is too far up to be seen, and whoever is told next gets a new one.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from bot.platforms.matrix.journal import InboxEvent
from bot.platforms.matrix.layout import Piece, in_place, lay_out_notice
from bot.platforms.matrix.line import Line
from bot.platforms.matrix.words import MatrixWords
from bot.platforms.message import RoomError, RoomUnreachableError

STANDS_FOR = timedelta(hours=1)
"""So long a line is changed; later there is a new one."""

NAMED = 3
"""So many members are named in it; of more, their number is told."""

_LOG = logging.getLogger("ninebark.matrix")


@dataclass(slots=True)
class _Told:
    """A line in a club's room: when it began, whom it is for, and of how many it says so."""

    key: str
    began_at: datetime
    members: list[str] = field(default_factory=list)
    said: int = 0
    turn: asyncio.Lock = field(default_factory=asyncio.Lock)


class Pointing:
    """Points members to their private rooms."""

    def __init__(self, line: Line, words: MatrixWords, now: Callable[[], datetime]) -> None:
        self._line = line
        self._words = words
        self._now = now
        self._told: dict[str, _Told] = {}

    async def point(self, event: InboxEvent, room_id: str) -> None:
        """Tell the sender of an event, in the club's room, unless they are in theirs or were told.

        Raises RoomUnreachableError.
        """
        direct = await self._line.journal.load_direct(room_id, event.sender)
        if direct is None or direct.target is None:
            return
        if self._line.server.places.has_member(direct.target, event.sender):
            return
        told = self._line_in(room_id, event)
        if event.sender not in told.members:
            told.members.append(event.sender)
        try:
            async with told.turn:
                await self._say(room_id, told)
        except RoomUnreachableError:
            raise
        except RoomError as problem:
            _LOG.info("the open room takes no notice: %s", problem)

    def _line_in(self, room_id: str, event: InboxEvent) -> _Told:
        """Return the line that stands, else a new one, which has its key of the event."""
        told = self._told.get(room_id)
        if told is None or self._now() - told.began_at > STANDS_FOR:
            told = _Told(f"answer:{event.event_id}:invited", self._now())
            self._told[room_id] = told
        return told

    async def _say(self, room_id: str, told: _Told) -> None:
        """Say it to all who are noted by now; those who come meanwhile wait their turn."""
        count = len(told.members)
        if told.said == count:
            return
        piece, outbox = self._lay_out(told.members), self._line.outbox
        reference = await outbox.find(room_id, told.key)
        if reference is None:
            await outbox.deliver(room_id, told.key, room_id, (piece,))
        else:
            (changed,) = in_place((piece,), reference)
            changed.content["m.mentions"] = {"user_ids": told.members[told.said :]}
            await outbox.deliver(room_id, f"{told.key}:{count}", room_id, (changed,))
        told.said = count

    def _lay_out(self, members: list[str]) -> Piece:
        if len(members) > NAMED:
            text = self._words.invited_many.format(len(members))
        else:
            text = self._words.invited.format(", ".join(members))
        return lay_out_notice(text, to=tuple(members))
