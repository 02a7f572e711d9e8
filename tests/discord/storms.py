"""Many clubs on one double that close at the same minute, and bots in processes of their own."""

from __future__ import annotations

import asyncio
import json
import os
import signal
import sys
import time
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from bot.club.state import ClubSettings
from bot.storage import open_store
from tests.doubles.discord import DiscordDouble
from tests.doubles.discord.shown import show
from tests.doubles.discord.world import PUBLIC_THREAD, Channel

ROOT = Path(__file__).parents[2]
MONDAY_NOON = datetime(2026, 11, 23, 12, tzinfo=UTC)


class Life:
    """A bot's process. `told` is what it says of itself."""

    def __init__(self, process: asyncio.subprocess.Process) -> None:
        self.process = process

    @classmethod
    async def begin(cls, log: Path, **life: Any) -> Life:
        with log.open("ab") as errors:
            process = await asyncio.create_subprocess_exec(
                sys.executable, "-m", "tests.discord.storm_life", cwd=ROOT,
                stdin=asyncio.subprocess.PIPE, stdout=asyncio.subprocess.PIPE, stderr=errors,
            )  # fmt: skip
        assert process.stdin is not None
        process.stdin.write(f"{json.dumps(life)}\n".encode())
        await process.stdin.drain()
        return cls(process)

    def wake(self) -> None:
        self.process.send_signal(signal.SIGUSR1)

    async def told(self) -> dict[str, int]:
        self.process.send_signal(signal.SIGUSR2)
        assert self.process.stdout is not None
        told: dict[str, int] = json.loads(await self.process.stdout.readline())
        return told

    async def end(self) -> None:
        with suppress(ProcessLookupError):
            self.process.kill()
        await self.process.wait()


@dataclass
class Storm:
    """What a closing of many clubs came to. `last_post` and `over`: seconds after the hour."""

    clubs: int
    last_post: float
    first_thread: float
    over: float
    refused: int
    requests: int
    fetched: int
    told: list[dict[str, int]]

    def __str__(self) -> str:
        return (
            f"{self.clubs} clubs: last puzzle {self.last_post:.1f} s after the hour, first "
            f"walkthrough {self.first_thread:.1f} s, all {self.over:.1f} s; {self.requests} "
            f"requests, {self.refused} refused, {self.fetched} messages fetched; {self.told}"
        )


class Sky:
    """The double with its clubs, a folder and the clock of all bots."""

    def __init__(self, folder: Path, clubs: int) -> None:
        self.folder = folder
        self.clock = folder / "clock"
        self.now = MONDAY_NOON
        self.double = DiscordDouble(lambda: self.now)
        self.double.rest.validates = False
        self.double.limits.is_on = True
        self.channels: list[Channel] = []
        for number in range(clubs):
            # Servers are dealt out to shards by when they were made.
            self.now += timedelta(milliseconds=1)
            self.channels.append(self.double.add_club(f"Server {number}"))
        self.lives: list[Life] = []

    async def open(self) -> None:
        await self.double.start()
        self._write_clock()

    async def close(self) -> None:
        for life in self.lives:
            await life.end()
        await self.double.stop()

    def _write_clock(self) -> None:
        part = self.clock.with_suffix(".part")
        part.write_text(str(self.now.timestamp()))
        os.replace(part, self.clock)

    async def found(self, name: str, channels: list[Channel]) -> Path:
        """Return a database with a club in each of these channels."""
        path = self.folder / name
        async with open_store(path, now=lambda: self.now) as store:
            settings = ClubSettings("Maple Street Solvers", post_time="12:00")
            for channel in channels:
                await store.add_club("discord", channel.id, settings)
        return path

    async def begin(self, database: Path, **life: Any) -> Life:
        own = {"api": self.double.api, "gateway": self.double.gateway.url}
        log = database.with_suffix(".log")
        begun = await Life.begin(log, **own, database=str(database), clock=str(self.clock), **life)
        self.lives.append(begun)
        return begun

    async def until(self, posts: int, threads: int) -> None:
        """Wait until every club has so many messages in its channel and so many threads."""

        def count() -> tuple[int, int]:
            there = sum(len(each.messages) >= posts for each in self.channels)
            under = sum(each.kind == PUBLIC_THREAD for each in self.double.world.channels.values())
            return there, under

        clubs, asked = len(self.channels), self.double.rest.requests
        done, before, still = (0, 0), -1, 0
        while done < (clubs, clubs * threads) and still < 120:
            await asyncio.sleep(0.5)
            done = count()
            still = still + 1 if before == len(asked) else 0
            before = len(asked)
        assert done >= (clubs, clubs * threads), (done, self.double.problems[:3])

    async def next_noon(self) -> Storm:
        """Have the day close and the next puzzle go up everywhere, and return what came of it."""
        rest, limits = self.double.rest, self.double.limits
        asked, refused, begin = len(rest.requests), limits.refused, time.monotonic()
        moments: dict[str, list[float]] = {"post": [], "thread": []}
        before = rest.on_message

        def note(message: Any) -> None:
            before(message)
            place = self.double.world.channels[message.channel_id]
            what = "thread" if place.kind == PUBLIC_THREAD else "post"
            shows_a_day = any("row 1:" in alt for alt in show(message).alts)
            if what == "thread" or shows_a_day:
                moments[what].append(time.monotonic() - begin)

        rest.on_message = note
        self.now += timedelta(days=1)
        self._write_clock()
        for life in self.lives:
            life.wake()
        await self.until(3, 1)
        fetched = sum(
            method == "GET" and "/messages" in path for method, path, _ in rest.requests[asked:]
        )
        rest.on_message = before
        return Storm(
            len(self.channels),
            max(moments["post"]),
            min(moments["thread"]),
            time.monotonic() - begin,
            limits.refused - refused,
            len(rest.requests) - asked,
            fetched,
            [await life.told() for life in self.lives],
        )
