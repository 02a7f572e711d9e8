"""Private rooms are made one after another, in the order in which they were asked for: homeservers
let a bot make few, and Synapse about one a minute by default.

Who opens a chat of their own meanwhile waits no longer. While there is a queue because of a limit,
its length is told.
"""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable, Mapping
from dataclasses import dataclass
from typing import Any

from bot.platforms.matrix.errors import LimitedError
from bot.platforms.matrix.journal import Journal
from bot.platforms.matrix.outbox import LONGEST_REST, Wait
from bot.platforms.matrix.server import Server

TellQueue = Callable[[str, int, float], None]
"""Told a club's room, how many wait for a room in all, and the seconds that each takes; of none
waiting, once there were some. It must not wait."""


@dataclass(frozen=True, slots=True, eq=False)
class _Wish:
    room_id: str


class Openings:
    """`tell_queue` is told of a queue in every club that has somebody in it."""

    def __init__(self, server: Server, journal: Journal, wait: Wait) -> None:
        self._server = server
        self._journal = journal
        self._wait = wait
        self.tell_queue: TellQueue = lambda room_id, count, seconds: None
        self._wishes: list[_Wish] = []
        self._told: set[str] = set()
        self._pause = 0.0
        self._changed = asyncio.Event()

    def look_again(self) -> None:
        """Have who waits look whether they are served in another way."""
        self._changed.set()
        self._changed = asyncio.Event()

    async def make(
        self, room_id: str, asked: Mapping[str, Any], served: Callable[[], Awaitable[str | None]]
    ) -> str:
        """Return a new room, or what `served` says of a room that is there all the same.

        Raises RoomError.
        """
        mine = _Wish(room_id)
        self._wishes.append(mine)
        self._tell()
        try:
            while (target := await served()) is None:
                if self._wishes[0] is not mine:
                    await self._changed.wait()
                    continue
                try:
                    made = await self._server.request("POST", "createRoom", dict(asked))
                except LimitedError as limit:
                    await self._journal.note_limit()
                    self._pause = min(limit.seconds, LONGEST_REST)
                    self._tell()
                    target = await self._served_within(self._pause, served)
                else:
                    target = str(made["room_id"])
                if target is not None:
                    break
            return target
        finally:
            self._wishes.remove(mine)
            self._tell()
            self.look_again()

    async def _served_within(
        self, seconds: float, served: Callable[[], Awaitable[str | None]]
    ) -> str | None:
        """Wait so long for a room that is there all the same."""
        passing = asyncio.ensure_future(self._wait(seconds))
        try:
            while not passing.done():
                if (target := await served()) is not None:
                    return target
                changing = asyncio.ensure_future(self._changed.wait())
                await asyncio.wait((passing, changing), return_when=asyncio.FIRST_COMPLETED)
                changing.cancel()
        finally:
            passing.cancel()
        return None

    def _tell(self) -> None:
        if not self._pause:
            return
        waiting = {each.room_id for each in self._wishes}
        for room_id in self._told - waiting:
            self.tell_queue(room_id, 0, 0.0)
        for room_id in waiting:
            self.tell_queue(room_id, len(self._wishes), self._pause)
        self._told = waiting
        if not self._wishes:
            self._pause = 0.0
