"""The due loop with the real club service and SQLite: one puzzle per local date, whatever the
clocks do and however long the bot was down. The zones and dates are those of the IANA database.
"""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from bot.club.ports import Notice, SaveSettings
from bot.club.replies import DayPosted, ResultsPosted
from bot.club.retelling import load_reply_of
from bot.club.service import ClubService
from bot.club.state import Club, ClubSettings, Puzzle
from bot.commands.table import COURSES
from bot.platforms.message import RoomUnreachableError
from bot.schedule import Schedule
from bot.steady_clock import SteadyClock
from bot.storage import SqliteStore, open_store

# The encyclopaedia example, also in SQLite's documentation (`lang_with`).
GIVENS = "53..7....6..195....98....6.8...6...34..8.3..17...2...6.6....28....419..5....8..79"
SOLUTION = "534678912672195348198342567859761423426853791713924856961537284287419635345286179"


def puzzles() -> Iterator[Puzzle]:
    """The same puzzle with its digits renamed, so that every day has one that is new."""
    for turn in range(9):
        digits = "123456789"
        names = str.maketrans(digits, digits[turn:] + digits[:turn])
        yield Puzzle(0, GIVENS.translate(names), SOLUTION.translate(names), 1)


@dataclass
class House:
    """A bot that a test starts, stops and moves through time."""

    store: SqliteStore
    club: Club
    now: datetime
    is_reachable: bool = True
    posted: list[tuple[date, datetime]] = field(default_factory=list)
    results: list[date] = field(default_factory=list)
    stamps: dict[str, datetime] = field(default_factory=dict)
    crashes_behind: str = ""

    def __post_init__(self) -> None:
        self.start()

    def start(self) -> None:
        """Start the loop anew, as after a restart."""
        service = ClubService(store=self.store, courses=COURSES)
        self.schedule = Schedule(
            service,
            self.store,
            send=self._send,
            find=self._find,
            stamp=self._stamp,
            clock=SteadyClock(lambda: self.now),
        )

    async def look(self, at: datetime) -> datetime:
        self.now = at
        return await self.schedule.serve(self.club)

    async def run(self, first: datetime, last: datetime, step: timedelta) -> None:
        """Make a pass at every step of the way, as a loop that is up all the time does."""
        at = first
        while at <= last:
            await self.look(at)
            at += step

    async def _send(self, notice: Notice) -> str:
        if not self.is_reachable:
            raise RoomUnreachableError("down")
        reply = await load_reply_of(self.store, notice)
        if isinstance(reply, DayPosted) and notice.audience == "room":
            self.posted.append((reply.day.date, self.now))
        if isinstance(reply, ResultsPosted):
            self.results.append(reply.date)
        reference = f"post {notice.key}"
        self.stamps.setdefault(reference, self.now)
        if notice.key.startswith(self.crashes_behind or "never"):
            raise asyncio.CancelledError
        return reference

    async def _find(self, notice: Notice) -> str | None:
        reference = f"post {notice.key}"
        return reference if reference in self.stamps else None

    async def _stamp(self, notice: Notice, reference: str) -> datetime | None:
        return self.stamps[reference]

    @property
    def dates(self) -> list[date]:
        return [day for day, _ in self.posted]


@asynccontextmanager
async def open_bot(path: Path, zone: str, post_time: str) -> AsyncIterator[House]:
    async with open_store(path / "club.db") as store:
        await store.add_stock(tuple(puzzles()))
        settings = ClubSettings("Maple Street Solvers", zone=zone, post_time=post_time)
        club = await store.add_club("web", "maple", settings)
        yield House(store, club, datetime(2000, 1, 1, tzinfo=UTC))


def local(day: date, clock: str, zone: str) -> datetime:
    return datetime.fromisoformat(f"{day} {clock}").replace(tzinfo=ZoneInfo(zone)).astimezone(UTC)


CHANGES = [
    pytest.param("Europe/London", "2026-03-29", "01:30", id="London's hour that is missing"),
    pytest.param("Europe/London", "2026-10-25", "01:30", id="London's hour that comes twice"),
    pytest.param("Australia/Lord_Howe", "2026-10-04", "02:15", id="Lord Howe's missing half hour"),
    pytest.param("Australia/Lord_Howe", "2026-04-05", "01:45", id="Lord Howe's double half hour"),
    pytest.param("America/Havana", "2026-03-08", "00:00", id="Havana without a midnight"),
    pytest.param("America/Havana", "2026-03-08", "00:30", id="Havana without half past midnight"),
    pytest.param("America/Santiago", "2026-09-06", "00:00", id="Santiago without a midnight"),
    pytest.param("America/Santiago", "2026-09-06", "00:59", id="Santiago, the gap's last minute"),
    pytest.param("America/Nuuk", "2026-03-28", "23:00", id="Nuuk's Saturday without a last hour"),
    pytest.param("Asia/Kathmandu", "2026-03-29", "01:30", id="Kathmandu, where nothing changes"),
]


