"""A room and a club service for tests of the due loop: they do what a test tells them."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager, suppress
from datetime import datetime

from bot.club.due import Due
from bot.club.ports import Notice
from bot.club.state import Club
from bot.schedule import Schedule


async def no_wait(notice: Notice) -> None:
    """Take the post at once."""


class Room:
    """A room that remembers its posts by key. `before` and `after` may raise around a post, `hold`
    may wait before it; `closed` is raised whatever is asked."""

    def __init__(self) -> None:
        self.posts: list[tuple[str, str, bytes]] = []
        self.looked_for: list[str] = []
        self.closed: Exception | None = None
        self.hold: Callable[[Notice], Awaitable[None]] = no_wait
        self.before: Callable[[Notice], None] = lambda notice: None
        self.after: Callable[[Notice], None] = lambda notice: None

    async def send(self, notice: Notice) -> str:
        self._need_open()
        await self.hold(notice)
        self.before(notice)
        self.posts.append((notice.club.room_id, notice.key, notice.reply))
        self.after(notice)
        return f"post {len(self.posts)}"

    async def find(self, notice: Notice) -> str | None:
        self._need_open()
        self.looked_for.append(notice.key)
        for number, (room_id, key, _) in enumerate(self.posts, start=1):
            if (room_id, key) == (notice.club.room_id, notice.key):
                return f"post {number}"
        return None

    def _need_open(self) -> None:
        if self.closed is not None:
            raise self.closed

    def keys(self, room_id: str = "maple") -> list[str]:
        return [key for room, key, _ in self.posts if room == room_id]


class NothingDue:
    """A club service for which nothing is due, or which fails."""

    def __init__(self) -> None:
        self.problem: Exception | None = None
        self.asked: list[tuple[str, datetime]] = []
        self.refused: list[str] = []

    async def due(self, club: Club, now: datetime) -> tuple[Due, ...]:
        self.asked.append((club.room_id, now))
        if self.problem is not None:
            raise self.problem
        return ()

    async def note_rights(self, club: Club, now: datetime) -> bool:
        return False

    async def note_refused(self, club: Club, key: str) -> None:
        self.refused.append(key)

    async def carry_out(self, due: Due) -> None:
        raise AssertionError("nothing is due")


def raising(problem: Exception, *keys: str) -> Callable[[Notice], None]:
    def trouble(notice: Notice) -> None:
        if notice.key in keys:
            raise problem

    return trouble


def at_ease(notice: Notice) -> None:
    """No trouble."""


def crash(notice: Notice) -> None:
    """End whatever is being sent as the end of the process does."""
    raise asyncio.CancelledError


@asynccontextmanager
async def running(schedule: Schedule) -> AsyncIterator[None]:
    """Let the loop run meanwhile, and end it as the end of the program does."""
    loop = asyncio.create_task(schedule.run())
    try:
        yield
    finally:
        loop.cancel()
        with suppress(asyncio.CancelledError):
            await loop
