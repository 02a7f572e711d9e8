"""A room with the bot on a line that can fail, and one member: for what can go wrong in Matrix.

Pauses pass at once here; they are written down instead, and requests are counted.
"""

from __future__ import annotations

import asyncio
from datetime import UTC, datetime, timedelta
from pathlib import Path
from uuid import uuid4

from bot.platforms.clubs import Clubs
from bot.platforms.matrix.room import MatrixRoom
from bot.platforms.matrix.settings import MatrixSettings
from bot.platforms.message import Incoming, Message
from bot.storage import SqliteStore
from bot.storage.matrix import SqliteMatrixJournal
from bot.wording.matrix import MATRIX
from tests.doubles.matrix.club_house import new_account, new_room, sign_in_bot
from tests.doubles.matrix.faulty_line import FaultyLine
from tests.doubles.matrix.homeserver import shared_homeserver
from tests.doubles.matrix.member import Member
from tests.patience import PATIENCE


class Setting:
    """A room with a bot on a line that can fail, and one member."""

    def __init__(self, folder: Path, store: SqliteStore) -> None:
        self.folder = folder
        self.journal = SqliteMatrixJournal(store.database)
        self.server = shared_homeserver()
        self.line = FaultyLine(self.server)
        self.waits: list[float] = []
        self.heard: list[Incoming] = []
        self.changes: list[tuple[str, bool]] = []
        self.ahead = timedelta()
        self.room: MatrixRoom | None = None
        self.others: list[Member] = []
        self.clubs: list[str] = []
        self.leaders: dict[str, list[str]] = {}
        """The rooms of the clubs whose list of leaders names somebody."""
        self.is_encrypted = self.is_silent = False
        self._passed = asyncio.Event()

    async def prepare(
        self, *, is_encrypted: bool = False, bot_encrypts: bool | None = None
    ) -> None:
        self.is_encrypted = is_encrypted
        self.encrypt = is_encrypted if bot_encrypts is None else bot_encrypts
        await self.line.start()
        self.bot = await sign_in_bot(
            self.server, self.folder / "matrix", encrypt=self.encrypt, url=self.line.url
        )
        self.account = await new_account(self.server, "ada")
        self.ada = Member(self.server, self.account, self.folder / "ada" if is_encrypted else None)
        await self.ada.sync()
        self.room_id = await new_room(
            self.server, self.account, bot=self.bot, is_encrypted=is_encrypted
        )
        self.clubs.append(self.room_id)
        await self.ada.sync()

    async def newcomer(self, name: str) -> Member:
        """Bring somebody into the club's room who may do nothing there but talk."""
        account = await new_account(self.server, name)
        store = self.folder / name if self.is_encrypted else None
        member = Member(self.server, account, store)
        await member.sync()
        wish = {"user_id": account.user_id}
        await self.ada.call("POST", f"rooms/{self.room_id}/invite", wish)
        await member.call("POST", f"join/{self.room_id}", {})
        await member.sync()
        self.others.append(member)
        return member

    async def membership(self, room_id: str, user_id: str, *, by: Member) -> str:
        """Return somebody's membership as the homeserver knows it."""
        path = f"rooms/{room_id}/state/m.room.member/{user_id}"
        try:
            return str((await by.call("GET", path))["membership"])
        except OSError:
            return ""

    async def until_membership(self, room_id: str, state: str, *, by: Member) -> None:
        """Return when the bot's membership is so."""
        async with asyncio.timeout(PATIENCE):
            while await self.membership(room_id, self.bot.user_id, by=by) != state:
                await by.sync(200)

    async def wait(self, seconds: float) -> None:
        self.waits.append(seconds)
        self._passed.set()
        self._passed = asyncio.Event()
        await asyncio.sleep(0)

    async def until_waited(self, count: int) -> None:
        """Return when the bot has paused so often."""
        async with asyncio.timeout(PATIENCE):
            while len(self.waits) < count:
                await self._passed.wait()

    async def until_waited_like(self, pauses: list[float]) -> None:
        """Return when the bot has made these pauses in this order, others in between or not."""

        def is_done() -> bool:
            made = iter(self.waits)
            return all(pause in made for pause in pauses)

        async with asyncio.timeout(PATIENCE):
            while not is_done():
                await self._passed.wait()

    async def pass_syncs(self, count: int) -> None:
        """Have the bot sync so often, for something in the club's room that says nothing."""
        for _ in range(count):
            before = len(self.line.places)
            path = f"rooms/{self.room_id}/send/org.example.nudge/{uuid4().hex}"
            await self.ada.call("PUT", path, {})
            async with asyncio.timeout(PATIENCE):
                while len(self.line.places) <= before:
                    await self.ada.sync(50)

    async def answer(self, act: Incoming) -> tuple[Message, ...]:
        self.heard.append(act)
        if self.is_silent:
            return ()
        return (Message(f"answer to {act.text}"),)

    async def led_by(self, user_id: str) -> tuple[str, ...]:
        return tuple(self.leaders.get(user_id, ()))

    async def start(self) -> MatrixRoom:
        self.room = MatrixRoom(
            MatrixSettings(
                self.line.url,
                self.bot.user_id,
                inviters=(self.account.user_id,),
                encrypt=self.encrypt,
            ),
            self.folder / "matrix",
            Clubs(
                self.clubs,
                place_changed=lambda room_id, is_there: self.changes.append((room_id, is_there)),
                led_by=self.led_by,
                begins=lambda line: line == "!start",
            ),
            journal=self.journal,
            words=MATRIX,
            now=lambda: datetime.now(UTC) + self.ahead,
            wait=self.wait,
        )
        await asyncio.wait_for(self.room.start(self.answer), PATIENCE)
        return self.room

    async def stop(self) -> None:
        if self.room is not None:
            await asyncio.wait_for(self.room.stop(), PATIENCE)
            self.room = None

    async def close(self) -> None:
        await self.stop()
        for member in (self.ada, *self.others):
            await member.close()
        await self.line.stop()

    def private_room(self) -> str:
        return next(room_id for room_id in reversed(self.ada.invited) if room_id != self.room_id)

    def answers(self) -> list[str]:
        found = []
        for room_id in self.ada.invited:
            found += [
                text
                for text in self.ada.texts(room_id, by=self.bot.user_id)
                if text.startswith("answer to ")
            ]
        return found

    async def meet(self) -> None:
        """Have the private room opened."""
        await self.ada.say(self.room_id, "!hello")
        await self.ada.until(lambda: self.answers() == ["answer to !hello"])
