"""The only place that knows every concrete part: it puts storage, club, rooms and loops together.

Nothing is decided here, and no platform is named: each comes as its access, and `PLATFORMS` has
their records. `run_clubs` serves the clubs of a config until it is stopped.
"""

from __future__ import annotations

import asyncio
import signal
import time
from collections.abc import AsyncIterator, Awaitable, Callable, Iterable, Mapping, Sequence
from contextlib import AsyncExitStack, asynccontextmanager
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from pathlib import Path

from msgspec.structs import replace

from bot.club.leaders import Leaders
from bot.club.ports import Notice, SaveSettings
from bot.club.retelling import load_reply_of
from bot.club.service import ClubService
from bot.club.state import Club
from bot.club.vetting import form_and_pattern
from bot.commands.table import COURSES
from bot.exchange import Exchange
from bot.links import PersonalLinks
from bot.live_boards import LiveBoards
from bot.outbox_sender import OutboxSender
from bot.platforms.message import Room, RoomError
from bot.schedule import Schedule
from bot.settings import ClubConfig, Settings
from bot.steady_clock import SteadyClock
from bot.stock.starting_stock import load_starting_stock
from bot.stock.stocker import Stocker
from bot.stock.workshop import Workshop
from bot.storage import SqliteStore, open_store
from bot.storage.keeper import Keeper
from bot.storage.rows import utc_now
from bot.watchdog import Watchdog
from bot.wiring.links import links_of
from bot.wiring.platform import Access, OpenRoom, RoomNeeds
from bot.wiring.platforms import BY_NAME, MEMORIES
from bot.wiring.served_rooms import ServedRooms
from bot.wiring.side_by_side import PlatformFailedError, Platforms
from bot.wording.everyday import everyday_words

DATABASE_NAME = "ninebark.db"

Announce = Callable[[str], None]


def database_path(settings: Settings) -> Path:
    """Return where the clubs of a config are kept."""
    return settings.folder / DATABASE_NAME


@dataclass(frozen=True, slots=True)
class RunningBot:
    """The running parts, for those who start them. `rooms` by platform, served or failed;
    `announce` says what the host is told of those that are served."""

    store: SqliteStore
    service: ClubService
    schedule: Schedule
    rooms: Mapping[str, Room]
    platforms: Platforms
    announce: Callable[[], Iterable[str]]


@dataclass(frozen=True, slots=True)
class _Parts:
    """What serves the clubs, whatever the platform. `rooms` is filled when they are made."""

    store: SqliteStore
    service: ClubService
    schedule: Schedule
    stocker: Stocker
    workshop: Workshop
    watchdog: Watchdog
    exchange: Exchange
    boards: LiveBoards
    links: PersonalLinks
    rooms: dict[str, Room]
    served: ServedRooms

    async def close_platform(self, platform: str) -> None:
        """Have the clubs of a platform rest."""
        for club in await self.store.load_clubs():
            if club.platform == platform:
                self.schedule.rest(club.id)

    def begin(self, stack: AsyncExitStack) -> None:
        """Begin the loops; leaving the stack ends them."""
        for work, name in (
            (self.schedule.run(), "schedule"),
            (self.stocker.run(), "stocker"),
            (self.watchdog.run(), "watchdog"),
            (Keeper(self.store).run(), "keeper"),
        ):
            loop = asyncio.create_task(work, name=name)
            stack.push_async_callback(_cancel, loop)


def _put_together(
    store: SqliteStore,
    workshop: Workshop,
    clock: SteadyClock,
    of_host: Mapping[int, Sequence[str]],
    accesses: Iterable[Access],
) -> _Parts:
    rooms: dict[str, Room] = {}
    served = ServedRooms(rooms)
    leaders = Leaders(
        of_host,
        {name: platform.leader_id for name, platform in BY_NAME.items()},
        served.in_charge,
    )

    def wake(club_id: int) -> None:
        schedule.wake(club_id)
        stocker.wake()

    service = ClubService(
        store=store,
        courses=COURSES,
        puzzles=workshop,
        believe=clock.believe,
        leaders=leaders,
        rooms=served,
        wake=wake,
    )
    sender = OutboxSender(rooms, partial(load_reply_of, store))

    def note_sent(notice: Notice) -> None:
        boards.note(notice.club.platform, notice.club.room_id)

    schedule = Schedule(
        service,
        store,
        send=sender.send,
        find=sender.find,
        stamp=sender.stamp,
        clock=clock,
        sent=note_sent,
    )
    stocker, watchdog = Stocker(store, workshop), Watchdog()

    links = links_of(store, clock.now, accesses)
    exchange = Exchange(service, store, rooms, watchdog=watchdog, links=links)
    boards = LiveBoards(exchange, service, store, clock.now)
    served.watch(lambda club_id, room_id: schedule.come_back(club_id))
    served.watch(lambda club_id, room_id: boards.forget_rooms())
    return _Parts(
        store,
        service,
        schedule,
        stocker,
        workshop,
        watchdog,
        exchange,
        boards,
        links,
        rooms,
        served,
    )


