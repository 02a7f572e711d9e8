"""The due loop: what it sends, when it tries again, and that nothing ends it or comes twice."""

from __future__ import annotations

import asyncio
import logging
from collections.abc import AsyncIterator, Callable
from datetime import timedelta
from pathlib import Path

import pytest

from bot.club.ports import MarkClosed, Notice, OpenDay, QueueNotice
from bot.club.state import Club
from bot.platforms.message import RoomError, RoomGoneError, RoomUnreachableError
from bot.schedule import LONGEST_WAIT, Schedule, wait_for
from bot.sending import LONGEST_BACK_OFF, REST
from bot.steady_clock import SteadyClock
from bot.storage import SqliteStore, open_store
from bot.storage.errors import SaveFailedError
from tests.bot.clockwork import StandingClock
from tests.bot.posting import NothingDue, Room, at_ease, crash, raising, running
from tests.bot.storage.samples import NOON, day_number, new_club
from tests.patience import PATIENCE


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
def service() -> NothingDue:
    return NothingDue()


@pytest.fixture
def schedule(store: SqliteStore, room: Room, clock: StandingClock, service: NothingDue) -> Schedule:
    return start_anew(store, room, clock, service)


def start_anew(
    store: SqliteStore, room: Room, clock: StandingClock, service: NothingDue
) -> Schedule:
    return Schedule(
        service,
        store,
        send=room.send,
        find=room.find,
        clock=SteadyClock(clock.now),
        wait=clock.wait,
    )


async def queue(store: SqliteStore, club: Club, *keys: str, audience: str = "room") -> None:
    await store.save([QueueNotice(club.id, key, audience, b"words", user_id="ada") for key in keys])


# --- sending ---


async def test_notices_go_out_in_order_and_once(
    schedule: Schedule, store: SqliteStore, room: Room
) -> None:
    club = await new_club(store)
    await queue(store, club, *"abc")
    await schedule.serve(club)
    await schedule.serve(club)
    assert room.keys() == ["a", "b", "c"]
    assert room.looked_for == []
    assert await store.load_notices() == ()


async def test_more_notices_than_fit_one_load_go_out_in_one_pass(
    schedule: Schedule, store: SqliteStore, room: Room
) -> None:
    club = await new_club(store)
    keys = [f"{number:03d}" for number in range(210)]
    await queue(store, club, *keys)
    await schedule.serve(club)
    assert room.keys() == keys


async def test_a_notice_mended_while_it_is_on_its_way_is_mended_in_the_room(
    schedule: Schedule, store: SqliteStore, room: Room
) -> None:
    club = await new_club(store)
    await queue(store, club, "results")
    (waiting,) = await store.load_notices()
    attempt = await store.begin_attempt(waiting.id, NOON)
    assert attempt is not None
    await store.save([QueueNotice(club.id, "results", "mend", b"better words")])
    await store.mark_sent(waiting.id, "post 7", NOON)
    (mend,) = await store.load_notices()
    assert (mend.audience, mend.reply, mend.post_ref) == ("mend", b"better words", "post 7")
    await schedule.serve(club)
    assert room.posts == [("maple", "results", b"better words")]
    assert await store.load_notices() == ()


# --- a platform that does not take it ---


async def test_an_unreachable_room_is_tried_again_after_growing_waits_and_loses_nothing(
    schedule: Schedule, store: SqliteStore, room: Room, clock: StandingClock
) -> None:
    club = await new_club(store)
    await queue(store, club, "a", "b")
    room.before = raising(RoomUnreachableError("down"), "a")
    waits = []
    for _ in range(8):
        again_at = await schedule.serve(club)
        waits.append((again_at - clock.at).total_seconds())
        tending_until = schedule.resumes_at(club.id)
        assert tending_until is not None
        clock.at = tending_until
    assert waits == [1, 2, 4, 8, 16, 30, 30, 30]
    assert room.keys() == []
    room.before = at_ease
    await schedule.serve(club)
    assert room.keys() == ["a", "b"]


async def test_waits_between_tries_end_at_a_minute_and_start_anew_after_a_success(
    schedule: Schedule, store: SqliteStore, room: Room, clock: StandingClock
) -> None:
    club = await new_club(store)
    await queue(store, club, "a")
    room.before = raising(RoomUnreachableError("down"), "a", "b")
    pauses = []
    for _ in range(9):
        await schedule.serve(club)
        until = schedule.resumes_at(club.id)
        assert until is not None
        pauses.append(until - clock.at)
        clock.at = until
    assert [pause.total_seconds() for pause in pauses] == [1, 2, 4, 8, 16, 32, 60, 60, 60]
    assert pauses[-1] == LONGEST_BACK_OFF
    room.before = at_ease
    await schedule.serve(club)
    assert room.keys() == ["a"]
    await queue(store, club, "b")
    room.before = raising(RoomUnreachableError("down"), "b")
    await schedule.serve(club)
    assert schedule.resumes_at(club.id) == clock.at + timedelta(seconds=1)


