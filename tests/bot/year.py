"""Five invented clubs that go through a year: the real service, schedule, stocker, workshop and
SQLite, and a clock that is set from one post time to the next.

What is seen on the way is kept: which puzzle each club had on each day, how low the stock ran, and
how long the event loop stood still at most.
"""

from __future__ import annotations

import asyncio
import gc
import time
from collections.abc import AsyncIterator, Sequence
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from bot.club.clock import scheduled_at
from bot.club.plan import DayPlan, fits, plan_for
from bot.club.ports import Notice
from bot.club.replies import DayPosted
from bot.club.retelling import load_reply_of
from bot.club.service import ClubService
from bot.club.state import Club, ClubSettings, Day, DayWish
from bot.commands.table import COURSES
from bot.schedule import Schedule
from bot.steady_clock import SteadyClock
from bot.stock.starting_stock import load_starting_stock
from bot.stock.stocker import AT_LEAST, Stocker
from bot.stock.workshop import Workshop
from bot.storage import SqliteStore, open_store

FIRST_DAY = date(2026, 1, 5)
"""A Monday."""


def wishes(
    **own: DayWish,
) -> tuple[DayWish, DayWish, DayWish, DayWish, DayWish, DayWish, DayWish]:
    names = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
    mon, tue, wed, thu, fri, sat, sun = (own.get(name, DayWish()) for name in names)
    return mon, tue, wed, thu, fri, sat, sun


PLANS = (
    ClubSettings("First Steps", zone="Europe/London", post_time="18:00", levels=(1,) * 7),
    ClubSettings(
        "Maple Street Solvers", zone="America/New_York", post_time="07:30",
        levels=(1, 1, 2, 2, 3, 3, 2), pattern="half-turn",
    ),
    ClubSettings(
        "Hedgerow Sudoku Club", zone="Europe/Lisbon", post_time="12:00",
        levels=(3,) * 7, theme="naked-triple", rising=True,
    ),
    ClubSettings(
        "The Long Table", zone="Asia/Kathmandu", post_time="06:45", levels=(2, 2, 3, 3, 3, 4, 4),
        wishes=wishes(
            mon=DayWish(theme="pointing"), tue=DayWish(theme="claiming", pattern="diagonal"),
            wed=DayWish(theme="hidden-pair"), fri=DayWish(up_to=4),
            sat=DayWish(theme="x-wing"), sun=DayWish(theme="xy-wing"),
        ),
    ),
    ClubSettings(
        "Night Owls", zone="Australia/Sydney", post_time="00:15", levels=(4, 4, 4, 4, 5, 5, 5),
        wishes=wishes(wed=DayWish(theme="skyscraper"), sun=DayWish(up_to=6)), rising=True,
    ),
)  # fmt: skip
"""Different in level, range, theme, symmetry, rise, zone and post time."""


@dataclass
class Stalls:
    """Notes how late the event loop comes to what is due: that long it stood still, a loaded
    machine included. `busiest` is what it worked itself in one such time."""

    every: float = 0.002
    longest: float = 0.0
    busiest: float = 0.0
    _worked: float = 0.0
    _handle: asyncio.TimerHandle | None = None

    def begin(self) -> None:
        """Start, with what other tests left in this process out of the collector's way: to go
        through that takes longer than what is measured here.
        """
        gc.collect()
        gc.freeze()
        self.start()

    def start(self) -> None:
        loop = asyncio.get_running_loop()
        due, self._worked = loop.time() + self.every, time.thread_time()
        self._handle = loop.call_at(due, self._note, due)

    def _note(self, due: float) -> None:
        self.longest = max(self.longest, asyncio.get_running_loop().time() - due)
        self.busiest = max(self.busiest, time.thread_time() - self._worked)
        self.start()

    def stop(self) -> None:
        gc.unfreeze()
        if self._handle is not None:
            self._handle.cancel()


@dataclass
class Year:
    """All that runs, and what was seen of it."""

    store: SqliteStore
    workshop: Workshop
    clubs: tuple[Club, ...]
    now: datetime = datetime(2026, 1, 1, tzinfo=UTC)
    stalls: Stalls = field(default_factory=Stalls)
    posted: list[tuple[str, date]] = field(default_factory=list)
    lowest: dict[DayPlan, int] = field(default_factory=dict)
    made: int = 0
    at_least: int = AT_LEAST

    def __post_init__(self) -> None:
        self.service = ClubService(store=self.store, courses=COURSES, puzzles=self.workshop)
        self.schedule = Schedule(
            self.service,
            self.store,
            send=self._send,
            find=self._find,
            clock=SteadyClock(lambda: self.now),
        )
        self.stocker = Stocker(self.store, self.workshop, at_least=self.at_least)

    async def _send(self, notice: Notice) -> str:
        reply = await load_reply_of(self.store, notice)
        if isinstance(reply, DayPosted) and notice.audience == "room":
            self.posted.append((notice.club.room_id, reply.day.date))
        return f"post {notice.key}"

    async def _find(self, notice: Notice) -> str | None:
        return None

    async def live(self, days: int) -> None:
        """Go through so many days from FIRST_DAY; the stock is filled meanwhile, once a day."""
        self.stalls.begin()
        self.made += await self.stocker.fill()
        for number in range(days):
            filling = asyncio.create_task(self.stocker.fill())
            await self._post_all(FIRST_DAY + timedelta(days=number))
            self.made += await filling
        self.stalls.stop()

    async def _post_all(self, day: date) -> None:
        due = sorted(
            (scheduled_at(day, club.settings.post_time, club.settings.zone), club.id, club)
            for club in self.clubs
        )
        for at, _, club in due:
            self.now = at
            await self._note_stock(club, day)
            await self.schedule.serve(club)

    async def _note_stock(self, club: Club, day: date) -> None:
        entry = plan_for(day, club.settings)
        count = sum(fits(each, entry) for each in await self.store.load_stock(club.id))
        self.lowest[entry] = min(count, self.lowest.get(entry, count))

    async def had(self, club: Club) -> tuple[Day, ...]:
        return await self.store.load_days(club.id)


@asynccontextmanager
async def open_year(
    path: Path, plans: Sequence[ClubSettings] = PLANS, *, at_least: int = AT_LEAST
) -> AsyncIterator[Year]:
    async with open_store(path) as store:
        await store.add_stock(load_starting_stock())
        clubs = [
            await store.add_club("web", f"room {number}", settings)
            for number, settings in enumerate(plans)
        ]
        workshop = Workshop()
        try:
            yield Year(store, workshop, tuple(clubs), at_least=at_least)
        finally:
            await asyncio.to_thread(workshop.close)
