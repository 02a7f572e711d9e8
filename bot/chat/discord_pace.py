"""A pace for what the bot posts of its own accord, below the service's limit for a whole bot.

Answers to people do not wait here. Many clubs due at the same minute take turns, in the order in
which they asked.
"""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable

POSTS_A_SECOND = 40.0
"""The service allows 50 requests a second in all; the rest is for answers and look-ups."""


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
        self._queue = asyncio.Lock()

    async def turn(self) -> None:
        """Return when it is the caller's turn.

        One waits at a time, so that a busy loop, coming round late, finds no crowd let go at once.
        """
        async with self._queue:
            now = self._now()
            if now < self._free_at:
                await self._sleep(self._free_at - now)
                now = self._now()
            self._free_at = now + self._gap

    def _now(self) -> float:
        return self._clock() if self._clock else asyncio.get_running_loop().time()
