"""One queue for all that is asked of Discord: who goes first, how fast, and how often refused."""

from __future__ import annotations

import asyncio
import itertools
from collections import Counter
from collections.abc import AsyncIterator, Awaitable, Callable

import pytest

from bot.platforms.clubs import Clubs
from bot.platforms.discord.connection import Connection
from bot.platforms.discord.pace import KEPT_BACK, REFUSALS, REFUSALS_WITHIN, Pace, Rank
from bot.platforms.discord.room import DiscordRoom
from bot.platforms.discord.traffic import seconds_in
from bot.platforms.message import Button, Incoming, Message, RoomGoneError
from bot.platforms.sketch import CommandSketch
from tests.contract.discord_stage import WORDS
from tests.doubles.discord import TOKEN, DiscordDouble
from tests.doubles.discord.people import answer_of
from tests.doubles.discord.world import Channel, Interaction

ROOMS = 5


class Clock:
    """A clock by which waits shorter than `stands_from` seconds are over at once; for others it
    stands until it is moved."""

    def __init__(self, *, stands_from: float = 3600.0) -> None:
        self.at = 0.0
        self.stands_from = stands_from
        self._woken: set[asyncio.Event] = set()

    async def wait(self, event: asyncio.Event, seconds: float) -> None:
        if seconds >= self.stands_from:
            self._woken.add(event)
            await event.wait()
        else:
            await asyncio.sleep(0)
            self.at += seconds

    def move(self, seconds: float) -> None:
        self.at += seconds
        for event in self._woken:
            event.set()

    def pace(self, a_second: float = 40) -> Pace:
        return Pace(a_second, clock=lambda: self.at, wait=self.wait)


async def test_requests_keep_their_distance_also_after_a_busy_loop_came_round_late() -> None:
    clock, turns = Clock(), []
    pace = clock.pace()
    for number in range(5):
        clock.at += 2.0 if number == 2 else 0.0
        await pace.turn(Rank.POST)
        turns.append(clock.at)
    assert turns == pytest.approx([0.0, 0.025, 2.025, 2.05, 2.075])


async def test_a_post_asked_for_last_goes_before_mends_and_threads_of_other_clubs() -> None:
    clock, turns = Clock(), []
    pace = clock.pace()

    async def take(rank: Rank, number: int) -> None:
        await pace.turn(rank)
        turns.append((rank, number))

    asked = [(rank, number) for number in range(20) for rank in (Rank.THREAD, Rank.MEND)]
    waiting = [asyncio.create_task(take(*each)) for each in asked]
    await asyncio.gather(*waiting[1:6:2])
    given_up, before = waiting[10], len(turns)
    given_up.cancel()
    late = [(Rank.MEND, 99), (Rank.PRIVATE, 99), (Rank.POST, 98), (Rank.POST, 99)]
    waiting += [asyncio.create_task(take(*each)) for each in late]
    await asyncio.gather(*waiting, return_exceptions=True)
    asked.remove((Rank.THREAD, 5))
    after = [each for each in turns[before:] if each[0] in (Rank.POST, Rank.PRIVATE)]
    assert after == [(Rank.POST, 98), (Rank.POST, 99), (Rank.PRIVATE, 99)]
    assert turns.index((Rank.PRIVATE, 99)) <= before + 4
    assert sorted(turns) == sorted([*asked, *late])
    assert clock.at == pytest.approx((len(turns) - 1) / 40)


@pytest.mark.parametrize(
    ("header", "seconds"),
    [("1.5", 1.5), ("0", 0.0), ("-3", 0.0), ("nan", 0.0), ("", 0.0), ("soon", 0.0),
     ("Wed, 25 Nov 2026 07:28:00 GMT", 0.0), ("inf", REFUSALS_WITHIN), ("1e9", REFUSALS_WITHIN)],
)  # fmt: skip
def test_how_long_a_refusal_asks_to_hold_is_read_with_care(header: str, seconds: float) -> None:
    assert seconds_in(header) == seconds


