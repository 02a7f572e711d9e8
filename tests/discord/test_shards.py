"""Several processes for one bot, each with its shards and a folder of its own."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from contextlib import AsyncExitStack
from pathlib import Path

import pytest

from bot.club.state import ClubSettings
from bot.platforms.discord.connection import Connection
from bot.platforms.discord.shards import Shards, parse_shards
from bot.settings import ClubConfig
from bot.wiring.discord import DiscordAccess
from bot.wiring.running import RunningBot, open_clubs
from bot.wording.discord import DISCORD
from tests.discord.conftest import Bench, daily_posts
from tests.doubles.discord import TOKEN
from tests.doubles.discord.world import Channel

CLUBS = 8
PARTS = (Shards(0, 0, 2), Shards(1, 1, 2))


def test_shards_are_written_as_a_range_or_alone() -> None:
    assert parse_shards("0-3 of 16") == Shards(0, 3, 16)
    assert parse_shards(" 2 of 16 ") == Shards(2, 2, 16)
    assert parse_shards("0-0 of 1") == Shards(0, 0, 1)
    assert Shards(4, 7, 16).share == 0.25
    for wrong in ("", "0-3", "3-2 of 16", "0-16 of 16", "16 of 16", "a of b", "0-3 of 0", 3, None):
        with pytest.raises(ValueError) as caught:  # noqa: PT011 - what was written, no more
            parse_shards(wrong)
        assert caught.value.args == (wrong,)


class Machines:
    """A bot in two processes, each with the whole list of clubs in its config."""

    def __init__(self, bench: Bench, folder: Path) -> None:
        self.bench = bench
        self.folder = folder
        self.channels: list[Channel] = []
        for number in range(CLUBS):
            # Servers are dealt out by when they were made.
            bench.later(milliseconds=1)
            self.channels.append(bench.double.add_club(f"Server {number}"))
        self.houses: list[RunningBot] = []
        self._stack = AsyncExitStack()

    async def start(self) -> None:
        double, now = self.bench.double, lambda: self.bench.now
        settings = ClubSettings("Maple Street Solvers", post_time="12:00", quick=0)
        entries = [ClubConfig("discord", each.id, settings) for each in self.channels]
        for number, part in enumerate(PARTS):
            fast = {"guild_ready_timeout": 0.01}
            access = DiscordAccess(
                Connection(TOKEN, double.api, double.gateway.url, fast, shards=part)
            )
            house = open_clubs(entries, access, database=self.folder / f"{number}.db", now=now)
            self.houses.append(await self._stack.enter_async_context(house))

    async def stop(self) -> None:
        await self._stack.aclose()
        self.houses.clear()

    async def tick(self) -> None:
        for house in self.houses:
            clubs = await house.store.load_clubs()
            await asyncio.gather(*(house.schedule.serve(club) for club in clubs))

    def of(self, part: Shards) -> list[Channel]:
        """Return the channels whose servers are dealt to a process."""
        return [
            channel
            for channel in self.channels
            if (int(channel.guild_id or 0) >> 22) % part.of in part.ids
        ]


@pytest.fixture
async def machines(bench: Bench, tmp_path: Path) -> AsyncIterator[Machines]:
    made = Machines(bench, tmp_path)
    await made.start()
    yield made
    await made.stop()


async def test_each_process_posts_in_its_own_clubs_and_none_posts_twice(
    machines: Machines,
) -> None:
    assert all(machines.of(part) for part in PARTS)
    for days in (0, 1):
        machines.bench.later(days=days)
        await machines.tick()
        assert [len(daily_posts(channel)) for channel in machines.channels] == [1 + days] * CLUBS
    shards = [each["shard"] for each in machines.bench.double.gateway.identifies]
    assert sorted(shards) == [[0, 2], [1, 2]]
    # The commands are the bot's, not a process's.
    told = [path for method, path, _ in machines.bench.double.rest.requests if method == "PUT"]
    assert len(told) == 1


async def test_who_is_answered_directly_by_another_process_is_told_what_to_use_in_the_channel(
    machines: Machines,
) -> None:
    await machines.tick()
    double = machines.bench.double
    near, far = (machines.of(part)[0] for part in PARTS)
    ada, ben = double.person("Ada", near), double.person("Ben", far)
    await ada.command("start")
    for person in (ada, ben):
        await person.write(f"<@{double.world.bot.id}> hint")
        await double.until(lambda person=person: bool(person.direct()), "an answer")  # type: ignore[misc]
    assert ada.direct()[0].commands
    (told,) = ben.direct()
    assert not told.commands
    assert f"<#{far.id}>" in told.text
    assert "/start" in told.text
    await ada.write_directly("today")
    await ben.write_directly("today")
    await double.until(lambda: len(ben.direct()) == 2, "an answer")
    assert ben.direct()[-1].text == DISCORD.elsewhere
    await double.until(lambda: len(ada.direct()) > 1, "an answer")
    assert ada.direct()[-1].text != DISCORD.elsewhere
