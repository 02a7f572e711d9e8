"""A leader moves a lesson, and the bot is killed (kill -9) in the middle of each move: pressed once
more, it stands where the button says, with one post, one thread and one message in it.
"""

from __future__ import annotations

import random
from datetime import UTC, datetime, timedelta
from functools import partial
from pathlib import Path

import pytest

from bot.club.ports import SavePuzzle
from bot.club.state import ClubSettings
from bot.storage import check_store, open_store
from tests.bot.club.stories import crook_puzzle, easy_puzzle
from tests.crash.test_discord_kills import Lives
from tests.doubles.discord.people import Person, answer_of
from tests.doubles.discord.shown import Shown, show

DATE = "2026-11-23"
MOST_REQUESTS = 9
"""Requests from a bot's birth on within which a move is shown to all, and a few more."""

MOVES = (
    ("Next", "come by themselves"),
    ("Next", "leave one place"),
    ("Ask", "what can you do here?"),
    ("Show", "puzzle turns"),
    ("Back", "leave one place"),
    ("Back", "come by themselves"),
    ("Back", "as it went up"),
)
"""What is pressed, and what the club sees then. The last leads to where the first begins."""


def is_said(lives: Lives, words: str) -> bool:
    channels = lives.double.world.channels.values()
    return any(words in show(said).text for each in channels for said in each.messages.values())


def frames(lives: Lives) -> list[str]:
    """Return the words of all messages in threads of lessons."""
    channels = lives.double.world.channels.values()
    threads = [each for each in channels if "Together" in each.name]
    return [show(message).text for each in threads for message in each.messages.values()]


async def moved(lives: Lives, rowan: Person, desk: Shown | None, label: str, words: str) -> Shown:
    """Let a bot live until the club sees what a move leads to; return the desk."""
    async with lives.life(10_000, strikes_after=False):
        await lives.connected()
        if desk is None:
            asked = await rowan.command("club lesson", date=DATE)
        else:
            asked = await rowan.press(desk, label)
        lives.look_now()
        await lives.double.until(lambda: any(words in each for each in frames(lives)), words)
        lives.kills -= 1  # the one that ends it strikes an idle bot
    return answer_of(asked)


async def moved_under_fire(
    lives: Lives, rowan: Person, desk: Shown | None, label: str, source: random.Random
) -> None:
    """Have a bot asked for a move that is killed at one of its requests."""
    # Logging in takes the first three.
    requests, after = source.randint(4, MOST_REQUESTS), source.random() < 0.5
    async with lives.life(requests, strikes_after=after):
        if not await lives.connected():
            return
        if desk is None:
            asked = await rowan.start_command("club lesson", date=DATE)
        else:
            asked = await rowan.start_press(desk, label)
        lives.look_now()
        await lives.double.until(
            lambda: not lives.number or asked.is_settled, "a death or an answer"
        )


@pytest.mark.long
@pytest.mark.parametrize("moves", [42])
async def test_a_lesson_that_kills_interrupt_is_taken_up_where_it_stood(
    tmp_path: Path, moves: int
) -> None:
    lives, source = Lives(tmp_path), random.Random(20261129)
    channel = lives.double.add_club("Maple Street")
    rowan = lives.double.person("Rowan", channel, leads=True)
    async with open_store(lives.database) as store:
        settings = ClubSettings("Maple Street Solvers", post_time="12:00", quick=0)
        club = await store.add_club("discord", channel.id, settings)
        for puzzle in (crook_puzzle(), easy_puzzle()):
            await store.save([SavePuzzle(puzzle, club_id=club.id, is_queued=True)])
    await lives.open()
    try:
        for words in ("Today's puzzle is up", "I left out the steps"):
            async with lives.life(10_000, strikes_after=False):
                await lives.connected()
                lives.look_now()
                await lives.double.until(partial(is_said, lives, words), words)
            lives.set_clock(timedelta(days=1))
        lives.set_clock(timedelta(hours=-23))
        lives.kills = 0
        await moved_under_fire(lives, rowan, None, "", source)
        desk = await moved(lives, rowan, None, "", "as it went up")
        for number in range(moves):
            label, words = MOVES[number % len(MOVES)]
            await moved_under_fire(lives, rowan, desk, label, source)
            desk = await moved(lives, rowan, desk, label, words)
            assert len(frames(lives)) == 1
    finally:
        await lives.close()
    print(f"\n{lives.kills} kills in {moves} moves")  # noqa: T201 - its figures
    await check_store(lives.database)
    async with open_store(lives.database, now=lambda: datetime(2026, 11, 25, tzinfo=UTC)) as store:
        kept = await store.load_lesson(club.id)
    assert kept is not None
    assert (kept.number, kept.is_over) == (1, False)
    opened = [each for each in channel.messages.values() if "together" in show(each).text]
    assert len(opened) == 1
    assert not lives.double.problems
    log = (tmp_path / "log.txt").read_text()
    assert "ERROR" not in log, log[-3000:]