@pytest.mark.parametrize(("zone", "changing", "post_time"), CHANGES)
async def test_each_date_gets_one_puzzle_on_that_date_when_the_clocks_change(
    tmp_path: Path, zone: str, changing: str, post_time: str
) -> None:
    middle = date.fromisoformat(changing)
    dates = [middle + timedelta(days=number) for number in (-1, 0, 1)]
    async with open_bot(tmp_path, zone, post_time) as bot:
        first, last = local(dates[0], "00:00", zone), local(dates[-1], "23:59", zone)
        await bot.run(first, last, timedelta(minutes=15))
    assert bot.dates == dates
    for day, at in bot.posted:
        assert at.astimezone(ZoneInfo(zone)).date() == day
    assert bot.results == dates[:-1]


async def test_a_date_that_a_zone_leaves_out_has_no_puzzle(tmp_path: Path) -> None:
    zone = "Pacific/Apia"
    async with open_bot(tmp_path, zone, "18:00") as bot:
        first = local(date(2011, 12, 29), "12:00", zone)
        await bot.run(first, first + timedelta(hours=60), timedelta(minutes=30))
    assert bot.dates == [date(2011, 12, 29), date(2011, 12, 31), date(2012, 1, 1)]


async def test_a_puzzle_goes_up_at_its_post_time_and_not_before(tmp_path: Path) -> None:
    zone, day = "Europe/London", date(2026, 7, 6)
    due_at = local(day, "18:00", zone)
    async with open_bot(tmp_path, zone, "18:00") as bot:
        again_at = await bot.look(due_at - timedelta(seconds=10))
        assert bot.posted == []
        assert again_at == due_at
        await bot.look(due_at)
    assert bot.posted == [(day, due_at)]


async def test_a_bot_that_was_down_at_post_time_posts_late_on_the_same_day(
    tmp_path: Path,
) -> None:
    zone, day = "Europe/London", date(2026, 7, 6)
    async with open_bot(tmp_path, zone, "18:00") as bot:
        await bot.look(local(day, "23:59", zone))
        (kept,) = await bot.store.load_days(bot.club.id)
    assert bot.dates == [day]
    assert kept.due_at == local(day, "18:00", zone)
    assert kept.closes_at == local(day + timedelta(days=1), "18:00", zone)
    assert kept.posted_at == local(day, "23:59", zone)


async def test_a_post_found_again_after_a_crash_is_as_old_as_the_platform_says(
    tmp_path: Path,
) -> None:
    zone, day = "Europe/London", date(2026, 7, 6)
    async with open_bot(tmp_path, zone, "12:00") as bot:
        # Down between sending and marking: posted at 12:00, found at 16:00.
        bot.crashes_behind = "day:"
        with pytest.raises(asyncio.CancelledError):
            await bot.look(local(day, "12:00", zone))
        bot.crashes_behind = ""
        bot.start()
        await bot.look(local(day, "16:00", zone))
        (kept,) = await bot.store.load_days(bot.club.id)
    assert bot.posted == [(day, local(day, "12:00", zone))]
    assert kept.posted_at == local(day, "12:00", zone)


async def test_days_that_passed_while_the_bot_was_down_are_skipped(tmp_path: Path) -> None:
    zone, monday = "Europe/London", date(2026, 7, 6)
    tuesday, thursday = monday + timedelta(days=1), monday + timedelta(days=3)
    async with open_bot(tmp_path, zone, "18:00") as bot:
        await bot.look(local(monday, "18:00", zone))
        bot.start()
        # Up again after midnight: Wednesday's puzzle is no more, Thursday's is not yet due.
        await bot.look(local(thursday, "00:01", zone))
        assert bot.dates == [monday]
        assert bot.results == [monday]
        await bot.look(local(thursday, "20:00", zone))
    assert bot.dates == [monday, thursday]
    assert tuesday not in bot.dates


async def test_asking_again_and_again_posts_nothing_twice(tmp_path: Path) -> None:
    zone, day = "Europe/London", date(2026, 7, 6)
    async with open_bot(tmp_path, zone, "18:00") as bot:
        for _ in range(3):
            await bot.look(local(day, "18:00", zone))
            bot.start()
            await bot.look(local(day, "18:01", zone))
    assert bot.dates == [day]


async def test_a_room_out_of_reach_for_two_days_gets_the_open_puzzle_alone(
    tmp_path: Path,
) -> None:
    zone, monday = "Europe/London", date(2026, 7, 6)
    wednesday = monday + timedelta(days=2)
    async with open_bot(tmp_path, zone, "18:00") as bot:
        bot.is_reachable = False
        await bot.run(
            local(monday, "17:50", zone), local(wednesday, "19:50", zone), timedelta(minutes=10)
        )
        bot.is_reachable = True
        await bot.look(local(wednesday, "20:00", zone))
        days = await bot.store.load_days(bot.club.id)
    assert bot.dates == [wednesday]
    assert bot.results == []
    assert [day.posted_at is not None for day in days] == [False, False, True]


async def test_a_paused_club_gets_nothing_and_then_the_day_of_its_return(tmp_path: Path) -> None:
    zone, monday = "Europe/London", date(2026, 7, 6)
    tuesday = monday + timedelta(days=1)
    async with open_bot(tmp_path, zone, "18:00") as bot:
        await bot.store.save([SaveSettings(bot.club.id, bot.club.settings, paused=True)])
        await bot.look(local(monday, "18:00", zone))
        assert bot.posted == []
        await bot.store.save([SaveSettings(bot.club.id, bot.club.settings, paused=False)])
        await bot.look(local(tuesday, "19:00", zone))
    assert bot.dates == [tuesday]
