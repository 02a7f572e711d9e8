"""The only file that knows every concrete part: it puts storage, club, rooms and loop together.

Nothing is decided here. `run_clubs` serves the clubs of a config until it is stopped; `run_demo`
serves an invented club that needs no config.
"""

from __future__ import annotations

import asyncio
import logging
import secrets
import signal
import time
import webbrowser
from collections.abc import AsyncIterator, Awaitable, Callable, Mapping, Sequence
from contextlib import AsyncExitStack, asynccontextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec.structs import replace

from bot import assets
from bot.club.ports import Notice, SaveSettings
from bot.club.replies import decode_reply
from bot.club.service import ClubService
from bot.club.vetting import form_and_pattern
from bot.commands.table import COURSES
from bot.demo import DEMO_ROOM, DemoClock, demo_settings, live_a_week
from bot.exchange import PAGES, Exchange, compose, compose_thread
from bot.platforms.message import Room
from bot.platforms.web.door import Place
from bot.platforms.web.guard import user_id_of
from bot.platforms.web.names import People
from bot.platforms.web.room import WebRoom
from bot.schedule import Schedule
from bot.settings import ClubEntry, Settings
from bot.steady_clock import SteadyClock
from bot.stock.starting_stock import load_starting_stock
from bot.stock.stocker import Stocker
from bot.stock.workshop import Workshop
from bot.storage import SqliteStore, open_store
from bot.storage.web import SqliteRoomLog
from bot.watchdog import Watchdog
from bot.wiring.discord import DiscordAccess, make_discord_room
from bot.wiring.matrix import MatrixAccess, make_matrix_room, matrix_access
from bot.wiring.side_by_side import Platforms
from bot.wording import discord as discord_words
from bot.wording import matrix as matrix_words
from bot.wording import terminal
from bot.wording.web import NAMES

if TYPE_CHECKING:
    from bot.platforms.discord.room import DiscordRoom
    from bot.platforms.matrix.room import MatrixRoom

_LOG = logging.getLogger("ninebark.wiring")

DATABASE_NAME = "ninebark.db"

Announce = Callable[[str], None]


class AddressTakenError(Exception):
    """The web room's port could not be opened."""

    def __init__(self, host: str, port: int) -> None:
        super().__init__(host, port)
        self.host = host
        self.port = port


def utc_now() -> datetime:
    return datetime.now(UTC)


def database_path(settings: Settings) -> Path:
    return settings.folder / DATABASE_NAME


@dataclass(frozen=True, slots=True)
class RunningBot:
    """The running parts, for those who start them."""

    store: SqliteStore
    service: ClubService
    schedule: Schedule
    web: WebRoom
    platforms: Platforms
    discord: DiscordRoom | None = None
    matrix: MatrixRoom | None = None


class Postman:
    """Sends notices to the room that they are for, and looks for those that may be there."""

    def __init__(self, rooms: Mapping[str, Room]) -> None:
        self._rooms = rooms

    async def send(self, notice: Notice) -> str:
        """Send a notice; return the platform's reference. Raises RoomError."""
        room, room_id = self._rooms[notice.club.platform], notice.club.room_id
        reply, look = decode_reply(notice.reply), notice.club.settings.look
        in_both = notice.club.platform in PAGES
        if notice.audience == "thread":
            title, messages = await compose_thread(reply, look, in_both=in_both)
            return await room.post_thread(
                room_id, notice.post_ref or "", title, messages, key=notice.key
            )
        message = (await compose(reply, look, in_both=in_both))[-1]
        if notice.audience == "mend" and notice.post_ref is not None:
            await room.edit(room_id, notice.post_ref, message)
            return notice.post_ref
        if notice.audience == "member":
            return await room.tell(room_id, notice.user_id, message, key=notice.key)
        return await room.post(room_id, message, key=notice.key)

    async def find(self, notice: Notice) -> str | None:
        """Look for a post that may be out already. Threads and private lines are keyed anyway."""
        if notice.audience != "room":
            return None
        room = self._rooms[notice.club.platform]
        return await room.find_post(notice.club.room_id, notice.key)

    async def stamp(self, notice: Notice, reference: str) -> datetime | None:
        """Return when a post could first be seen, None where the platform tells no time."""
        room = self._rooms[notice.club.platform]
        return await room.stamp_of(notice.club.room_id, reference)


