"""What one member or one kind of post is held up by holds up nothing else: on the real client."""

from __future__ import annotations

from tests.bot.club.stories import EASY_SOLUTION, crook_puzzle, easy_puzzle
from tests.discord.conftest import Bench, daily_posts
from tests.doubles.discord.people import Person
from tests.doubles.discord.shown import Shown
from tests.doubles.discord.world import Channel

OFTEN = 1_000_000
"""A fault that lasts until the test ends it."""


async def flagged_club(bench: Bench) -> tuple[Channel, Person, Person]:
    """Return a club's channel with its first post, Rowan who leads it by the config, and Ada."""
    channel = bench.double.add_club()
    rowan, ada = (bench.double.person(name, channel) for name in ("Rowan", "Ada"))
    bench.add_club(channel, quick=60, leaders=(rowan.user.id,))
    await bench.queue(channel, easy_puzzle(), crook_puzzle())
    await bench.start()
    await bench.tick()
    return channel, rowan, ada


def is_told_the_results(ada: Person, channel: Channel) -> bool:
    return any("is closed. Results:" in shown.text for shown in ada.sees(channel))


def starts_a_clock(post: Shown) -> bool:
    return any(command.startswith("start") for command in post.commands)


async def test_a_leader_whom_no_line_reaches_holds_back_neither_results_nor_the_next_puzzle(
    bench: Bench,
) -> None:
    channel, rowan, ada = await flagged_club(bench)
    await ben_hands_in_slowly(bench, channel)
    fault = bench.double.fault("/users/@me/channels", status=503, times=OFTEN)
    await ada.command("start")
    await ada.command("hand-in", answer=EASY_SOLUTION)
    for hours in (0, 10, 14):
        bench.later(hours=hours)
        await bench.tick()
    assert fault.struck >= 3
    assert len(daily_posts(channel)) == 2
    assert is_told_the_results(ada, channel)
    fault.times = 0
    bench.later(minutes=11)
    await bench.tick()
    (told,) = rowan.sees(bench.double.world.direct_channel(rowan.user))
    assert "Ada" in told.text


async def ben_hands_in_slowly(bench: Bench, channel: Channel) -> None:
    ben = bench.double.person("Ben", channel)
    await ben.command("start")
    bench.later(hours=1)
    await ben.command("hand-in", answer=EASY_SOLUTION)


async def test_mends_that_the_service_does_not_take_hold_back_neither_results_nor_the_next_puzzle(
    bench: Bench,
) -> None:
    channel, _, ada = await flagged_club(bench)
    await ben_hands_in_slowly(bench, channel)
    fault = bench.double.fault(
        r"/channels/\d+/messages/\d+", method="PATCH", status=503, times=OFTEN
    )
    bench.later(hours=23)
    await bench.tick()
    assert fault.struck
    first, _ = daily_posts(channel)
    assert is_told_the_results(ada, channel)
    assert starts_a_clock(first)
    fault.times = 0
    bench.later(minutes=2)
    await bench.tick()
    first, second = daily_posts(channel)
    assert (starts_a_clock(first), starts_a_clock(second)) == (False, True)