async def test_an_early_wake_does_not_cut_the_wait_for_an_unreachable_room_short(
    schedule: Schedule, store: SqliteStore, room: Room
) -> None:
    club = await new_club(store)
    await queue(store, club, "a")
    tries = []

    def count(notice: Notice) -> None:
        tries.append(notice.key)
        raise RoomUnreachableError("down")

    room.before = count
    for _ in range(3):
        await schedule.serve(club)
    assert tries == ["a"]


async def test_a_room_that_takes_too_long_counts_as_out_of_reach(
    schedule: Schedule, store: SqliteStore, room: Room, clock: StandingClock
) -> None:
    club = await new_club(store)
    await queue(store, club, "a")
    room.before = raising(TimeoutError(), "a")
    await schedule.serve(club)
    assert schedule.resumes_at(club.id) == clock.at + timedelta(seconds=1)
    assert [notice.key for notice in await store.load_notices()] == ["a"]


async def test_a_post_that_hangs_is_broken_off_and_tried_again(
    schedule: Schedule, store: SqliteStore, room: Room, clock: StandingClock,
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    club = await new_club(store)
    await queue(store, club, "a")

    async def hang(notice: Notice) -> None:
        await asyncio.Event().wait()

    # However short, also where it runs out before the post was begun.
    monkeypatch.setattr("bot.sending.SEND_LIMIT_SECONDS", 0.05)
    room.hold = hang
    async with asyncio.timeout(PATIENCE):
        await schedule.serve(club)
    assert schedule.resumes_at(club.id) == clock.at + timedelta(seconds=1)
    assert [notice.key for notice in await store.load_notices()] == ["a"]


async def test_a_post_that_the_platform_refuses_rests_and_the_others_go_out(
    schedule: Schedule, store: SqliteStore, room: Room, clock: StandingClock
) -> None:
    club = await new_club(store)
    await queue(store, club, "a", "b")
    room.before = raising(RoomError("too long"), "a")
    await schedule.serve(club)
    await schedule.serve(club)
    assert room.keys() == ["b"]
    room.before = at_ease
    clock.at += REST
    await schedule.serve(club)
    assert room.keys() == ["b", "a"]


async def test_a_member_who_cannot_be_reached_any_more_is_passed_over_with_a_log_line(
    schedule: Schedule, store: SqliteStore, room: Room, caplog: pytest.LogCaptureFixture
) -> None:
    club = await new_club(store)
    await queue(store, club, "to a member", audience="member")
    await queue(store, club, "to all")
    room.before = raising(RoomGoneError("left"), "to a member")
    with caplog.at_level(logging.WARNING):
        await schedule.serve(club)
    assert room.keys() == ["to all"]
    assert await store.load_notices() == ()
    assert "to a member" in caplog.text


async def test_a_room_that_is_gone_rests_for_an_hour_and_is_logged_once(
    schedule: Schedule,
    store: SqliteStore,
    room: Room,
    clock: StandingClock,
    caplog: pytest.LogCaptureFixture,
) -> None:
    club = await new_club(store)
    await queue(store, club, "a", "b")
    room.before = raising(RoomGoneError("no such room"), "a", "b")
    with caplog.at_level(logging.WARNING):
        for _ in range(3):
            await schedule.serve(club)
            clock.at += timedelta(hours=1)
    assert [record.getMessage() for record in caplog.records] == [
        f"the room of club {club.id} is gone: no such room"
    ]
    room.before = at_ease
    await schedule.serve(club)
    assert room.keys() == ["a", "b"]
    # It was back: that it is gone again is news.
    caplog.clear()
    await queue(store, club, "c")
    room.before = raising(RoomGoneError("closed"), "c")
    with caplog.at_level(logging.WARNING):
        await schedule.serve(club)
    assert [record.getMessage() for record in caplog.records] == [
        f"the room of club {club.id} is gone: closed"
    ]


# --- crashes and errors ---


async def test_after_a_crash_between_sending_and_marking_the_post_is_found_not_sent_again(
    schedule: Schedule, store: SqliteStore, room: Room, clock: StandingClock, service: NothingDue
) -> None:
    club = await new_club(store)
    await queue(store, club, "a")

    room.after = crash
    with pytest.raises(asyncio.CancelledError):
        await schedule.serve(club)
    assert room.keys() == ["a"]
    room.after = at_ease
    await start_anew(store, room, clock, service).serve(club)
    assert room.looked_for == ["a"]
    assert room.keys() == ["a"]
    assert await store.load_notices() == ()


async def test_a_post_found_after_a_crash_is_mended_where_its_words_changed_meanwhile(
    schedule: Schedule, store: SqliteStore, room: Room, clock: StandingClock, service: NothingDue
) -> None:
    club = await new_club(store)
    await queue(store, club, "a")

    def die(notice: Notice) -> None:
        raise asyncio.CancelledError

    room.after = die
    with pytest.raises(asyncio.CancelledError):
        await schedule.serve(club)
    room.after = at_ease
    await store.save([QueueNotice(club.id, "a", "mend", b"taken back")])
    schedule = start_anew(store, room, clock, service)
    await schedule.serve(club)
    await schedule.serve(club)
    # The room's own record: what went out before the crash, then what took its place.
    assert room.posts == [("maple", "a", b"words"), ("maple", "a", b"taken back")]
    assert await store.load_notices() == ()


async def test_after_a_crash_before_sending_the_notice_is_looked_for_and_then_sent(
    schedule: Schedule, store: SqliteStore, room: Room, clock: StandingClock, service: NothingDue
) -> None:
    club = await new_club(store)
    await queue(store, club, "a")

    room.before = crash
    with pytest.raises(asyncio.CancelledError):
        await schedule.serve(club)
    room.before = at_ease
    await start_anew(store, room, clock, service).serve(club)
    assert room.looked_for == ["a"]
    assert room.keys() == ["a"]


async def test_a_notice_mended_after_a_crash_that_it_had_survived_goes_out_once_and_is_mended(
    schedule: Schedule, store: SqliteStore, room: Room, clock: StandingClock, service: NothingDue
) -> None:
    club = await new_club(store)
    await queue(store, club, "results")
    sent: list[tuple[str, bytes]] = []
    room.before = lambda notice: sent.append((notice.audience, notice.reply))

    room.after = crash
    with pytest.raises(asyncio.CancelledError):
        await schedule.serve(club)
    room.after = at_ease
    await store.save([QueueNotice(club.id, "results", "mend", b"better words")])
    anew = start_anew(store, room, clock, service)
    await anew.serve(club)
    await anew.serve(club)
    assert sent == [("room", b"words"), ("mend", b"better words")]
    assert room.looked_for == ["results"]


@pytest.mark.parametrize("is_out", [False, True])
async def test_a_puzzle_that_could_not_go_up_before_its_day_closed_is_only_looked_for(
    schedule: Schedule, store: SqliteStore, room: Room, is_out: bool
) -> None:
    club = await new_club(store)
    day = day_number(club, 0)
    key = f"day:{club.id}:{day.date}"
    await store.save([OpenDay(day), QueueNotice(club.id, key, "room", b"words")])
    (waiting,) = await store.load_notices()
    await store.begin_attempt(waiting.id, NOON)
    if is_out:
        await room.send(waiting)
    (kept,) = await store.load_days(club.id)
    await store.save([MarkClosed(kept.id)])
    await schedule.serve(club)
    assert room.keys() == [key] * is_out
    assert await store.load_notices() == ()
    (kept,) = await store.load_days(club.id)
    assert kept.post_ref == ("post 1" if is_out else None)


@pytest.mark.expects_error_log
async def test_an_error_in_what_is_due_does_not_hold_up_the_outbox(
    schedule: Schedule, store: SqliteStore, room: Room, service: NothingDue, clock: StandingClock
) -> None:
    club = await new_club(store)
    await queue(store, club, "a")
    service.problem = ValueError("a fault of ours")
    assert await schedule.serve(club) == clock.at + LONGEST_WAIT
    assert room.keys() == ["a"]


@pytest.mark.expects_error_log
async def test_a_notice_that_cannot_be_made_into_words_rests_and_the_others_go_out(
    schedule: Schedule, store: SqliteStore, room: Room, clock: StandingClock
) -> None:
    club = await new_club(store)
    await queue(store, club, "a", "bad", "c")
    room.before = raising(KeyError("no words"), "bad")
    await schedule.serve(club)
    assert room.keys() == ["a", "c"]
    room.before = at_ease
    await schedule.serve(club)
    assert room.keys() == ["a", "c"]
    clock.at += REST
    await schedule.serve(club)
    assert room.keys() == ["a", "c", "bad"]


# --- the loops ---


async def test_a_slow_club_delays_no_other(
    store: SqliteStore, room: Room, clock: StandingClock, service: NothingDue
) -> None:
    slow, quick = await new_club(store, "slow"), await new_club(store, "quick")
    await queue(store, slow, "a")
    await queue(store, quick, "b")
    never, sent = asyncio.Event(), asyncio.Event()

    async def send(notice: Notice) -> str:
        if notice.club.id == slow.id:
            await never.wait()
        reference = await room.send(notice)
        sent.set()
        return reference

    schedule = Schedule(
        service, store, send=send, find=room.find, clock=SteadyClock(clock.now), wait=clock.wait
    )
    loop = asyncio.create_task(schedule.run())
    await asyncio.wait_for(sent.wait(), PATIENCE)
    assert room.keys("quick") == ["b"]
    assert room.keys("slow") == []
    await stop(loop)


@pytest.mark.expects_error_log
async def test_clubs_that_cannot_be_loaded_now_are_looked_for_again(
    schedule: Schedule, store: SqliteStore, room: Room, clock: StandingClock,
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    club = await new_club(store)
    await queue(store, club, "a")
    sent = asyncio.Event()
    room.after = lambda notice: sent.set()

    async def fail() -> tuple[Club, ...]:
        raise SaveFailedError("SQLITE_IOERR", "disk")

    with monkeypatch.context() as patched:
        patched.setattr(store, "load_clubs", fail)
        async with running(schedule):
            await asyncio.wait_for(clock.asleep(1), PATIENCE)
            assert room.keys() == []
            patched.undo()
            clock.move(LONGEST_WAIT)
            await asyncio.wait_for(sent.wait(), PATIENCE)
    assert room.keys() == ["a"]


async def test_a_wake_sends_at_once_and_finds_new_clubs(
    schedule: Schedule, store: SqliteStore, room: Room, clock: StandingClock
) -> None:
    club = await new_club(store)
    loop = asyncio.create_task(schedule.run())
    await clock.asleep(2)
    await queue(store, club, "a")
    schedule.wake(club.id)
    await asyncio.wait_for(_until(lambda: room.keys() == ["a"], clock), PATIENCE)
    other = await new_club(store, "elm")
    await queue(store, other, "b")
    schedule.wake()
    await clock.asleep(3)
    await asyncio.wait_for(_until(lambda: room.keys("elm") == ["b"], clock), PATIENCE)
    await stop(loop)


async def test_a_club_whose_room_is_closed_rests_and_goes_on_when_it_is_back(
    schedule: Schedule, store: SqliteStore, room: Room, service: NothingDue,
    caplog: pytest.LogCaptureFixture,
) -> None:  # fmt: skip
    club = await new_club(store)
    await queue(store, club, "a")
    for _ in range(2):
        schedule.rest(club.id)
        await schedule.serve(club)
    assert (room.keys(), service.asked) == ([], [])
    assert caplog.text.count("its room is closed to us") == 1
    schedule.come_back(club.id)
    await schedule.serve(club)
    assert room.keys() == ["a"]


async def test_a_real_wait_ends_when_woken_and_else_when_its_time_is_up() -> None:
    woken = asyncio.Event()
    long, short = (asyncio.create_task(wait_for(woken, span)) for span in (2 * PATIENCE, 0))
    await asyncio.wait_for(short, PATIENCE)
    assert not long.done()
    woken.set()
    await asyncio.wait_for(long, PATIENCE)


async def test_a_pass_comes_at_the_due_moment_and_every_thirty_seconds_at_least(
    schedule: Schedule, store: SqliteStore, service: NothingDue, clock: StandingClock
) -> None:
    await new_club(store)
    post_time = NOON + timedelta(hours=6)
    clock.at = post_time - timedelta(seconds=12)
    loop = asyncio.create_task(schedule.run())
    await clock.asleep(2)
    assert sorted(clock.waits) == [12.0, 30.0]
    clock.move(timedelta(seconds=12))
    await asyncio.wait_for(_until(lambda: len(clock.waits) == 3, clock), PATIENCE)
    assert clock.waits[-1] == 30.0
    assert [at for _, at in service.asked] == [post_time - timedelta(seconds=12), post_time]
    await stop(loop)


async def _until(holds: Callable[[], bool], clock: StandingClock) -> None:
    """Return when something holds, looked at whenever a loop has gone to sleep again."""
    while not holds():
        await clock.next_sleeper()


async def stop(loop: asyncio.Task[None]) -> None:
    loop.cancel()
    with pytest.raises(asyncio.CancelledError):
        await loop
