"""A process that does what is due at noon, in a room that is a file, and dies where it is told to.

The moment is `before` or `after` (a kill -9 before or after the first post is written), or `never`.
It ends when the outbox is empty.
"""

from __future__ import annotations

import asyncio
import os
import signal
from pathlib import Path

from bot.club.ports import Notice
from bot.club.service import ClubService
from bot.commands.table import COURSES
from bot.schedule import Schedule
from bot.steady_clock import SteadyClock
from bot.storage import open_store
from tests.bot.storage.samples import NOON


class FileRoom:
    """A room whose posts are the lines of a file, so that they outlive the process."""

    def __init__(self, path: Path, moment: str) -> None:
        self._path = path
        self._moment = moment

    async def send(self, notice: Notice) -> str:
        self._die_if("before")
        line = os.open(self._path, os.O_WRONLY | os.O_APPEND | os.O_CREAT)
        os.write(line, f"{notice.key}\n".encode())
        os.close(line)
        self._die_if("after")
        return f"post {notice.key}"

    async def find(self, notice: Notice) -> str | None:
        return f"post {notice.key}" if notice.key in posts_in(self._path) else None

    def _die_if(self, moment: str) -> None:
        if moment == self._moment:
            os.kill(os.getpid(), signal.SIGKILL)


def posts_in(path: Path) -> list[str]:
    return path.read_text().splitlines() if path.exists() else []


async def send_all(database: Path, room: Path, moment: str) -> None:
    posts = FileRoom(room, moment)
    async with open_store(database) as store:
        service = ClubService(store=store, courses=COURSES)
        schedule = Schedule(
            service, store, send=posts.send, find=posts.find, clock=SteadyClock(lambda: NOON)
        )
        for club in await store.load_clubs():
            await schedule.serve(club)


def send_from(database: Path, room: Path, moment: str) -> None:
    asyncio.run(send_all(database, room, moment))
