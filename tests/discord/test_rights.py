"""What the bot may not do in a club's channel: kept, told to who leads, done once it may."""

from __future__ import annotations

import pytest

from tests.bot.club.stories import EASY_SOLUTION
from tests.discord.conftest import Bench, daily_posts
from tests.doubles.discord.people import Person, answer_of
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


def told_in_private(bench: Bench, person: Person) -> list[Shown]:
    return person.sees(bench.double.world.direct_channel(person.user))


async def test_a_leader_is_told_once_what_is_missing_what_waits_and_how_to_give_it(
    bench: Bench, club: Channel
) -> None:
    rowan = bench.double.person("Rowan", club, leads=True)
    owner = bench.double.world.direct_channel(bench.double.guild_of(club).owner)
    await bench.start()
    await rowan.command("club setup")
    await bench.double.deny(club, CREATE_PUBLIC_THREADS | ATTACH_FILES)
    for _ in range(3):
        bench.later(hours=2)
        await bench.tick()
    (told,) = told_in_private(bench, rowan)
    for said in ("Create Public Threads", "Attach Files", "Walkthroughs wait", "Permissions"):
        assert said in told.text
    assert not owner.messages, "somebody else leads"
    assert "Create Public Threads" in answer_of(await rowan.command("club setup")).text
    await bench.restart()
    await bench.tick()
    assert len(told_in_private(bench, rowan)) == 1
    await bench.double.deny(club, 0)
    await bench.tick()
    assert "Create Public Threads" not in answer_of(await rowan.command("club setup")).text
    await bench.double.deny(club, SEND_MESSAGES)
    await bench.tick()
    assert "Send Messages" in told_in_private(bench, rowan)[-1].text


async def test_where_nobody_has_led_yet_the_owner_is_told(bench: Bench, club: Channel) -> None:
    club.denied = VIEW_CHANNEL
    await bench.start()
    await bench.tick()
    owner = bench.double.world.direct_channel(bench.double.guild_of(club).owner)
    (told,) = owner.messages.values()
    assert "View Channel" in show(told).text


async def test_a_post_that_the_service_refuses_is_told_to_who_leads_once(
    bench: Bench, club: Channel
) -> None:
    rowan = bench.double.person("Rowan", club, leads=True)
    fault = bench.double.fault(
        f"/channels/{club.id}/messages", method="POST", status=400, code=50035, times=100
    )
    await bench.start()
    await rowan.command("club setup")
    for _ in range(2):
        bench.later(hours=2)
        await bench.tick()
    assert fault.struck == 2
    (told,) = told_in_private(bench, rowan)
    assert "refused the day's puzzle" in told.text


async def test_a_post_that_somebody_deleted_goes_up_anew_when_a_leader_asks(
    bench: Bench, club: Channel
) -> None:
    rowan = bench.double.person("Rowan", club, leads=True)
    await bench.start()
    await bench.tick()
    assert "already up" in answer_of(await rowan.command("club post-now")).text
    (post,) = daily_posts(club)
    del club.messages[post.id]
    assert "goes up now" in answer_of(await rowan.command("club post-now")).text
    await bench.double.until(lambda: len(daily_posts(club)) == 1, "the post")
    await bench.tick()
    assert "already up" in answer_of(await rowan.command("club post-now")).text
    bench.later(days=1)
    await bench.tick()
    assert [starts_a_clock(each) for each in daily_posts(club)] == [False, True]
    assert has_walkthrough(bench, club)


async def test_a_puzzle_that_is_not_up_is_never_called_up(bench: Bench, club: Channel) -> None:
    rowan = bench.double.person("Rowan", club, leads=True)
    bench.later(days=1, minutes=-30)
    club.denied = ATTACH_FILES
    await bench.start()
    for _ in range(2):
        asked = answer_of(await rowan.command("club post-now")).text
        assert "already up" not in asked
        assert "Attach Files" in asked
        await bench.tick()
    assert not daily_posts(club)
    await bench.double.deny(club, 0)
    await bench.double.until(lambda: len(daily_posts(club)) == 1, "the post")
    await bench.tick()
    asked = answer_of(await rowan.command("club post-now")).text
    assert "already up" in asked
