"""What is done for the data while the bot runs: each hour old replies and lines are forgotten and
all is brought into one file; each day a dated copy is made.

Nothing here ends the bot: a disk that is full now may have room in an hour, and is told of until
then.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Awaitable, Callable
from typing import Protocol

_LOG = logging.getLogger("ninebark.keeping")

HOUR_SECONDS = 3600.0


class Kept(Protocol):
    """The data, as far as the keeper must know it. Each may raise, and has then changed nothing."""

    async def prune(self) -> None:
        """Forget what has been kept long enough."""

    async def checkpoint(self) -> bool:
        """Bring everything into the one file; False while another program reads it."""

    async def keep_copy(self) -> None:
        """Make the day's dated copy where there is none yet, and remove those kept long enough."""


class Keeper:
    """Looks after the data from its start on. `wait` is told how many seconds to wait."""

    def __init__(self, kept: Kept, wait: Callable[[float], Awaitable[object]] = asyncio.sleep):
        self._kept = kept
        self._wait = wait

    async def run(self) -> None:
        """Look after the data each hour, until cancelled."""
        while True:
            await self._look()
            await self._wait(HOUR_SECONDS)

    async def _look(self) -> None:
        for work in (self._kept.prune, self._kept.checkpoint, self._kept.keep_copy):
            try:
                await work()
            except Exception as problem:
                # Each by itself: where no copy can be made, the log still goes into the file.
                _LOG.warning("the data could not be looked after just now: %s", problem)
