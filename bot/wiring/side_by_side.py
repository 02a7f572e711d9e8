"""The platforms of one Ninebark, each by itself: one that fails ends no other's clubs.

A platform that cannot start, or is refused later, is told of in the log, and its clubs rest; the
rest of the bot stays open. Only when nothing is left to serve does the failure end the program.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Awaitable, Callable
from contextlib import AsyncExitStack
from typing import Any

from bot.platforms.message import Answerer, HostRefusedError, Room, RoomError
from bot.wiring.platforms import tell_closed

_LOG = logging.getLogger("ninebark.wiring")

Closed = Callable[[str], Awaitable[None]]
"""Has the clubs of a platform rest."""


class PlatformFailedError(Exception):
    """A platform has failed and ends the program: nothing else is left to serve, or the host has
    to mend it before anything starts."""

    def __init__(self, platform: str, failure: RoomError) -> None:
        super().__init__(platform, failure)
        self.platform = platform
        self.failure = failure


class Platforms:
    """`closed` is told of each platform that is over."""

    def __init__(self, closed: Closed) -> None:
        self._closed = closed
        self._running: dict[str, Room] = {}
        self._untold: dict[str, Exception] = {}

    def __contains__(self, platform: str) -> bool:
        """Whether a platform is served."""
        return platform in self._running

    async def start(self, room: Room, answer: Answerer, stack: AsyncExitStack) -> None:
        """Start a platform; a failure is its own, until `go_on` is asked. What the host has to mend
        first is raised at once."""
        try:
            await room.start(answer)
        except HostRefusedError as failure:
            raise PlatformFailedError(room.platform, failure) from failure
        except Exception as failure:
            self._untold[room.platform] = failure
        else:
            stack.push_async_callback(room.stop)
            self._running[room.platform] = room

    async def go_on(self) -> None:
        """Tell what has failed and have its clubs rest.

        Raises it where nothing else is left, as PlatformFailedError where it is a RoomError.
        """
        failures, self._untold = self._untold, {}
        for platform, failure in failures.items():
            if not self._running:
                if isinstance(failure, RoomError):
                    raise PlatformFailedError(platform, failure) from failure
                raise failure
            trace = None if isinstance(failure, RoomError) else failure
            _LOG.error("%s", tell_closed(platform, failure), exc_info=trace)
            await self._closed(platform)

    async def until_over(self, stopped: asyncio.Event) -> None:
        """Return when somebody ends it; raises as `go_on` where nothing else is left."""
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
