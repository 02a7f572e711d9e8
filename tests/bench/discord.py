"""A hint through the bot in Discord against a bare echo, 300 commands at once, 2,500 clubs due.

The echo is a command of discord.py's own tree that answers with one sentence; bot and echo speak
to the same double, over loopback, in the same process, and the double does not validate here. A
hint's text is measured with drawing left out; what the picture adds stands apart. The stall is the
longest time that the event loop, the double's work included, did not come round.
"""

from __future__ import annotations

import asyncio
import time
from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager
from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from unittest import mock

import aiosqlite
import discord
from discord import app_commands

from bot import exchange
from bot.club.replies import Reply
from bot.club.state import ClubSettings
from bot.platforms.discord.connection import Connection
from bot.platforms.discord.endpoints import endpoints
from bot.platforms.message import Message
from bot.settings import ClubConfig
from bot.storage import open_store
from bot.wiring.discord import DiscordAccess
from bot.wiring.running import RunningBot, open_clubs
from bot.wording import phrase
from tests.bench import Figure, median, percentile
from tests.bench.commit import BareCommit
from tests.doubles.discord import TOKEN, DiscordDouble, Person
from tests.doubles.discord.world import Channel

ROUNDS = 150
AT_ONCE = 300
CLUBS = 2500
AIM = 2.0
FAST = {"guild_ready_timeout": 0.01}


@asynccontextmanager
async def open_double() -> AsyncIterator[DiscordDouble]:
    double = DiscordDouble()
    double.rest.validates = False
    await double.start()
    try:
        yield double
    finally:
        await double.stop()


@asynccontextmanager
async def open_echo(double: DiscordDouble) -> AsyncIterator[None]:
    """Run the smallest bot that the library makes easy."""
    client = discord.Client(intents=discord.Intents(guilds=True), **FAST)
    tree = app_commands.CommandTree(client)

    @tree.command(name="hint", description="Echo.")
    async def hint(interaction: discord.Interaction, way: str) -> None:
        await interaction.response.send_message(f"You said {way}.", ephemeral=True)

    ready = asyncio.Event()

    async def setup_hook() -> None:
        await tree.sync()

    async def on_ready() -> None:
        ready.set()

    client.setup_hook = setup_hook  # type: ignore[method-assign]
    client.event(on_ready)
    with endpoints(double.api, double.gateway.url):
        run = asyncio.create_task(client.start(TOKEN))
        await ready.wait()
        try:
            yield
        finally:
            await client.close()
            await asyncio.gather(run, return_exceptions=True)


@asynccontextmanager
async def open_bot(
    double: DiscordDouble, folder: Path, *clubs: Channel
) -> AsyncIterator[RunningBot]:
    settings = ClubSettings("Maple Street Solvers", post_time="00:00", quick=0)
    entries = [ClubConfig("discord", channel.id, settings) for channel in clubs]
    access = DiscordAccess(Connection(TOKEN, double.api, double.gateway.url, FAST))
    async with open_clubs(entries, access, database=folder / "club.db") as house:
        yield house


async def timed(person: Person, way: str) -> float:
    begin = time.perf_counter()
    await person.command("hint", way=way)
    return time.perf_counter() - begin


async def words_only(reply: Reply, look: str, *, in_both: bool = True) -> tuple[Message, ...]:
    return (phrase(reply),)


async def measure_hint(folder: Path) -> dict[str, list[float]]:
    """Return the seconds of echoes, commits, hints in words, and hints with their picture."""
    taken: dict[str, list[float]] = {name: [] for name in ("echo", "commit", "words", "picture")}
    async with open_double() as double:
        channel = double.add_club()
        people = [double.person(f"Member {number}", channel) for number in range(20)]
        async with open_echo(double):
            for number in range(ROUNDS):
                taken["echo"].append(await timed(people[number % 20], "board"))
        double.gateway.forget_sessions()
        async with open_bot(double, folder, channel), aiosqlite.connect(folder / "bare.db") as link:
            await BareCommit.prepare(link)
            reference = BareCommit(link)
            await double.until(lambda: bool(channel.messages), "the day's post")
            await asyncio.sleep(0.2)
            for person in people:
                await person.command("start")
                await person.command("hint", way="more")
                await person.command("place", marks="r1c1 1")
                await person.command("undo")
                await person.command("hint", about="row 1")
            for kind in ("words", "picture"):
                shown = words_only if kind == "words" else exchange.compose
                with mock.patch.object(exchange, "compose", shown):
                    for number in range(ROUNDS):
                        taken["commit"].append(await reference.time())
                        taken[kind].append(await timed(people[number % 20], "more"))
        assert not double.problems, double.problems
    return taken


