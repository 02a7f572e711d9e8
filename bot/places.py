"""A few places for work that would stop the event loop if all who wait did it in the same moment.

Who waits goes in by rank, the lowest first, equals in the order in which they came.
"""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from heapq import heappop, heappush
from itertools import count


class Places:
    """`free`: how many may be in at once."""

    def __init__(self, free: int) -> None:
        self._free = free
        self._numbers = count()
        self._waiting: list[tuple[int, int, asyncio.Future[None]]] = []

    @asynccontextmanager
    async def one(self, rank: int = 0) -> AsyncIterator[None]:
        """Have a place inside the block."""
        await self._enter(rank)
        try:
            yield
        finally:
            self._leave()

    async def _enter(self, rank: int) -> None:
        if self._free:
            self._free -= 1
            return
        own: asyncio.Future[None] = asyncio.get_running_loop().create_future()
        heappush(self._waiting, (rank, next(self._numbers), own))
        try:
            await own
        except asyncio.CancelledError:
            if own.done() and not own.cancelled():
                self._leave()
            raise

    def _leave(self) -> None:
        while self._waiting:
            _, _, chosen = heappop(self._waiting)
            if not chosen.done():
                chosen.set_result(None)
                return
        self._free += 1