async def test_the_more_are_beyond_the_limits_the_slower_it_asks() -> None:
    clock = Clock()
    pace = clock.pace()

    async def spread() -> float:
        await pace.turn(Rank.ANSWER)
        before = clock.at
        await pace.turn(Rank.ANSWER)
        return clock.at - before

    assert await spread() == pytest.approx(0.025)
    pace.refused(by_limit=False)
    assert await spread() == pytest.approx(0.025)
    for _ in range(REFUSALS // 2):
        pace.refused(by_limit=True)
    assert 0.045 < await spread() < 0.055
    pace.refused(by_limit=True, hold=3.0)
    assert await spread() >= 0.05
    assert clock.at >= 3.0
    clock.at += REFUSALS_WITHIN
    await spread()
    assert await spread() == pytest.approx(0.025)


@pytest.fixture
async def double() -> AsyncIterator[DiscordDouble]:
    made = DiscordDouble()
    await made.start()
    yield made
    await made.stop()


async def echo(act: Incoming) -> tuple[Message, ...]:
    return (Message(f"you said {act.text}"),)


Open = Callable[..., Awaitable[DiscordRoom]]


@pytest.fixture
async def open_room(double: DiscordDouble) -> AsyncIterator[Open]:
    opened: list[DiscordRoom] = []

    async def open_room(pace: Pace, *channels: Channel) -> DiscordRoom:
        room = DiscordRoom(
            Connection(TOKEN, double.api, double.gateway.url, {"guild_ready_timeout": 0.01}),
            Clubs([channel.id for channel in channels]),
            commands=[CommandSketch("help", "Explain the club.")],
            words=WORDS,
            now=double.now,
            pace=pace,
        )
        opened.append(room)
        await room.start(echo)
        return room

    yield open_room
    for room in opened:
        await room.stop()


def pressable(text: str) -> Message:
    """A message with a button, which goes out by one request."""
    return Message(text, buttons=(Button("Help", "help"),))


async def test_on_the_line_posts_go_first_then_results_then_private_lines_mends_and_walkthroughs(
    double: DiscordDouble, open_room: Open
) -> None:
    # A channel takes one message after the other, so results are for other clubs here.
    channels = [double.add_club(f"Hedgerow {number}") for number in range(2 * ROOMS)]
    playing, closing = channels[:ROOMS], channels[ROOMS:]
    ada = double.person("Ada", channels[0])
    clock = Clock()
    room = await open_room(clock.pace(), *channels)
    posted = {each.id: await room.post(each.id, pressable("one"), key="1") for each in channels}
    clock.stands_from, before = 0.0, len(double.rest.requests)
    clock.move(1.0)
    last = Message("step")
    held = [room.tell(channels[0].id, ada.user.id, pressable("psst"), key="2")]
    for own, other in zip(playing, closing, strict=True):
        held.append(room.post_thread(own.id, posted[own.id], "How it goes", (last, last), key="3"))
        held.append(room.edit(own.id, posted[own.id], Message("one, closed"), key="1"))
        held.append(room.post(other.id, pressable("results"), key="4", may_wait=True))
        held.append(room.post(own.id, pressable("two"), key="5"))
    tasks = [asyncio.create_task(each) for each in held]
    await asyncio.sleep(0)
    await double.until(lambda: len(double.rest.requests) > before, "the first")
    written = await ada.write(f"<@{double.world.bot.id}> help")
    # What is pressed is answered whatever waits, and shows that what was written was heard.
    pressed = await ada.command("help")
    assert answer_of(pressed).text == "you said help"
    all_told = asyncio.gather(*tasks)
    while not all_told.done():
        # One after the other, so that what is asked first arrives first.
        there = len(double.rest.requests)
        clock.move(1.0)
        await double.until(lambda: all_told.done() or len(double.rest.requests) > there)  # noqa: B023
    assert len(ada.direct()) == 2, f"no answer to {written.id}"
    asked = [
        (method, path)
        for method, path, _ in double.rest.requests[before + 1 :]
        if not path.startswith(("/interactions/", "/webhooks/"))
    ]

    def places(*sought: tuple[str, str]) -> list[int]:
        return [number for number, each in enumerate(asked) if each in sought]

    posts = places(*[("POST", f"/channels/{own.id}/messages") for own in playing])
    results = places(*[("POST", f"/channels/{own.id}/messages") for own in closing])
    private = places(("POST", "/users/@me/channels"))
    mends = places(*[
        ("PATCH", f"/channels/{own.id}/messages/{posted[own.id]}") for own in playing
    ])  # fmt: skip
    threads = [number for number, (_, path) in enumerate(asked) if path.endswith("/threads")]
    # The first had its turn before anything else was asked for; an answer goes before all others.
    order = [posts, results, private[1:], mends, threads]
    assert [len(each) for each in order] == [ROOMS - 1, ROOMS, 1, ROOMS, ROOMS]
    assert private[0] < posts[0]
    for earlier, later in itertools.pairwise(order):
        assert max(earlier) < min(later), asked


def refusals(double: DiscordDouble) -> Counter[int]:
    return Counter(
        status
        for _, path, status in double.rest.requests
        if status in (401, 403, 429) and not path.startswith("/interactions/")
    )


@pytest.mark.parametrize("status", [403, 429])
async def test_whatever_is_refused_it_is_under_a_hundred_in_ten_minutes_and_people_are_answered(
    double: DiscordDouble, open_room: Open, status: int
) -> None:
    channel = double.add_club()
    clock = Clock(stands_from=60.0)
    room = await open_room(clock.pace(), channel)
    fault = double.fault(
        rf"/channels/{channel.id}/messages", status=status, times=10**6, retry_after=0.0
    )
    asked = [
        asyncio.create_task(room.post(channel.id, Message("up"), key=str(number)))
        for number in range(2 * REFUSALS)
    ]
    allowed = REFUSALS - KEPT_BACK * Rank.POST
    await double.until(lambda: fault.struck >= allowed, "all that the budget allows")
    for _ in range(3):
        clock.move(10.0)
        ada = double.person("Ada", channel)
        answered: Interaction = await ada.command("help")
        assert answer_of(answered).text == "you said help"
    assert refusals(double) == {status: allowed}
    direct = asyncio.create_task(room.tell(channel.id, ada.user.id, pressable("psst"), key="t"))
    await ada.write(f"<@{double.world.bot.id}> help")
    await double.until(lambda: bool(ada.direct()), "an answer")
    assert not direct.done()
    fault.times = 0
    clock.move(REFUSALS_WITHIN)
    await direct
    done = await asyncio.gather(*asked, return_exceptions=True)
    assert sum(isinstance(each, str) for each in done) >= REFUSALS
    if status == 403:
        assert {type(each) for each in done} == {str, RoomGoneError}