async def measure_rush(folder: Path) -> tuple[list[float], list[float]]:
    """Return when each of many commands of one moment was acknowledged, and fully answered."""
    async with open_double() as double:
        channel = double.add_club()
        people = [double.person(f"Member {number}", channel) for number in range(AT_ONCE)]
        async with open_bot(double, folder, channel):
            await double.until(lambda: bool(channel.messages), "the day's post")
            await asyncio.sleep(0.2)
            begin = time.perf_counter()
            acknowledged: dict[str, float] = {}
            answered: dict[str, float] = {}
            asked = [await person.start_command("start") for person in people]

            def note() -> bool:
                at = time.perf_counter() - begin
                for each in asked:
                    if each.responded is not None:
                        acknowledged.setdefault(each.id, at)
                    if each.messages:
                        answered.setdefault(each.id, at)
                return len(answered) == AT_ONCE

            await double.until(note, "all answers")
        return list(acknowledged.values()), list(answered.values())


async def longest_stall(stop: asyncio.Event) -> float:
    """Return the longest time, over a millisecond's pause, that the loop did not come round."""
    longest = 0.0
    while not stop.is_set():
        begin = time.perf_counter()
        await asyncio.sleep(0.001)
        longest = max(longest, time.perf_counter() - begin - 0.001)
    return longest


async def measure_many(folder: Path) -> tuple[float, int, float, int]:
    """Return seconds, posts, the longest stall, and refusals by the service's limits."""
    async with open_double() as double:
        double.limits.is_on = True
        double.gateway.shards = 2
        channels = [double.add_club(f"Server {number}") for number in range(CLUBS)]
        async with open_store(folder / "club.db", now=lambda: datetime.now(UTC)) as store:
            settings = ClubSettings("Maple Street Solvers", post_time="00:00", quick=0)
            for channel in channels:
                await store.add_club("discord", channel.id, settings)
        begin = time.perf_counter()
        async with open_bot(double, folder):
            stop = asyncio.Event()
            stall = asyncio.create_task(longest_stall(stop))
            posts = 0
            while posts < CLUBS and time.perf_counter() - begin < 600:
                await asyncio.sleep(0.5)
                posts = sum(bool(channel.messages) for channel in channels)
            seconds = time.perf_counter() - begin
            stop.set()
            doubles = sum(len(channel.messages) > 1 for channel in channels)
            assert not doubles, f"{doubles} clubs have two posts"
            return seconds, posts, await stall, double.limits.refused


def find_figures() -> Iterator[Figure]:
    with TemporaryDirectory() as folder:
        taken = asyncio.run(measure_hint(Path(folder)))
    middle = {name: median(values) * 1e3 for name, values in taken.items()}
    yield Figure("an echo by the bare library, median", middle["echo"], "ms")
    yield Figure("a bare commit, median", middle["commit"], "ms")
    yield Figure("a hint in words, median", middle["words"], "ms")
    yield Figure("a hint in words, 99th percentile", percentile(taken["words"], 0.99) * 1e3, "ms")
    ratio = middle["words"] / (middle["echo"] + middle["commit"])
    yield Figure("a hint in words, times echo plus commit", ratio, "x", f"<= {AIM:g}", ratio <= AIM)
    yield Figure("what its picture adds, median", middle["picture"] - middle["words"], "ms")
    with TemporaryDirectory() as folder:
        acknowledged, answered = asyncio.run(measure_rush(Path(folder)))
    late, last = max(acknowledged), max(answered)
    yield Figure(f"{AT_ONCE} at once: the last acknowledged", late, "s", "<= 3", late <= 3)
    yield Figure("the 99th percentile of acknowledging", percentile(acknowledged, 0.99), "s")
    yield Figure(f"{AT_ONCE} at once: the last fully answered", last, "s", "<= 5", last <= 5)
    yield Figure("the 99th percentile of answering", percentile(answered, 0.99), "s")
    with TemporaryDirectory() as folder:
        seconds, posts, stall, refused = asyncio.run(measure_many(Path(folder)))
    yield Figure(f"{CLUBS} clubs due: posted", posts, "", f"{CLUBS}", posts == CLUBS)
    yield Figure("until the last was posted", seconds, "s")
    yield Figure("posts a second", posts / seconds, "/s", "<= 50", posts / seconds <= 50)
    yield Figure("requests refused by the service's limits", refused, "")
    yield Figure("the loop's longest stall", stall * 1e3, "ms")
