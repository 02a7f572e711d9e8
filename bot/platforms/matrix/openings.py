"""Private rooms are made one after another, in the order in which they were asked for: homeservers
let a bot make few, and Synapse about one a minute by default.

Who opens a chat of their own meanwhile waits no longer. While there is a queue because of a limit,
its length is told.
"""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable, Mapping
from dataclasses import dataclass
from functools import partial
from typing import Any

from bot.platforms.matrix.errors import LimitedError
from bot.platforms.matrix.patience import LONGEST_REST, SHORT_REST, Patience, Urgency, Wait
from bot.platforms.matrix.server import Server

SENT_A_ROOM = 4
"""A room, its invitation, the answer, and what hangs below its picture: each counts."""

TellQueue = Callable[[str, int, float], None]
"""Told a club's room, how many wait for a room in all, and the seconds that each takes; of none
waiting, once there were some. It must not wait."""


@dataclass(frozen=True, slots=True, eq=False)
class _Wish:
    room_id: str


class Openings:
    """`tell_queue` is told of a queue in every club that has somebody in it."""

    def __init__(self, server: Server, wait: Wait, patience: Patience) -> None:
        self._server = server
        self._wait = wait
        self._patience = patience
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
                    ask = partial(self._ask, asked, served)
                    target = await self._patience.within_limits(
                        ask, urgency=Urgency.NEW_ROOM, only_short=True
                    )
                except LimitedError as limit:
                    rest = min(limit.seconds, LONGEST_REST)
                    target = await self._served_within(rest, served)
                if target is not None:
                    break
            return target
        finally:
            self._wishes.remove(mine)
            self._tell()
            self.look_again()

    async def _ask(
        self, asked: Mapping[str, Any], served: Callable[[], Awaitable[str | None]]
    ) -> str:
        """Make a room, unless there is one by now. Raises RoomError."""
        if (target := await served()) is not None:
            return target
        try:
            made = await self._server.request("POST", "createRoom", dict(asked))
        except LimitedError as limit:
            is_of_all = limit.seconds <= SHORT_REST
            each = limit.seconds * SENT_A_ROOM if is_of_all else limit.seconds
            self._pause = min(each, LONGEST_REST)
            self._tell()
            raise
        return str(made["room_id"])

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