@asynccontextmanager
async def open_house(
    entries: Sequence[ClubEntry],
    *,
    database: Path | None,
    host: str,
    port: int,
    discord: DiscordAccess | None = None,
    matrix: MatrixAccess | None = None,
    now: Callable[[], datetime] = utc_now,
    elapsed: Callable[[], float] | None = None,
    before_opening: Callable[[RunningBot], Awaitable[None]] | None = None,
) -> AsyncIterator[RunningBot]:
    """Open everything and yield it while it runs. `database` None keeps all in memory.

    `now` is the clock, and `elapsed` counts the seconds by which a leap of it is seen; without it
    there is none. `before_opening` is called when all is there but nobody can enter yet. Raises
    StorageError, AddressTakenError, PlatformRefusedError, RoomError.
    """
    async with open_store(database, now=now) as store:
        await store.add_stock(load_starting_stock())
        await _note_forms(store)
        leaders = {(entry.platform, entry.room): _ids_of(entry) for entry in entries}
        for entry in entries:
            await _add_club(store, entry)
        workshop = Workshop()
        clock = SteadyClock(now, elapsed, await store.load_clock() if elapsed else None)
        service = ClubService(
            store=store, courses=COURSES, puzzles=workshop, believe=clock.believe, leaders=leaders
        )

        async def name_of(room_id: str) -> str | None:
            club = await store.load_club(WebRoom.platform, room_id)
            return None if club is None else club.settings.name

        async def people_of(room_id: str) -> People:
            club = await store.load_club(WebRoom.platform, room_id)
            if club is None:
                return People()
            return People(club.settings.leaders, await store.load_member_names(club.id))

        web = WebRoom(
            host=host,
            port=port,
            rooms={
                entry.room: Place(entry.settings.name, entry.settings.leaders)
                for entry in entries
                if entry.platform == WebRoom.platform
            },
            page=assets.path("web"),
            log=SqliteRoomLog(store.database),
            now=now,
            token=secrets.token_hex,
            name_of=name_of,
            people_of=people_of,
            names=NAMES,
        )
        rooms: dict[str, Room] = {web.platform: web}
        postman = Postman(rooms)
        schedule = Schedule(
            service,
            store,
            send=postman.send,
            find=postman.find,
            stamp=postman.stamp,
            clock=clock,
        )
        stocker = Stocker(store, workshop)

        def wake(club_id: int) -> None:
            schedule.wake(club_id)
            stocker.wake()

        watchdog = Watchdog()
        exchange = Exchange(service, store, rooms, wake=wake, leaders=leaders, watchdog=watchdog)
        away: DiscordRoom | None = None
        if discord is not None:
            away = await make_discord_room(
                discord, store=store, schedule=schedule, answer=exchange.answer, now=now
            )
            rooms[away.platform] = away
        federated: MatrixRoom | None = None
        if matrix is not None:
            federated = await make_matrix_room(
                matrix, store=store, schedule=schedule, answer=exchange.answer, now=now
            )
            rooms[federated.platform] = federated

        async def closed(platform: str) -> None:
            for club in await store.load_clubs():
                if club.platform == platform:
                    schedule.rest(club.id)

        platforms = Platforms(closed)
        house = RunningBot(store, service, schedule, web, platforms, away, federated)
        async with AsyncExitStack() as stack:
            stack.push_async_callback(asyncio.to_thread, workshop.close)
            if before_opening is not None:
                await before_opening(house)
            # A house without clubs on the page opens no page.
            elsewhere = [room for room in (away, federated) if room is not None]
            has_page_clubs = any(entry.platform == web.platform for entry in entries)
            if not elsewhere or has_page_clubs:
                try:
                    await web.start(exchange.answer)
                except OSError:
                    raise AddressTakenError(host, port) from None
                stack.push_async_callback(web.stop)
                platforms.has_page = True
            for room in elsewhere:
                await platforms.start(room, exchange.answer, stack)
            await platforms.go_on()
            for work, name in (
                (schedule.run(), "schedule"),
                (stocker.run(), "stocker"),
                (watchdog.run(), "watchdog"),
            ):
                loop = asyncio.create_task(work, name=name)
                stack.push_async_callback(_cancel, loop)
            yield house


