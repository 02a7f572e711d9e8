"""A command through the bot in Matrix against a bare echo, on one homeserver in one run."""

from __future__ import annotations

import asyncio
import tempfile
import time
from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any

import nio
from nio.store import SqliteStore

from bot.club.ports import SavePuzzle
from bot.club.state import ClubSettings
from bot.settings import ClubConfig
from bot.storage import open_store
from bot.wiring.matrix import MatrixAccess, MatrixSettings
from bot.wiring.running import open_clubs
from tests.bench import Figure, median
from tests.bot.club.stories import easy_puzzle
from tests.doubles.matrix.club_house import local_noon, new_account, new_room, sign_in_bot
from tests.doubles.matrix.homeserver import Account, shared_homeserver
from tests.doubles.matrix.member import Member

ROUNDS = 25
WARM_UP = 3
MOST_RATIO = 1.5


class Echo:
    """The least that answers with the library alone: its own endless sync, and a callback."""

    def __init__(self, account: Account, store: Path | None) -> None:
        url = shared_homeserver().url
        config = nio.AsyncClientConfig(encryption_enabled=store is not None, store=SqliteStore)
        if store is not None:
            store.mkdir()
        self.client = nio.AsyncClient(
            url,
            account.user_id,
            device_id=account.device_id,
            store_path=str(store) if store is not None else "",
            config=config,
        )
        self.client.restore_login(account.user_id, account.device_id, account.token)

    async def _answer(self, room: Any, event: Any) -> None:
        if event.sender != self.client.user_id:
            content = {"msgtype": "m.notice", "body": event.body}
            await self.client.room_send(
                room.room_id, "m.room.message", content, ignore_unverified_devices=True
            )

    @asynccontextmanager
    async def running(self) -> AsyncIterator[None]:
        await self.client.sync(0, full_state=True)
        if self.client.should_upload_keys:
            await self.client.keys_upload()
        self.client.add_event_callback(self._answer, nio.RoomMessageText)
        listening = asyncio.create_task(self.client.sync_forever(30_000))
        try:
            yield
        finally:
            listening.cancel()
            await asyncio.gather(listening, return_exceptions=True)
            await self.client.close()


async def _measure(member: Member, room_id: str, by: str, lines: list[str]) -> list[float]:
    """Send lines one by one; return the seconds from sending each to seeing its answer."""
    taken = []
    for line in lines:

        def count() -> int:
            return sum(1 for event in member.sources(room_id) if event["sender"] == by)

        before = count()
        begun = time.perf_counter()
        await member.say(room_id, line)
        while count() == before:
            await member.sync(5_000)
        taken.append(time.perf_counter() - begun)
    return taken


async def _run(folder: Path, *, secret: bool) -> tuple[list[float], list[float], list[float]]:
    """Return seconds by answer: the echo's, the bot's first word on a hint, and its picture."""
    server = shared_homeserver()
    account, echo_account = await new_account(server, "ada"), await new_account(server, "echo")
    member = Member(server, account, folder / "ada" if secret else None)
    await member.sync()
    echo = Echo(echo_account, folder / "echo" if secret else None)
    await echo.client.sync(0)
    if echo.client.should_upload_keys:
        await echo.client.keys_upload()
    echo_room = await new_room(server, account, members=[echo_account], is_encrypted=secret)
    bot = await sign_in_bot(server, folder / "matrix", encrypt=secret)
    room_id = await new_room(server, account, bot=bot, is_encrypted=secret)
    zone, post_time = local_noon()
    settings = ClubSettings("Maple Street Solvers", zone=zone, post_time=post_time)
    async with open_store(folder / "club.db") as store:
        club = await store.add_club("matrix", room_id, settings)
        await store.save([SavePuzzle(easy_puzzle(), club_id=club.id, is_queued=True)])
    access = MatrixAccess(
        MatrixSettings(homeserver=server.url, user=bot.user_id, encrypt=secret), folder / "matrix"
    )
    async with (
        echo.running(),
        open_clubs(
            [ClubConfig("matrix", room_id, settings)],
            access,
            database=folder / "club.db",
        ) as house,
    ):
        for found in await house.store.load_clubs():
            await house.schedule.serve(found)
        await member.say(room_id, "!start")
        await member.until(lambda: [each for each in member.invited if each != room_id])
        place = next(each for each in member.invited if each != room_id)
        await member.until(lambda: member.texts(place, by=bot.user_id))
        # Taken in turns, so that whatever else the machine does weighs on all alike.
        echoed: list[float] = []
        hinted: list[float] = []
        drawn: list[float] = []
        for number in range(ROUNDS + WARM_UP):
            echoed += await _measure(member, echo_room, echo_account.user_id, ["hint"])
            hinted += await _measure(member, place, bot.user_id, ["hint"])
            if number % 5 == 0:
                drawn += await _measure(member, place, bot.user_id, ["board"])
    await member.close()
    return echoed[WARM_UP:], hinted[WARM_UP:], drawn[1:]


def find_figures() -> Iterator[Figure]:
    """The private room is open already, as it is from a member's second command on."""
    for name, secret in (("open", False), ("encrypted", True)):
        with tempfile.TemporaryDirectory() as folder:
            echoed, hinted, drawn = asyncio.run(_run(Path(folder), secret=secret))
        bare, bot, picture = median(echoed), median(hinted), median(drawn)
        yield Figure(f"{name}: bare echo, median", bare * 1000, "ms", "", True)
        yield Figure(f"{name}: hint command, median", bot * 1000, "ms", "", True)
        ratio = bot / bare
        yield Figure(f"{name}: ratio", ratio, "", "at most 1.5", ratio <= MOST_RATIO)
        yield Figure(f"{name}: a board with its picture", picture * 1000, "ms", "", True)
