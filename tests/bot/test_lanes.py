"""The outbox in lanes: what one receiver or one kind of notice is held up by holds up nothing else.

Each is a story of the due loop on SQLite, with a room that does what the test tells it.
"""

from __future__ import annotations

import asyncio
import random
from collections.abc import AsyncIterator
from datetime import timedelta
from pathlib import Path

import pytest

from bot.club.ports import Notice, OpenDay, QueueNotice
from bot.club.state import Club
from bot.platforms.message import RoomError, RoomGoneError, RoomUnreachableError
from bot.schedule import Schedule
from bot.sending import LONGEST_BACK_OFF, REST
from bot.steady_clock import SteadyClock
from bot.storage import SqliteStore, open_store
from tests.bot.clockwork import StandingClock
from tests.bot.posting import NothingDue, Room, at_ease, raising, running
from tests.bot.storage.samples import NOON, day_number, new_club
from tests.patience import PATIENCE

POST, RESULTS, SOLVED = "day:1:2026-11-24", "results:1:2026-11-23", "solved:1:2026-11-23:x"


@pytest.fixture
async def store(tmp_path: Path) -> AsyncIterator[SqliteStore]:
    async with open_store(tmp_path / "club.db", now=lambda: NOON) as opened:
        yield opened


@pytest.fixture
def room() -> Room:
    return Room()


@pytest.fixture
def clock() -> StandingClock:
    return StandingClock(NOON)


@pytest.fixture
def schedule(store: SqliteStore, room: Room, clock: StandingClock) -> Schedule:
    return Schedule(
        NothingDue(),
        store,
        send=room.send,
        find=room.find,
        clock=SteadyClock(clock.now),
        wait=clock.wait,
    )


async def say(store: SqliteStore, club: Club, *keys: str) -> None:
    await store.save([QueueNotice(club.id, key, "room", b"words") for key in keys])


async def tell(store: SqliteStore, club: Club, *members: str) -> None:
    await store.save(
        [
            QueueNotice(club.id, f"ruling:{name}", "member", b"ruled", user_id=name)
            for name in members
        ]
    )


async def mend_posts(
    schedule: Schedule, store: SqliteStore, room: Room, club: Club, count: int
) -> list[str]:
    """Post so many lines and queue a mend of each; return their keys and forget the posts."""
    keys = [f"solved:{number}" for number in range(count)]
    await say(store, club, *keys)
    await schedule.serve(club)
    await store.save([QueueNotice(club.id, key, "mend", b"nobody") for key in keys])
    room.posts.clear()
    return keys


# --- one receiver ---


async def test_a_member_out_of_reach_holds_back_neither_the_room_nor_another_member(
    schedule: Schedule, store: SqliteStore, room: Room, clock: StandingClock
) -> None:
    club = await new_club(store)
    await tell(store, club, "ada")
    room.before = raising(RoomUnreachableError("their server is gone"), "ruling:ada")
    for hour in range(10):
        await schedule.serve(club)
        await say(store, club, f"results:{hour}", f"day:{hour}")
        await tell(store, club, f"ben {hour}")
        await schedule.serve(club)
        assert {f"results:{hour}", f"day:{hour}", f"ruling:ben {hour}"} <= set(room.keys())
        clock.at += timedelta(hours=1)
    room.before = at_ease
    await schedule.serve(club)
    assert room.keys().count("ruling:ada") == 1


async def test_a_member_out_of_reach_is_tried_less_and_less_often(
    schedule: Schedule, store: SqliteStore, room: Room, clock: StandingClock
) -> None:
    club = await new_club(store)
    await tell(store, club, "ada")
    tries = 0

    def count(notice: Notice) -> None:
        nonlocal tries
        tries += 1
        raise RoomUnreachableError("their server is gone")

    room.before = count
    for _ in range(12 * 60):
        await schedule.serve(club)
        clock.at += timedelta(minutes=1)
    # Doubling from a second to the longest wait, then once each time that it is over.
    assert tries < 100, tries


async def test_a_room_that_does_not_take_posts_keeps_no_private_line_back(
    schedule: Schedule, store: SqliteStore, room: Room
) -> None:
    club = await new_club(store)
    await say(store, club, POST)
    await tell(store, club, "ada")
    room.before = raising(RoomUnreachableError("limited"), POST)
    await schedule.serve(club)
    assert room.keys() == ["ruling:ada"]


async def test_what_waited_in_an_outage_is_tried_at_once_when_something_gets_through(
    schedule: Schedule, store: SqliteStore, room: Room, clock: StandingClock
) -> None:
    club = await new_club(store)
    await say(store, club, RESULTS)
    await tell(store, club, "ada")
    room.before = raising(RoomUnreachableError("down"), RESULTS, "ruling:ada")
    for _ in range(2 * 60):
        await schedule.serve(club)
        clock.at += LONGEST_BACK_OFF
    assert room.keys() == []
    room.before = at_ease
    await schedule.serve(club)
    assert sorted(room.keys()) == [RESULTS, "ruling:ada"]