@asynccontextmanager
async def open_clubs(
    clubs: Sequence[ClubConfig],
    *accesses: Access,
    database: Path | None,
    now: Callable[[], datetime] = utc_now,
    elapsed: Callable[[], float] | None = None,
    before_opening: Callable[[RunningBot], Awaitable[None]] | None = None,
) -> AsyncIterator[RunningBot]:
    """Open everything and yield it while it runs; `accesses` are the platforms to serve.

    `database` None keeps all in memory. `now` is the clock, and `elapsed` counts the seconds by
    which a leap of it is seen; without it there is none. `before_opening` is called when all is
    there but nobody can enter yet. Raises StorageError, PlatformFailedError.
    """
    async with (
        open_store(database, now=now, memories=MEMORIES, everyday=everyday_words) as store,
        AsyncExitStack() as stack,
    ):
        of_host = await _prepare(store, clubs)
        workshop = Workshop()
        stack.push_async_callback(asyncio.to_thread, workshop.close)
        clock = SteadyClock(now, elapsed, await store.load_clock() if elapsed else None)
        parts = _put_together(store, workshop, clock, of_host, accesses)
        needs = RoomNeeds(
            store,
            parts.schedule,
            parts.exchange.answer,
            now,
            clubs,
            parts.boards,
            parts.links,
            parts.served,
        )
        opened = {access.platform: await _make_room(access, needs) for access in accesses}
        parts.rooms.update({name: each.room for name, each in opened.items()})
        platforms = Platforms(parts.close_platform)

        def announce() -> Iterable[str]:
            served = [each for name, each in opened.items() if name in platforms]
            return [line for each in served for line in each.announce()]

        bot = RunningBot(store, parts.service, parts.schedule, parts.rooms, platforms, announce)
        if before_opening is not None:
            await before_opening(bot)
        for club in await store.load_clubs():
            await parts.service.greet(club, now())
        for room in parts.rooms.values():
            await platforms.start(room, parts.exchange.answer, stack)
        await platforms.go_on()
        parts.begin(stack)
        yield bot


async def _make_room(access: Access, needs: RoomNeeds) -> OpenRoom:
    try:
        return await access.make_room(needs)
    except RoomError as failure:
        raise PlatformFailedError(access.platform, failure) from failure


async def _prepare(store: SqliteStore, clubs: Iterable[ClubConfig]) -> dict[int, tuple[str, ...]]:
    """Add what is new; return whom the config names as leaders, by the clubs' ids."""
    await store.add_stock(load_starting_stock())
    await _note_forms(store)
    of_host: dict[int, tuple[str, ...]] = {}
    for club in clubs:
        there = await _add_club(store, club)
        of_host[there.id] = (*of_host.get(there.id, ()), *club.settings.leaders)
    return of_host


async def _add_club(store: SqliteStore, club: ClubConfig) -> Club:
    """Add a club that is new, and return it. Whom the config names leads by the config alone, so
    that taken out there they lead no more; an older Ninebark kept them with the club."""
    own = replace(club.settings, leaders=())
    # The config may name the room of before a move.
    there = await store.load_club(club.platform, club.room)
    there = there or await store.add_club(club.platform, club.room, own)
    left = tuple(each for each in there.settings.leaders if each not in club.settings.leaders)
    if left != there.settings.leaders:
        kept = replace(there.settings, leaders=left)
        await store.save([SaveSettings(there.id, kept, there.paused)])
    return there


async def _note_forms(store: SqliteStore) -> None:
    """Note the forms of puzzles saved by an older Ninebark, so that no disguise of one comes."""
    for puzzle in await store.list_puzzles():
        if not puzzle.form:
            form, pattern = await asyncio.to_thread(form_and_pattern, puzzle)
            await store.set_form(puzzle.id, form, pattern)


async def _cancel(task: asyncio.Task[None]) -> None:
    task.cancel()
    await asyncio.gather(task, return_exceptions=True)


def listen_for_the_end() -> asyncio.Event:
    """Return an event that Ctrl-C or a request to end sets, from now on, also while opening."""
    stopped = asyncio.Event()
    loop = asyncio.get_running_loop()
    for number in (signal.SIGINT, signal.SIGTERM):
        loop.add_signal_handler(number, stopped.set)
    return stopped


async def run_clubs(settings: Settings, accesses: Sequence[Access], *, announce: Announce) -> int:
    """Serve the clubs of a config until stopped; return the exit code."""
    stopped = listen_for_the_end()
    async with open_clubs(
        settings.clubs, *accesses, database=database_path(settings), elapsed=time.monotonic
    ) as bot:
        for line in bot.announce():
            announce(line)
        await bot.platforms.until_over(stopped)
    return 0
