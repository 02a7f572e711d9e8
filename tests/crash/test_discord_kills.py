"""A week of a club in Discord, in which the bot is killed (kill -9) at dozens of random
moments: before, between and after what it does at the service. Every day goes up once, every
hand-in that was acknowledged is kept, and the database is whole.
"""

from __future__ import annotations

import asyncio
import json
import os
import random
import signal
import sys
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from bot.club.state import ClubSettings
from bot.stock.starting_stock import load_starting_stock
from bot.storage import check_store, open_store
from bot.wording.times import format_date
from tests.discord.conftest import daily_posts
from tests.doubles.discord import DiscordDouble, Person
from tests.doubles.discord.people import answer_of
from tests.doubles.discord.shown import Shown
from tests.doubles.discord.world import Channel

ROOT = Path(__file__).parents[2]
FIRST_DAY = date(2026, 11, 23)
DAYS = 7
MOST_REQUESTS = 12
"""Requests of one life before it is killed, at most: logging in takes the first three."""


class Lives:
    """The bots, one after another; the double kills the one alive at a request that it is told."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.now = datetime(2026, 11, 23, 12, 0, 5, tzinfo=UTC)
        self.double = DiscordDouble(lambda: self.now)
        self.kills = 0
        self.left = 0
        self.strikes_after = False
        self.number = 0
        self._zygote: asyncio.subprocess.Process | None = None

    @property
    def database(self) -> Path:
        return self.folder / "club.db"

    def set_clock(self, by: timedelta = timedelta(0)) -> None:
        self.now += by
        clock, new = self.folder / "clock", self.folder / "clock.new"
        new.write_text(str(self.now.timestamp()))
        new.replace(clock)

    async def open(self) -> None:
        await self.double.start()
        self.set_clock()
        self._zygote = await asyncio.create_subprocess_exec(
            sys.executable, "-m", "tests.crash.discord_lives", cwd=ROOT,
            stdin=asyncio.subprocess.PIPE, stdout=asyncio.subprocess.PIPE,
        )  # fmt: skip
        self.double.rest.before_answer = lambda: self._strike(after=False)
        self.double.rest.after_answer = lambda: self._strike(after=True)

    async def close(self) -> None:
        assert self._zygote is not None
        assert self._zygote.stdin is not None
        self._zygote.stdin.close()
        await self._zygote.wait()
        await self.double.stop()

    def _strike(self, *, after: bool) -> None:
        """Kill the bot when its last request comes in, before or after it has its effect."""
        if self.number and after == self.strikes_after:
            self.left -= 1
            if self.left == 0:
                self.kill()

    def kill(self) -> None:
        number, self.number = self.number, 0
        if number:
            self.kills += 1
            os.kill(number, signal.SIGKILL)

    @asynccontextmanager
    async def life(self, requests: int, *, strikes_after: bool) -> AsyncIterator[None]:
        """Have a bot live while the block runs, and killed at that request, or at the end."""
        assert self._zygote is not None
        assert self._zygote.stdin is not None
        assert self._zygote.stdout is not None
        self.left, self.strikes_after = requests, strikes_after
        life = {
            "api": self.double.api,
            "gateway": self.double.gateway.url,
            "database": str(self.database),
            "clock": str(self.folder / "clock"),
            "log": str(self.folder / "log.txt"),
        }
        self._zygote.stdin.write(json.dumps(life).encode() + b"\n")
        self.number = int(await self._zygote.stdout.readline())
        try:
            yield
        finally:
            self.kill()
            assert int(await self._zygote.stdout.readline()) == -signal.SIGKILL
            # The service drops a dead bot's session when its line is closed.
            await self.double.until(lambda: not self.double.gateway.is_connected, "a closed line")

    async def connected(self) -> bool:
        """Return when the bot is connected; False where it died first."""
        await self.double.until(
            lambda: self.double.gateway.is_connected or not self.number, "a connection"
        )
        return bool(self.number)

    def look_now(self) -> None:
        if self.number:
            os.kill(self.number, signal.SIGUSR1)


SOLUTIONS = {puzzle.givens: puzzle.solution for puzzle in load_starting_stock()}


def solution_of(post: Shown) -> str:
    """Return the solution of the puzzle that a post shows, its givens read from the picture's
    description."""
    lines = [line for line in post.alts[0].splitlines() if line.startswith("row ")]
    words = " ".join(line.split(":")[1] for line in lines).split()
    return SOLUTIONS["".join(word if word.isdigit() else "." for word in words)]


async def hand_in(lives: Lives, person: Person, post: Shown, day: date) -> bool:
    """Hand in a day's solution; say whether it was acknowledged before the bot died.

    A post that the bot was killed over is found by the next one a moment later; until then an
    answer is taken for the day before.
    """
    asked = await person.start_command("hand-in", answer=solution_of(post))
    await lives.double.until(lambda: asked.is_settled or not lives.number, "an answer or a death")
    text = answer_of(asked).text if asked.is_settled else ""
    return format_date(day) in text and any(word in text for word in ("Right", "already"))


async def live_one(
    lives: Lives,
    people: list[Person],
    day: int,
    source: random.Random,
    kept: set[tuple[str, str]],
) -> None:
    """Have one bot live until its random end, while the day goes up and members hand in."""
    channel = people[0].channel
    requests = source.randint(1, MOST_REQUESTS)
    async with lives.life(requests, strikes_after=source.random() < 0.5):
        if not await lives.connected():
            return
        lives.look_now()
        await lives.double.until(
            lambda: len(daily_posts(channel)) >= day or not lives.number, "a post or a death"
        )
        while lives.number and lives.double.gateway.is_connected:
            person = source.choice(people)
            today = FIRST_DAY + timedelta(days=day - 1)
            if await hand_in(lives, person, daily_posts(channel)[day - 1], today):
                kept.add((today.isoformat(), person.user.id))


async def catch_up(lives: Lives, channel: Channel, days: int) -> None:
    """Let a bot live in peace until the day is up."""
    async with lives.life(10_000, strikes_after=False):
        await lives.connected()
        lives.look_now()
        await lives.double.until(lambda: len(daily_posts(channel)) >= days, f"day {days}")
        lives.kills -= 1  # the one that ends it strikes an idle bot


@pytest.mark.parametrize(
    "kills_a_day",
    [
        pytest.param(1, id="1 kill a day"),
        pytest.param(15, id="15 kills a day", marks=pytest.mark.long),
    ],
)
async def test_over_a_week_of_kills_every_day_goes_up_once_and_no_answer_is_lost(
    tmp_path: Path, kills_a_day: int
) -> None:
    lives, source = Lives(tmp_path), random.Random(20261123)
    channel = lives.double.add_club("Maple Street")
    people = [lives.double.person(name, channel) for name in ("Ada", "Ben", "Cleo")]
    async with open_store(lives.database) as store:
        await store.add_stock(load_starting_stock())
        await store.add_club(
            "discord", channel.id, ClubSettings("Maple Street Solvers", post_time="12:00", quick=0)
        )
    kept: set[tuple[str, str]] = set()
    await lives.open()
    try:
        for number in range(1, DAYS + 1):
            for _ in range(kills_a_day):
                await live_one(lives, people, number, source, kept)
                # Longer than a nonce is remembered, now and then.
                lives.set_clock(timedelta(minutes=source.choice((1, 2, 11))))
            await catch_up(lives, channel, number)
            midday = datetime(2026, 11, 23, 12, 0, 5, tzinfo=UTC)
            lives.set_clock(midday + timedelta(days=number) - lives.now)
    finally:
        await lives.close()
    print(f"\n{lives.kills} kills in {DAYS} days, {len(kept)} answers acknowledged")  # noqa: T201
    assert lives.kills >= kills_a_day * DAYS * 0.9
    await asyncio.to_thread(lambda: asyncio.run(check_store(lives.database)))
    assert len(daily_posts(channel)) == DAYS
    assert len({post.first_id for post in daily_posts(channel)}) == DAYS
    results = [each for each in channel.messages.values() if "Results" in str(each.body)]
    assert len({str(each.body.get("nonce")) for each in results}) == len(results)
    assert kept, "some answers were acknowledged"
    async with open_store(lives.database) as store:
        (club,) = await store.load_clubs()
        days = {day.date.isoformat(): day for day in await store.load_days(club.id)}
        for date, user_id in kept:
            entry = await store.load_entry(days[date].id, user_id)
            assert entry is not None, (date, user_id)
            assert entry.finished_at is not None
    assert not lives.double.problems
    log = (tmp_path / "log.txt").read_text()
    assert "ERROR" not in log, log[-3000:]
