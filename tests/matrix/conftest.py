"""A club in Matrix for stories: the real bot on a real homeserver, both restarted as a test likes,
two members and a leader with clients of their own.
"""

from __future__ import annotations

import asyncio
import re
from collections.abc import AsyncIterator, Callable
from contextlib import AsyncExitStack
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from nio.crypto import decrypt_attachment

from bot.club.ports import SavePuzzle
from bot.club.state import ClubSettings, Puzzle
from bot.platforms.matrix.reading import KEYCAPS
from bot.settings import ClubConfig
from bot.storage import open_store
from bot.wiring.matrix import MatrixAccess, MatrixSettings
from bot.wiring.platform import Access
from bot.wiring.running import RunningBot, open_clubs
from tests.bot.club.stories import crook_puzzle, easy_puzzle, seventeen_puzzle
from tests.doubles.matrix.club_house import local_noon, new_account, new_room, sign_in_bot
from tests.doubles.matrix.homeserver import Homeserver, shared_homeserver
from tests.doubles.matrix.member import Member, is_in_a_thread, message_of, text_of
from tests.matrix.setting import Setting
from tests.patience import PATIENCE

PNG = b"\x89PNG\r\n\x1a\n"


class Bench:
    def __init__(self, folder: Path, server: Homeserver, *, is_encrypted: bool) -> None:
        self.folder = folder
        self.server = server
        self.is_encrypted = is_encrypted
        self.url = server.url
        self.ahead = timedelta()
        self.house: RunningBot | None = None
        self.entries: list[ClubConfig] = []
        self.besides: list[Access] = []
        """Other platforms that the bot serves."""
        self._stack = AsyncExitStack()

    def now(self) -> datetime:
        return datetime.now(UTC) + self.ahead

    @property
    def members(self) -> tuple[Member, ...]:
        return self.rowan, self.ada, self.ben

    async def prepare(self, *puzzles: Puzzle, found: bool = True) -> None:
        """Make the people, the room, the bot's sign-in, and the club with its queue."""
        server, secret = self.server, self.is_encrypted
        accounts = [await new_account(server, name) for name in ("rowan", "ada", "ben")]
        self.rowan, self.ada, self.ben = (
            Member(
                server,
                account,
                self.folder / account.user_id[1:4] if secret else None,
                is_careful=secret and account is accounts[2],
            )
            for account in accounts
        )
        for member in self.members:
            await member.sync()
        self.bot = await sign_in_bot(server, self.folder / "matrix", encrypt=secret, url=self.url)
        self.room_id = await new_room(
            server,
            accounts[0],
            members=accounts[1:],
            bot=self.bot,
            is_encrypted=secret,
            name="Maple Street Solvers",
        )
        for member in self.members:
            await member.sync()
        if not found:
            return
        zone, post_time = local_noon()
        settings = ClubSettings(
            "Maple Street Solvers",
            zone=zone,
            post_time=post_time,
            quick=0,
            leaders=(self.rowan.user_id,),
            ping=("room",),
        )
        self.entries = [ClubConfig("matrix", self.room_id, settings)]
        async with open_store(self.folder / "club.db") as store:
            club = await store.add_club("matrix", self.room_id, settings)
            for puzzle in puzzles:
                await store.save([SavePuzzle(puzzle, club_id=club.id, is_queued=True)])

    async def start(self) -> RunningBot:
        settings = MatrixSettings(
            homeserver=self.url,
            user=self.bot.user_id,
            inviters=(self.rowan.user_id,),
            encrypt=self.is_encrypted,
        )
        self.house = await self._stack.enter_async_context(
            open_clubs(
                self.entries,
                MatrixAccess(settings, self.folder / "matrix"),
                *self.besides,
                database=self.folder / "club.db",
                now=self.now,
            )
        )
        return self.house

    async def stop(self) -> None:
        await asyncio.wait_for(self._stack.aclose(), PATIENCE)
        self._stack = AsyncExitStack()
        self.house = None

    async def restart(self) -> None:
        await self.stop()
        await self.start()

    async def restart_server(self) -> None:
        await asyncio.to_thread(self.server.stop)
        await asyncio.to_thread(self.server.start)

    async def tick(self) -> None:
        """Have every club looked at now, and return when nothing is left to send."""
        assert self.house is not None
        for club in await self.house.store.load_clubs():
            await asyncio.wait_for(self.house.schedule.serve(club), PATIENCE)

    async def close(self) -> None:
        await self.stop()
        for member in self.members:
            await member.close()

    # --- what people see ---

    def private_room(self, member: Member) -> str | None:
        rooms = [room_id for room_id in member.invited if room_id != self.room_id]
        return rooms[-1] if rooms else None

    def from_bot(self, member: Member, room_id: str | None) -> list[dict[str, Any]]:
        """Return what the bot has said in a room, as a member's client shows it."""
        if room_id is None:
            return []
        return [
            event
            for event in member.sources(room_id)
            if event["sender"] == self.bot.user_id and event["type"] == "m.room.message"
        ]

    def answers(self, member: Member) -> list[dict[str, Any]]:
        """Return what the bot has said in private, but for the text that hangs below pictures."""
        said = self.from_bot(member, self.private_room(member))
        return [each for each in said if not is_in_a_thread(each)]

    def posts(self, member: Member) -> list[dict[str, Any]]:
        """Return the bot's posts in the club's room: no thread, no reply, no edit."""
        return [
            event
            for event in self.from_bot(member, self.room_id)
            if "m.relates_to" not in event["content"]
        ]

    def daily_posts(self, member: Member) -> list[dict[str, Any]]:
        return [post for post in self.posts(member) if "Start my clock" in text_of(post)]

    def thread(self, member: Member, root: str, room_id: str | None = None) -> list[dict[str, Any]]:
        return [
            event
            for event in self.from_bot(member, room_id or self.room_id)
            if is_in_a_thread(event) and event["content"]["m.relates_to"]["event_id"] == root
        ]

    async def below(self, member: Member, event: dict[str, Any]) -> str:
        """Return what hangs below a private picture, the newest first."""
        root = message_of(event)
        found = await member.until(lambda: self.thread(member, root, self.private_room(member)))
        return "\n".join(text_of(each) for each in reversed(found))

    # --- what people do ---

    async def ask(self, member: Member, line: str, *, messages: int = 1) -> list[dict[str, Any]]:
        """Send a command, privately where there is a private room; return the new answers."""
        room_id = self.private_room(member)

        async def act() -> None:
            if room_id is None:
                await member.say(self.room_id, f"!{line}")
            else:
                await member.say(room_id, line)

        return await self.answers_to(member, act, messages)

    async def press(
        self, member: Member, event: dict[str, Any], label: str, *, messages: int = 1
    ) -> list[dict[str, Any]]:
        """React with the mark of a choice; return the new answers."""
        (mark,) = [
            line.split(" ")[0]
            for line in text_of(event).split("\n")
            if "\u20e3" in line and label in line
        ]
        assert mark in KEYCAPS
        return await self.react(member, event, mark, messages=messages)

    async def react(
        self, member: Member, event: dict[str, Any], mark: str, *, messages: int = 1
    ) -> list[dict[str, Any]]:
        """React with a mark, also one that the event does not show; return the new answers."""
        posted = (each["event_id"] for each in self.from_bot(member, self.room_id))
        in_club = event["event_id"] in posted
        place = self.room_id if in_club else self.private_room(member)
        assert place is not None
        return await self.answers_to(
            member, lambda: member.react(place, message_of(event), mark), messages
        )

    async def answers_to(
        self, member: Member, act: Callable[[], Any], messages: int
    ) -> list[dict[str, Any]]:
        before = {event["event_id"] for event in self.answers(member)}

        def new() -> list[dict[str, Any]]:
            found = [event for event in self.answers(member) if event["event_id"] not in before]
            return found if len(found) >= messages else []

        await act()
        answers: list[dict[str, Any]] = await self.patiently(member, new)
        return answers

    async def patiently(self, member: Member, seen: Callable[[], Any]) -> Any:
        """Look until `seen` returns something true; return it."""
        return await member.until(seen)

    async def picture(self, member: Member, event: dict[str, Any]) -> bytes:
        """Download the picture of an event, and decrypt it where it is encrypted."""
        content = event["content"]
        assert ("file" in content) == self.is_encrypted
        uri = content["file"]["url"] if self.is_encrypted else content["url"]
        found = re.fullmatch(r"mxc://([^/]+)/(.+)", uri)
        assert found is not None
        address = f"{self.server.url}/_matrix/client/v1/media/download/{found[1]}/{found[2]}"
        session = member.client.client_session
        assert session is not None
        headers = {"Authorization": f"Bearer {member.token}"}
        async with session.get(address, headers=headers) as answer:
            assert answer.status == 200
            raw = await answer.read()
        if not self.is_encrypted:
            return raw
        file = content["file"]
        return bytes(
            decrypt_attachment(raw, file["key"]["k"], file["hashes"]["sha256"], file["iv"])
        )


@pytest.fixture(params=[pytest.param("open", marks=pytest.mark.long), "encrypted"])
async def bench(request: pytest.FixtureRequest, tmp_path: Path) -> AsyncIterator[Bench]:
    """A club whose first puzzles are published ones, not yet started."""
    made = Bench(tmp_path, shared_homeserver(), is_encrypted=request.param == "encrypted")
    await made.prepare(easy_puzzle(), crook_puzzle(), seventeen_puzzle())
    try:
        yield made
    finally:
        await made.close()


@pytest.fixture
async def open_bench(tmp_path: Path) -> AsyncIterator[Bench]:
    """The same in an open room only."""
    made = Bench(tmp_path, shared_homeserver(), is_encrypted=False)
    await made.prepare(easy_puzzle(), crook_puzzle(), seventeen_puzzle())
    try:
        yield made
    finally:
        await made.close()


@pytest.fixture
async def setting(tmp_path: Path) -> AsyncIterator[Setting]:
    async with open_store(tmp_path / "club.db") as store:
        made = Setting(tmp_path, store)
        yield made
        await made.close()
