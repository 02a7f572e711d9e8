"""The real service, schedule and SQLite on a machine whose clock is wrong for a while: nothing goes
up or closes before its time, nothing is silenced, and a bot that was off for long still posts.
"""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from bot.club.acts import Act, Event, PostNow, ShowWalkthrough
from bot.club.ports import Notice, QueueNotice
from bot.club.replies import (
    ClockDoubted,
    DayPosted,
    PostAsked,
    Reply,
    ResultsPosted,
    WalkthroughLater,
    WalkthroughPosted,
    WalkthroughShown,
)
from bot.club.retelling import load_reply_of
from bot.club.service import ClubService
from bot.club.state import Club, ClubSettings
from bot.commands.table import COURSES
from bot.platforms.message import RoomUnreachableError
from bot.schedule import LONGEST_WAIT, Schedule
from bot.steady_clock import STANDS_AFTER, SteadyClock
from bot.stock.starting_stock import load_starting_stock
from bot.storage import SqliteStore, open_store

SIX = datetime(2026, 7, 6, 18, tzinfo=UTC)
"""A Monday at post time."""
MONDAY = date(2026, 7, 6)
ONE_DAY = timedelta(days=1)
MINUTE = timedelta(minutes=1)
FUTURE = datetime(2036, 5, 1, 19, tzinfo=UTC)
SETTINGS = ClubSettings("Maple Street Solvers", zone="UTC", post_time="18:00")


class Bot:
    """A bot with a machine: its clock can be set, the time that it has been up cannot."""

    def __init__(self, store: SqliteStore, club: Club, at: datetime, seen: datetime | None) -> None:
        self.store = store
        self.club = club
        self.at = at
        self.up = 0.0
        self.is_reachable = True
        self.waits: list[float] = []
        self.is_asleep = asyncio.Event()
        self.said: list[tuple[Reply, datetime]] = []
        self.clock = SteadyClock(lambda: self.at, lambda: self.up, seen)
        self.service = ClubService(store=store, courses=COURSES, believe=self.clock.believe)
        self.schedule = Schedule(
            self.service, store, send=self._send, find=self._find, clock=self.clock, wait=self._wait
        )

    async def live(self, span: timedelta, *, step: timedelta = 10 * MINUTE) -> None:
        """Let time pass, with a look after every step, as the loop has them."""
        for _ in range(int(span / step)):
            self.at += step
            self.up += step.total_seconds()
            await self.look()

    async def look(self) -> None:
        await self.schedule.serve(self.club)
        if (seen := self.clock.to_keep()) is not None:
            await self.store.keep_clock(seen)

    async def look_at(self, at: datetime) -> None:
        """Make one pass with the clock set elsewhere, and put it right again."""
        right, self.at = self.at, at
        await self.look()
        self.at = right

    async def hear(self, act: Act) -> Reply:
        event_id = f"{act} {self.up} {self.at}"
        return await self.service.answer(
            Event(event_id, self.club.id, "rowan", "Rowan", True, self.at, self.at, act)
        )

    @property
    def dates(self) -> list[date]:
        """The dates whose puzzle went up, in order."""
        posts = [reply for reply, _ in self.said if isinstance(reply, DayPosted)]
        return [reply.day.date for reply in posts if not reply.is_closed]

    def count(self, kind: type[Reply]) -> int:
        return sum(isinstance(reply, kind) for reply, _ in self.said)

    async def _send(self, notice: Notice) -> str:
        if not self.is_reachable:
            raise RoomUnreachableError("down")
        self.said.append((await load_reply_of(self.store, notice), self.at))
        return f"post {notice.key}"

    async def _find(self, notice: Notice) -> str | None:
        return None

    async def _wait(self, woken: asyncio.Event, seconds: float) -> None:
        self.waits.append(seconds)
        if len(self.waits) == 2:  # the loop that finds clubs, and the club's own
            self.is_asleep.set()
        await asyncio.Event().wait()


@asynccontextmanager
async def started(folder: Path, at: datetime) -> AsyncIterator[Bot]:
    async with open_store(folder / "club.db", now=lambda: at) as store:
        await store.add_stock(load_starting_stock()[:60])
        club = await store.add_club("web", "maple", SETTINGS)
        yield Bot(store, club, at, await store.load_clock())


async def test_a_clock_in_the_future_for_one_pass_changes_nothing(tmp_path: Path) -> None:
    async with started(tmp_path, SIX - MINUTE) as bot:
        await bot.live(MINUTE, step=MINUTE)
        await bot.live(timedelta(hours=2))
        before = len(bot.said)
        await bot.look_at(FUTURE)
        assert len(bot.said) == before == 1
        await bot.live(30 * ONE_DAY, step=timedelta(hours=2))
        assert bot.dates == [MONDAY + number * ONE_DAY for number in range(31)]
        assert bot.count(ResultsPosted) == bot.count(WalkthroughPosted) == 30
        assert [day.date.year for day in await bot.store.load_days(bot.club.id)] == [2026] * 31


