"""A web room on a free loopback port, with a clock that a test winds by hand."""

from __future__ import annotations

from collections.abc import AsyncIterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import aiohttp
import pytest

from bot.platforms.links import Links
from bot.platforms.message import Incoming, Message
from bot.platforms.web.door import PageClubs, Place
from bot.platforms.web.front import Front, Listening
from bot.platforms.web.log import FakeRoomLog
from bot.platforms.web.room import WebRoom
from bot.wording.web import WEB

ROOM = "hazel"
WEB_PAGE = Path(__file__).resolve().parents[3] / "assets" / "web"
NOBODYS = "0" * 64
"""A key under which photos may come, and no visitor's."""


@dataclass
class HandClock:
    at: datetime = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)

    def now(self) -> datetime:
        return self.at

    def wind(self, seconds: float) -> None:
        self.at += timedelta(seconds=seconds)


@dataclass
class EchoClub:
    heard: list[Incoming] = field(default_factory=list)
    photos: list[bytes | None] = field(default_factory=list)

    async def answer(self, act: Incoming) -> tuple[Message, ...]:
        self.heard.append(act)
        if act.photo is not None:
            self.photos.append(await act.photo.fetch(1000))
        return (Message(f"heard: {act.text}"),)


class Tab:
    """A plain WebSocket client: what a page would send and be sent."""

    def __init__(self, socket: aiohttp.ClientWebSocketResponse) -> None:
        self.socket = socket
        self.photos = ""

    async def enter(self, name: str, room: str = ROOM, **seen: Any) -> list[dict[str, Any]]:
        await self.socket.send_json({"type": "enter", "room": room, "name": name, **seen})
        frames = await self.until("ready")
        self.photos = frames[0]["photos"]
        return frames

    async def act(self, act_id: str, text: str, **more: Any) -> None:
        await self.socket.send_json({"type": "act", "id": act_id, "text": text, **more})

    async def until(self, kind: str) -> list[dict[str, Any]]:
        """Read frames up to the first of this kind, and return them all."""
        frames = [await self.socket.receive_json()]
        while frames[-1]["type"] != kind:
            frames.append(await self.socket.receive_json())
        return frames


class Client:
    """Speaks to a room over HTTP as a browser on its page would."""

    def __init__(self, session: aiohttp.ClientSession, room: WebRoom) -> None:
        self.session = session
        self.room = room
        self._tabs: list[Tab] = []

    async def open_tab(self, **request: Any) -> Tab:
        request.setdefault("origin", self.room.url.rstrip("/"))
        tab = Tab(await self.session.ws_connect(f"{self.room.url}socket", **request))
        self._tabs.append(tab)
        return tab

    async def close(self) -> None:
        for tab in self._tabs:
            await tab.socket.close()


@pytest.fixture
def clock() -> HandClock:
    return HandClock()


@pytest.fixture
def club() -> EchoClub:
    return EchoClub()


@pytest.fixture
def log() -> FakeRoomLog:
    return FakeRoomLog()


def make_room(
    clock: HandClock,
    log: FakeRoomLog,
    *,
    epoch: str = "first",
    front: Front | None = None,
    takes_photos: bool = True,
    port: int = 0,
    links: Links | None = None,
) -> WebRoom:
    return WebRoom(
        PageClubs(
            {ROOM: Place("Hazel Lane", leaders=("Odile Fenn",))},
            links=links,
            takes_photos=takes_photos,
        ),
        at=Listening("127.0.0.1", port, front),
        shipped=WEB_PAGE.parent,
        log=log,
        now=clock.now,
        token=lambda: epoch,
        words=WEB,
    )


@pytest.fixture
async def room(clock: HandClock, log: FakeRoomLog, club: EchoClub) -> AsyncIterator[WebRoom]:
    room = make_room(clock, log)
    await room.start(club.answer)
    yield room
    await room.stop()


@pytest.fixture
async def client(room: WebRoom) -> AsyncIterator[Client]:
    async with aiohttp.ClientSession() as session:
        client = Client(session, room)
        yield client
        await client.close()


@pytest.fixture
async def tab(client: Client) -> Tab:
    """Ada's tab, already in the room."""
    tab = await client.open_tab()
    await tab.enter("Ada")
    return tab
