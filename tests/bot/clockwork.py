"""A clock that stands still until a test moves it, and sleepers that sleep by it."""

from __future__ import annotations

import asyncio
from datetime import datetime, timedelta


class StandingClock:
    def __init__(self, at: datetime) -> None:
        self.at = at
        self.waits: list[float] = []
        self._sleepers: dict[asyncio.Event, datetime] = {}
        self._changed = asyncio.Condition()

    def now(self) -> datetime:
        return self.at

    async def wait(self, woken: asyncio.Event, seconds: float) -> None:
        """Sleep until woken, or until the clock was moved on by so many seconds."""
        deadline = asyncio.Event()
        self.waits.append(seconds)
        async with self._changed:
            self._sleepers[deadline] = self.at + timedelta(seconds=seconds)
            self._changed.notify_all()
        either = [asyncio.create_task(woken.wait()), asyncio.create_task(deadline.wait())]
        try:
            await asyncio.wait(either, return_when=asyncio.FIRST_COMPLETED)
        finally:
            for task in either:
                task.cancel()
            del self._sleepers[deadline]

    async def asleep(self, count: int) -> None:
        """Return when exactly so many are asleep."""
        async with self._changed:
            await self._changed.wait_for(lambda: len(self._sleepers) == count)

    async def next_sleeper(self) -> None:
        """Return when somebody has gone to sleep after this call."""
        async with self._changed:
            await self._changed.wait()

    def move(self, by: timedelta) -> None:
        """Move on, and wake whoever slept until then."""
        self.at += by
        for deadline, until in self._sleepers.items():
            if until <= self.at:
                deadline.set()
