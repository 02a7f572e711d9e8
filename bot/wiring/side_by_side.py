"""The platforms of one Ninebark, each by itself: one that fails ends no other's clubs.

A platform that cannot start, or is refused later, is told of in the log, and its clubs rest; the
rest of the house stays open. Only when nothing is left to serve does the failure end the program.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Awaitable, Callable
from contextlib import AsyncExitStack
from typing import Any, Protocol

from bot.platforms.message import Answerer, Room, RoomError
from bot.wording import terminal

_LOG = logging.getLogger("ninebark.wiring")

Closed = Callable[[str], Awaitable[None]]
"""Has the clubs of a platform rest."""


class Away(Room, Protocol):
    """A room on a platform that may refuse the bot for good."""

    async def ended(self) -> None:
        """Wait until it is over. Raises PlatformRefusedError."""


class Platforms:
    """`closed` is told of each platform that is over. `has_page`: the web room serves, too."""

    def __init__(self, closed: Closed) -> None:
        self._closed = closed
        self._running: dict[str, Away] = {}
        self._untold: dict[str, Exception] = {}
        self.has_page = False

    def __contains__(self, platform: str) -> bool:
        """Whether a platform is served."""
        return platform in self._running

    async def start(self, room: Away, answer: Answerer, stack: AsyncExitStack) -> None:
        """Start a platform; a failure is its own, until `go_on` is asked."""
        try:
            await room.start(answer)
        except Exception as failure:
            self._untold[room.platform] = failure
        else:
            stack.push_async_callback(room.stop)
            self._running[room.platform] = room

    async def go_on(self) -> None:
        """Tell what has failed and have its clubs rest. Raises it where nothing else is left."""
        failures, self._untold = self._untold, {}
        for platform, failure in failures.items():
            if not self._running and not self.has_page:
                raise failure
            trace = None if isinstance(failure, RoomError) else failure
            _LOG.error("%s", terminal.platform_closed(platform, failure), exc_info=trace)
            await self._closed(platform)

    async def until_over(self, stopped: asyncio.Event) -> None:
        """Return when somebody ends it; raises a platform's failure where nothing else is left."""
        ends = {
            asyncio.create_task(room.ended(), name=f"end of {platform}"): platform
            for platform, room in self._running.items()
        }
        stop = asyncio.create_task(stopped.wait(), name="stop")
        try:
            while not stop.done():
                await asyncio.wait({stop, *ends}, return_when=asyncio.FIRST_COMPLETED)
                for task in [each for each in ends if each.done()]:
                    platform = ends.pop(task)
                    self._running.pop(platform, None)
                    failure = task.exception()
                    if failure is not None and not isinstance(failure, Exception):
                        raise failure
                    self._untold[platform] = failure or RoomError("it ended by itself")
                await self.go_on()
        finally:
            left: list[asyncio.Task[Any]] = [stop, *ends]
            for each in left:
                each.cancel()
            await asyncio.gather(*left, return_exceptions=True)