@pytest.mark.parametrize("ahead", [timedelta(hours=1), timedelta(days=1), timedelta(days=4000)])
async def test_an_open_day_is_not_closed_nor_its_walkthrough_told_by_a_wrong_clock(
    tmp_path: Path, ahead: timedelta
) -> None:
    async with started(tmp_path, SIX) as bot:
        await bot.look()
        await bot.live(ONE_DAY - 30 * MINUTE)
        for _ in range(4):
            await bot.look_at(bot.at + ahead)
            await bot.live(MINUTE, step=MINUTE)
        right, bot.at = bot.at, bot.at + ahead
        assert isinstance(await bot.hear(ShowWalkthrough()), ClockDoubted)
        assert isinstance(await bot.hear(ShowWalkthrough(MONDAY)), ClockDoubted)
        bot.at = right
        assert isinstance(await bot.hear(ShowWalkthrough()), WalkthroughLater)
        assert bot.count(WalkthroughPosted) == bot.count(ResultsPosted) == 0
        assert bot.dates == [MONDAY]
        await bot.live(timedelta(hours=1))
        assert isinstance(await bot.hear(ShowWalkthrough(MONDAY)), WalkthroughShown)


async def test_post_now_waits_for_a_clock_that_leapt(tmp_path: Path) -> None:
    async with started(tmp_path, SIX - timedelta(hours=5)) as bot:
        await bot.look()
        right, bot.at = bot.at, FUTURE
        doubted = await bot.hear(PostNow())
        assert doubted == ClockDoubted(at=FUTURE, zone="UTC")
        bot.at = right
        assert await bot.store.load_days(bot.club.id) == ()
        assert await bot.hear(PostNow()) == PostAsked(date=MONDAY, already=False)


@pytest.mark.parametrize("off", [timedelta(minutes=5), timedelta(days=3), timedelta(weeks=9)])
async def test_a_bot_that_was_off_posts_within_minutes_of_its_start(
    tmp_path: Path, off: timedelta
) -> None:
    async with started(tmp_path, SIX) as bot:
        await bot.look()
        await bot.live(timedelta(hours=3))
    back_at = SIX + timedelta(hours=3) + off
    async with started(tmp_path, back_at) as bot:
        await bot.live(STANDS_AFTER + 2 * LONGEST_WAIT, step=LONGEST_WAIT)
        newest = back_at.date()
        assert bot.dates == ([] if off < ONE_DAY else [newest])
        assert bot.count(WalkthroughPosted) == (0 if off < ONE_DAY else 1)
        for _, at in bot.said:
            assert at - back_at <= STANDS_AFTER + LONGEST_WAIT


async def test_a_start_with_a_wrong_clock_does_nothing_and_forgets_nothing(tmp_path: Path) -> None:
    async with started(tmp_path, SIX) as bot:
        await bot.look()
        await bot.hear(ShowWalkthrough())
        (event_id,) = [f"{ShowWalkthrough()} {bot.up} {bot.at}"]
        assert await bot.store.load_reply(event_id) is not None
    async with started(tmp_path, FUTURE) as bot:
        await bot.look()
        assert bot.said == []
        # Replies are kept for 60 days, and by this clock years have passed.
        assert await bot.store.load_reply(event_id) is not None
    async with started(tmp_path, SIX + timedelta(hours=1)) as bot:
        await bot.live(2 * ONE_DAY)
        assert bot.dates == [MONDAY + ONE_DAY, MONDAY + 2 * ONE_DAY]


async def test_what_could_not_be_sent_is_tried_again_soon_whatever_the_clock_was(
    tmp_path: Path,
) -> None:
    async with started(tmp_path, SIX) as bot:
        bot.is_reachable = False
        await bot.look()
        bot.at += timedelta(minutes=14)  # less than a leap; and back
        await bot.store.save([QueueNotice(bot.club.id, "line", "room", b'{"type":"Busy"}')])
        await bot.look()
        bot.at -= timedelta(minutes=14)
        bot.is_reachable = True
        await bot.live(2 * MINUTE, step=MINUTE)
        assert bot.count(DayPosted) == 1


async def test_the_loop_never_sleeps_longer_than_it_should_when_the_clock_is_put_right(
    tmp_path: Path,
) -> None:
    async with started(tmp_path, SIX) as bot:
        load, is_wrong = bot.store.load_club, True

        async def put_right_meanwhile(platform: str, room_id: str) -> Club | None:
            nonlocal is_wrong
            if is_wrong:
                bot.at -= timedelta(days=3)
                is_wrong = False
            return await load(platform, room_id)

        bot.store.load_club = put_right_meanwhile  # type: ignore[method-assign]
        loop = asyncio.create_task(bot.schedule.run())
        await bot.is_asleep.wait()
        loop.cancel()
        await asyncio.gather(loop, return_exceptions=True)
        assert max(bot.waits) <= LONGEST_WAIT.total_seconds()
        assert await bot.store.load_clock() == SIX
