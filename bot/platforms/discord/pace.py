"""A pace for what the bot posts of its own accord, below the service's limit for a whole bot.

Answers to people do not wait here. Many clubs due at the same minute take turns: posts before
private lines, those before mends and threads, and each in the order in which it was asked for.
"""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from enum import IntEnum
from heapq import heappop, heappush
from itertools import count

POSTS_A_SECOND = 40.0
"""The service allows 50 requests a second in all; the rest is for answers and look-ups."""


class Rank(IntEnum):
    """Who goes first where several wait."""

    POST = 0
    PRIVATE = 1
    MEND = 2
    THREAD = 3


class Pace:
    """`clock` counts seconds; `sleep` waits by it."""

    def __init__(
        self,
        a_second: float = POSTS_A_SECOND,
        *,
        clock: Callable[[], float] | None = None,
        sleep: Callable[[float], Awaitable[None]] = asyncio.sleep,
    ) -> None:
        self._gap = 1.0 / a_second
        self._clock = clock
        self._sleep = sleep
        self._free_at = 0.0
        self._numbers = count()
        self._waiting: list[tuple[Rank, int, asyncio.Future[None]]] = []
        self._giving: asyncio.Task[None] | None = None

    async def turn(self, rank: Rank = Rank.POST) -> None:
        """Return when it is the caller's turn."""
        own: asyncio.Future[None] = asyncio.get_running_loop().create_future()
        heappush(self._waiting, (rank, next(self._numbers), own))
        if self._giving is None or self._giving.done():
            self._giving = asyncio.create_task(self._give_turns(), name="discord pace")
        await own

    async def _give_turns(self) -> None:
        """Give one turn at a time, so that a busy loop, coming round late, lets no crowd go."""
        while self._waiting:
            now = self._now()
            if now < self._free_at:
                await self._sleep(self._free_at - now)
                now = self._now()
            _, _, chosen = heappop(self._waiting)
            if not chosen.done():
                # Who was cancelled meanwhile takes no turn.
                chosen.set_result(None)
                self._free_at = now + self._gap

    def _now(self) -> float:
        return self._clock() if self._clock else asyncio.get_running_loop().time()