async def test_a_private_line_that_hangs_delays_no_post_that_comes_later(
    schedule: Schedule, store: SqliteStore, room: Room
) -> None:
    club = await new_club(store)
    hanging, posted = asyncio.Event(), asyncio.Event()

    async def hold(notice: Notice) -> None:
        if notice.audience == "member":
            hanging.set()
            await asyncio.Event().wait()

    room.hold, room.after = hold, lambda notice: posted.set()
    await tell(store, club, "ada")
    async with running(schedule):
        await asyncio.wait_for(hanging.wait(), PATIENCE)
        await say(store, club, POST)
        schedule.wake(club.id)
        await asyncio.wait_for(posted.wait(), PATIENCE)
    assert room.keys() == [POST]
    # The line that hung was cancelled with the loop: it waits for the next start.
    assert [notice.key for notice in await store.load_notices()][:1] == ["ruling:ada"]


async def test_the_loop_ends_only_when_all_that_it_was_sending_has_ended(
    schedule: Schedule, store: SqliteStore, room: Room
) -> None:
    club = await new_club(store)
    begun = asyncio.Event()
    ended: list[str] = []

    async def hold(notice: Notice) -> None:
        begun.set()
        try:
            await asyncio.Event().wait()
        finally:
            for _ in range(50):  # as a library does that takes its leave of a service
                await asyncio.sleep(0)
            ended.append(notice.key)

    room.hold = hold
    await say(store, club, POST)
    async with running(schedule):
        await asyncio.wait_for(begun.wait(), PATIENCE)
    assert ended == [POST]


async def test_a_pass_returns_when_what_the_loop_is_sending_is_out_too(
    schedule: Schedule, store: SqliteStore, room: Room
) -> None:
    club = await new_club(store)
    begun, go_on = asyncio.Event(), asyncio.Event()

    async def hold(notice: Notice) -> None:
        begun.set()
        await go_on.wait()

    room.hold = hold
    await say(store, club, POST, RESULTS)
    async with running(schedule):
        await asyncio.wait_for(begun.wait(), PATIENCE)
        asked = asyncio.create_task(schedule.serve(club))
        go_on.set()
        await asyncio.wait_for(asked, PATIENCE)
        assert sorted(room.keys()) == sorted([POST, RESULTS])


# --- one kind ---


async def test_sixty_mends_let_a_post_go_first(
    schedule: Schedule, store: SqliteStore, room: Room
) -> None:
    club = await new_club(store)
    keys = await mend_posts(schedule, store, room, club, 60)
    await say(store, club, RESULTS, SOLVED, POST)
    await schedule.serve(club)
    assert room.keys()[0] == POST
    assert sorted(room.keys()) == sorted([POST, SOLVED, RESULTS, *keys])
    assert [key for _, key, _ in room.posts if key in keys] == keys


async def test_a_post_that_comes_while_sixty_mends_are_under_way_waits_for_none_of_them(
    schedule: Schedule, store: SqliteStore, room: Room, clock: StandingClock
) -> None:
    club = await new_club(store)
    begun, posted, go_on = asyncio.Event(), asyncio.Event(), asyncio.Event()

    async def hold(notice: Notice) -> None:
        if notice.audience == "mend":
            begun.set()
            await go_on.wait()

    keys = await mend_posts(schedule, store, room, club, 60)
    room.hold, room.after = hold, lambda notice: posted.set()
    async with running(schedule):
        await asyncio.wait_for(begun.wait(), PATIENCE)
        await say(store, club, POST)
        schedule.wake(club.id)
        await asyncio.wait_for(posted.wait(), PATIENCE)
        assert room.keys() == [POST]
        go_on.set()
        while len(room.posts) < 61:
            await clock.next_sleeper()
    assert room.keys()[1:] == keys


async def test_mends_that_the_service_does_not_take_now_hold_back_nothing_else(
    schedule: Schedule, store: SqliteStore, room: Room
) -> None:
    club = await new_club(store)
    keys = await mend_posts(schedule, store, room, club, 60)
    await say(store, club, POST, RESULTS)
    tried = []

    def limit(notice: Notice) -> None:
        if notice.audience == "mend":
            tried.append(notice.key)
            raise RoomUnreachableError("limited")

    room.before = limit
    await schedule.serve(club)
    assert room.keys() == [POST, RESULTS]
    # The first of them tells that none gets through now.
    assert tried == keys[:1]


