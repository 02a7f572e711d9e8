"""A club's house on the double, for stories: the real bot, restarted whenever a test likes.

Whatever the double would not take, whoever could be pinged, and whatever would act as markup
fails the test at its end.
"""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import AsyncExitStack
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from bot.club.ports import SavePuzzle
from bot.club.state import ClubSettings, Puzzle
from bot.platforms.discord.connection import Connection
from bot.settings import ClubConfig
from bot.storage import open_store
from bot.wiring.discord import DiscordAccess
from bot.wiring.platform import Access
from bot.wiring.running import RunningBot, open_clubs
from tests.bot.club.stories import crook_puzzle, easy_puzzle, seventeen_puzzle
from tests.doubles.discord import TOKEN, DiscordDouble
from tests.doubles.discord.shown import Shown, show
from tests.doubles.discord.world import Channel, Interaction

MONDAY_NOON = datetime(2026, 11, 23, 12, tzinfo=UTC)


class Bench:
    """The double, its clock, and the bot on it, which `restart` ends and begins anew."""

    def __init__(self, database: Path) -> None:
        self.now = MONDAY_NOON
        self.double = DiscordDouble(lambda: self.now)
        self.database = database
        self.entries: list[ClubConfig] = []
        self.besides: list[Access] = []
        """Other platforms that the bot serves."""
        self.house: RunningBot | None = None
        self.may_have_problems = False
        self.client_options: dict[str, Any] = {"guild_ready_timeout": 0.01}
        self._stack = AsyncExitStack()

    def later(self, **by: float) -> None:
        self.now += timedelta(**by)

    def add_club(self, channel: Channel, **settings: object) -> None:
        values: dict[str, object] = {
            "name": "Maple Street Solvers",
            "post_time": "12:00",
            "quick": 0,
        }
        made = ClubSettings(**{**values, **settings})  # type: ignore[arg-type]
        self.entries.append(ClubConfig("discord", channel.id, made))

    async def queue(self, channel: Channel, *puzzles: Puzzle) -> None:
        """Queue puzzles for the club of a channel, before the bot starts."""
        async with open_store(self.database, now=lambda: self.now) as store:
            for entry in self.entries:
                if entry.room == channel.id:
                    club = await store.add_club("discord", channel.id, entry.settings)
                    for puzzle in puzzles:
                        await store.save([SavePuzzle(puzzle, club_id=club.id, is_queued=True)])

    async def start(self) -> RunningBot:
        access = DiscordAccess(
            Connection(TOKEN, self.double.api, self.double.gateway.url, self.client_options)
        )
        self.house = await self._stack.enter_async_context(
            open_clubs(
                self.entries,
                access,
                *self.besides,
                database=self.database,
                now=lambda: self.now,
            )
        )
        return self.house

    async def stop(self) -> None:
        await self._stack.aclose()
        self._stack = AsyncExitStack()
        self.house = None

    async def restart(self) -> None:
        await self.stop()
        await self.start()

    async def answered(self, interaction: Interaction) -> Interaction:
        await self.double.until(lambda: interaction.is_settled, f"an answer to {interaction.id}")
        return interaction

    async def tick(self) -> None:
        """Have every club looked at now, and return when nothing is left to send."""
        assert self.house is not None
        for club in await self.house.store.load_clubs():
            await self.house.schedule.serve(club)

    def check(self) -> None:
        double = self.double
        if not self.may_have_problems:
            assert not double.problems
        assert not double.pings
        assert all(double.rest.pushes), "a push that says nothing"
        for channel in double.world.channels.values():
            for message in channel.messages.values():
                assert not show(message).live, message
        for interaction in double.world.interactions.values():
            for message in interaction.messages:
                assert not show(message).live, message


def daily_posts(channel: Channel) -> list[Shown]:
    """Return the posts that show a day's puzzle, whatever has become of their buttons."""
    shown = [show(each) for each in channel.messages.values()]
    return [each for each in shown if any("row 1:" in alt for alt in each.alts)]


@pytest.fixture
async def bench(tmp_path: Path) -> AsyncIterator[Bench]:
    made = Bench(tmp_path / "club.db")
    await made.double.start()
    try:
        yield made
        await made.stop()
        made.check()
    finally:
        await made.stop()
        await made.double.stop()


@pytest.fixture
async def club(bench: Bench) -> Channel:
    """A club's channel, with three puzzles of known solutions in its queue."""
    channel = bench.double.add_club("Maple Street", "puzzles")
    bench.add_club(channel)
    await bench.queue(channel, easy_puzzle(), crook_puzzle(), seventeen_puzzle())
    return channel