def _ids_of(entry: ClubEntry) -> tuple[str, ...]:
    """Return the user ids of the leaders whom the config names; in the web room it has names."""
    named = entry.settings.leaders
    return tuple(map(user_id_of, named)) if entry.platform == WebRoom.platform else named


async def _add_club(store: SqliteStore, entry: ClubEntry) -> None:
    """Add a club that is new. Whom the config names leads by the config alone, so that taken out
    there they lead no more; an older Ninebark kept them with the club."""
    own = replace(entry.settings, leaders=())
    club = await store.add_club(entry.platform, entry.room, own)
    left = tuple(each for each in club.settings.leaders if each not in entry.settings.leaders)
    if left != club.settings.leaders:
        kept = replace(club.settings, leaders=left)
        await store.save([SaveSettings(club.id, kept, club.paused)])


async def _note_forms(store: SqliteStore) -> None:
    """Note the forms of puzzles saved by an older Ninebark, so that no disguise of one comes."""
    for puzzle in await store.list_puzzles():
        if not puzzle.form:
            form, pattern = await asyncio.to_thread(form_and_pattern, puzzle)
            await store.set_form(puzzle.id, form, pattern)


async def _cancel(task: asyncio.Task[None]) -> None:
    task.cancel()
    await asyncio.gather(task, return_exceptions=True)


def _listen_for_the_end() -> asyncio.Event:
    """Return an event that Ctrl-C or a request to end sets, from now on, also while opening."""
    stopped = asyncio.Event()
    loop = asyncio.get_running_loop()
    for number in (signal.SIGINT, signal.SIGTERM):
        loop.add_signal_handler(number, stopped.set)
    return stopped


async def run_clubs(
    settings: Settings, *, announce: Announce, discord: DiscordAccess | None = None
) -> int:
    """Serve the clubs of a config until stopped; return the exit code."""
    stopped = _listen_for_the_end()
    async with open_house(
        settings.clubs,
        database=database_path(settings),
        host=settings.web_host,
        port=settings.web_port,
        discord=discord,
        elapsed=time.monotonic,
        matrix=(
            matrix_access(settings.matrix, settings.folder, settings.clubs)
            if settings.matrix is not None
            else None
        ),
    ) as house:
        for entry in settings.clubs:
            if entry.platform == house.web.platform:
                announce(terminal.page_ready(entry.settings.name, house.web.url))
        if house.discord is not None and house.discord.platform in house.platforms:
            announce(discord_words.READY)
        if house.matrix is not None and house.matrix.platform in house.platforms:
            is_open = house.matrix.is_connected
            announce(matrix_words.READY if is_open else matrix_words.WAITING)
        await house.platforms.until_over(stopped)
    return 0


async def run_demo(
    *, port: int, folder: Path | None, open_browser: bool, announce: Announce
) -> int:
    """Serve the demo club until stopped; return the exit code."""
    stopped = _listen_for_the_end()
    settings, clock = demo_settings(), DemoClock(utc_now)

    async def fill(house: RunningBot) -> None:
        await live_a_week(house.store, house.service, house.schedule, clock, room_id=DEMO_ROOM)

    async with open_house(
        [ClubEntry(WebRoom.platform, DEMO_ROOM, settings)],
        database=None if folder is None else folder / DATABASE_NAME,
        host="127.0.0.1",
        port=port,
        now=clock,
        before_opening=fill,
    ) as house:
        announce(terminal.page_ready(settings.name, house.web.url))
        announce(terminal.demo_advice(settings.leaders[0], kept_in=folder))
        if open_browser:
            await asyncio.to_thread(webbrowser.open, house.web.url)
        await stopped.wait()
    return 0