@pytest.mark.parametrize("key", [POST, RESULTS, "notice"])
async def test_two_hundred_resting_notices_starve_nobody(
    schedule: Schedule, store: SqliteStore, room: Room, clock: StandingClock, key: str
) -> None:
    club = await new_club(store)
    refused = [f"{key}{number}" for number in range(200)]
    await say(store, club, *refused)
    room.before = raising(RoomError("too long"), *refused)
    await schedule.serve(club)
    assert room.keys() == []
    await say(store, club, key)
    await tell(store, club, "ada")
    await schedule.serve(club)
    assert room.keys() == [key, "ruling:ada"]
    room.before = at_ease
    clock.at += REST
    await schedule.serve(club)
    assert room.keys()[2:] == refused


async def test_what_rests_goes_out_at_once_when_the_room_is_back(
    schedule: Schedule, store: SqliteStore, room: Room
) -> None:
    club = await new_club(store)
    await say(store, club, RESULTS)
    room.before = raising(RoomError("may not write pictures"), RESULTS)
    await schedule.serve(club)
    room.before = at_ease
    await schedule.serve(club)
    assert room.keys() == []
    schedule.come_back(club.id)
    await schedule.serve(club)
    assert room.keys() == [RESULTS]


# --- what a closed room may not lose ---


@pytest.mark.parametrize("audience", ["mend", "thread", "member"])
async def test_a_room_closed_to_us_loses_no_mend_thread_or_private_line(
    schedule: Schedule, store: SqliteStore, room: Room, clock: StandingClock, audience: str
) -> None:
    club = await new_club(store)
    await say(store, club, SOLVED)
    await schedule.serve(club)
    if audience == "mend":
        await store.save([QueueNotice(club.id, SOLVED, "mend", b"a former member")])
    else:
        await store.save([QueueNotice(club.id, "more", audience, b"words", user_id="ada")])
    room.closed = RoomGoneError("no access")
    await schedule.serve(club)
    clock.at += REST
    await schedule.serve(club)
    room.closed = None
    clock.at += REST
    await schedule.serve(club)
    assert room.keys() == [SOLVED, SOLVED if audience == "mend" else "more"]


# --- the order that matters ---


async def test_whatever_fails_the_order_inside_a_lane_and_under_a_post_stays(
    schedule: Schedule, store: SqliteStore, room: Room, clock: StandingClock
) -> None:
    club = await new_club(store)
    source = random.Random(20261124)
    sent: list[Notice] = []

    def trouble(notice: Notice) -> None:
        if source.random() < 0.4:
            raise RoomUnreachableError("down")
        sent.append(notice)

    room.before = trouble
    for number in range(6):
        day = day_number(club, number)
        post = QueueNotice(club.id, f"day:{club.id}:{day.date}", "room", b"up")
        await store.save([OpenDay(day), post])
        while post.key not in {notice.key for notice in sent}:
            await schedule.serve(club)
            clock.at += timedelta(seconds=20)
        kept = await store.load_day(club.id, day.date)
        assert kept is not None
        results = f"results:{number}"
        await store.save(
            [
                QueueNotice(club.id, post.key, "mend", b"over"),
                QueueNotice(club.id, results, "room", b"first"),
                QueueNotice(club.id, f"walk:{number}", "thread", b"steps", day_id=kept.id),
            ]
        )
        await store.save([QueueNotice(club.id, results, "mend", b"better")])
    for _ in range(60):
        await schedule.serve(club)
        clock.at += LONGEST_BACK_OFF
    assert await store.load_notices() == ()
    shown = [
        notice.key for notice in sent if notice.key.startswith("results") and not notice.post_ref
    ]
    assert shown == [f"results:{number}" for number in range(6)]
    walks = [notice for notice in sent if notice.audience == "thread"]
    assert [notice.key for notice in walks] == [f"walk:{number}" for number in range(6)]
    assert all(notice.post_ref for notice in walks)
    for place, notice in enumerate(sent):
        if notice.audience == "mend":
            assert notice.key in [earlier.key for earlier in sent[:place]]


# --- what changes all day ---


async def test_what_changes_all_day_is_mended_once_a_minute_with_what_holds_then(
    schedule: Schedule, store: SqliteStore, room: Room, clock: StandingClock
) -> None:
    club, key = await new_club(store), "solvers:1:2026-11-24"
    sent = []
    for second in range(0, 300, 5):
        clock.at = NOON + timedelta(seconds=second)
        await store.save(
            [QueueNotice(club.id, key, "room", b""), QueueNotice(club.id, key, "mend", b"")]
        )
        before = len(room.posts)
        await schedule.serve(club)
        sent += [second] * (len(room.posts) - before)
    assert sent == [0, 60, 120, 180, 240]
