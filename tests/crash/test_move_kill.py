"""A club goes to and fro between two channels, and the bot is killed (kill -9) in the middle of
each move: it meets in one of them, that one has the puzzle, and each was told once a move.
"""

from __future__ import annotations

import random
from datetime import UTC, datetime
from pathlib import Path

import pytest

from bot.club.state import ClubSettings
from bot.stock.starting_stock import load_starting_stock
from bot.storage import check_store, open_store
from tests.crash.test_discord_kills import Lives
from tests.discord.conftest import daily_posts
from tests.doubles.discord.people import Person
from tests.doubles.discord.shown import show
from tests.doubles.discord.world import Channel

MOST_REQUESTS = 9
"""Requests from a bot's birth on within which a move is told to all, and a few more."""

ARRIVED = "meets here from now on"


def said(channel: Channel, words: str) -> int:
    return sum(words in show(each).text for each in channel.messages.values())


def stands_in(channel: Channel, other: Channel) -> bool:
    """Tell whether the puzzle can be pressed in one channel, and nothing in the other."""
    starts = [sum("start" in "".join(show(each).commands) for each in place.messages.values())
              for place in (channel, other)]  # fmt: skip
    return starts == [1, 0]


async def move_under_fire(
    lives: Lives, rowan: Person, target: Channel, requests: int, *, strikes_after: bool
) -> None:
    """Have a bot that is killed at one of its requests asked for a move."""
    async with lives.life(requests, strikes_after=strikes_after):
        if not await lives.connected():
            return
        await rowan.start_command("club move", to=target.id)
        lives.look_now()
        await lives.double.until(
            lambda: not lives.number or stands_in(target, rowan.channel), "a death or the move"
        )


async def move_in_peace(
    lives: Lives, rowan: Person, target: Channel, other: Channel, times: int
) -> None:
    """Let a bot live until the club is in the target, asked once more unless it moved before, and
    both channels are told."""
    async with lives.life(10_000, strikes_after=False):
        await lives.connected()
        await rowan.command("club move", to=target.id)
        lives.look_now()
        await lives.double.until(
            lambda: stands_in(target, other) and said(target, ARRIVED) == times, "the move"
        )


@pytest.mark.parametrize(
    "moves",
    [pytest.param(2, id="2 moves"), pytest.param(40, id="40 moves", marks=pytest.mark.long)],
)
async def test_a_move_that_a_kill_interrupts_is_made_whole_or_not_at_all(
    tmp_path: Path, moves: int
) -> None:
    lives, source = Lives(tmp_path), random.Random(20261129)
    here = lives.double.add_club("Maple Street")
    there = lives.double.world.add_channel(lives.double.guild_of(here), "corner")
    rowan = lives.double.person("Rowan", here, leads=True)
    async with open_store(lives.database) as store:
        await store.add_stock(load_starting_stock())
        settings = ClubSettings("Maple Street Solvers", post_time="12:00", quick=0)
        await store.add_club("discord", here.id, settings)
    await lives.open()
    try:
        async with lives.life(10_000, strikes_after=False):
            await lives.connected()
            lives.look_now()
            await lives.double.until(lambda: len(daily_posts(here)) == 1, "the puzzle")
        for number in range(moves):
            other, target = (here, there) if number % 2 == 0 else (there, here)
            rowan.channel = other
            # Logging in takes the first three.
            requests = source.randint(4, MOST_REQUESTS)
            after = source.random() < 0.5
            await move_under_fire(lives, rowan, target, requests, strikes_after=after)
            await move_in_peace(lives, rowan, target, other, number // 2 + 1)
    finally:
        await lives.close()
    print(f"\n{lives.kills} kills in {moves} moves")  # noqa: T201
    await check_store(lives.database)
    async with open_store(lives.database, now=lambda: datetime(2026, 11, 24, tzinfo=UTC)) as store:
        (club,) = await store.load_clubs()
        assert (club.room_id, club.stay) == (here.id, moves)
    for channel in (here, there):
        assert said(channel, ARRIVED) == moves // 2
        assert sum(daily.first_id > 0 for daily in daily_posts(channel)) == (channel is here)
    assert not lives.double.problems
    log = (tmp_path / "log.txt").read_text()
    assert "ERROR" not in log, log[-3000:]
