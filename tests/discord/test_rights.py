"""What the bot may not do in a club's channel: kept, told to who leads, done once it may."""

from __future__ import annotations

import pytest

from tests.bot.club.stories import EASY_SOLUTION
from tests.discord.conftest import Bench, daily_posts
from tests.doubles.discord.shown import Shown, show
from tests.doubles.discord.world import (
    ATTACH_FILES,
    CREATE_PUBLIC_THREADS,
    PUBLIC_THREAD,
    READ_MESSAGE_HISTORY,
    SEND_MESSAGES,
    SEND_MESSAGES_IN_THREADS,
    VIEW_CHANNEL,
    Channel,
)


def threads_of(bench: Bench, channel: Channel) -> list[Channel]:
    every = bench.double.world.channels.values()
    return [each for each in every if each.kind == PUBLIC_THREAD and each.parent_id == channel.id]


def has_walkthrough(bench: Bench, channel: Channel) -> bool:
    return any(each.messages for each in threads_of(bench, channel))


def starts_a_clock(post: Shown) -> bool:
    return any(command.startswith("start") for command in post.commands)


@pytest.mark.parametrize("right", [CREATE_PUBLIC_THREADS, SEND_MESSAGES_IN_THREADS])
async def test_a_walkthrough_that_has_no_thread_yet_comes_once_threads_are_allowed(
    bench: Bench, club: Channel, right: int
) -> None:
    await bench.start()
    await bench.tick()
    await bench.double.deny(club, right)
    bench.later(days=1)
    await bench.tick()
    assert len(daily_posts(club)) == 2
    assert not has_walkthrough(bench, club)
    await bench.double.deny(club, 0)
    await bench.double.until(lambda: has_walkthrough(bench, club), "the walkthrough")


@pytest.mark.parametrize("right", [VIEW_CHANNEL, SEND_MESSAGES, ATTACH_FILES, READ_MESSAGE_HISTORY])
async def test_a_day_that_closes_while_a_right_is_missing_is_made_up_for_once_it_is_back(
    bench: Bench, club: Channel, right: int
) -> None:
    ada = bench.double.person("Ada", club)
    await bench.start()
    await bench.tick()
    await ada.command("start")
    await ada.command("hand-in", answer=EASY_SOLUTION)
    await bench.double.deny(club, right)
    bench.later(days=1)
    await bench.tick()
    await bench.double.deny(club, 0)

    def is_made_up_for() -> bool:
        posts = daily_posts(club)
        told = any("is closed. Results:" in show(each).text for each in club.messages.values())
        started = [starts_a_clock(each) for each in posts]
        return told and started == [False, True] and has_walkthrough(bench, club)

    await bench.double.until(is_made_up_for, "all that was to be done")
