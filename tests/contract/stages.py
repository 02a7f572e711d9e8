"""Stages: for each platform a room under test, and people who come to it as they would there.

The contract suite speaks to a `Stage` only. A new platform adds a class here and one line to the
fixture in `test_room.py`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Protocol

import aiohttp

from bot.platforms.fake import FakeRoom, Shown
from bot.platforms.message import Answerer, Incoming, Photo, Room
from bot.platforms.web.door import PageClubs, Place
from bot.platforms.web.front import Listening
from bot.platforms.web.log import FakeRoomLog, RoomLog
from bot.platforms.web.room import WebRoom
from bot.wording.web import WEB

ROOM = "hazel"
OTHER_ROOM = "birch"
STAMP = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)
WEB_PAGE = Path(__file__).resolve().parents[2] / "assets" / "web"


@dataclass(frozen=True)
class Seen:
    """What a person sees, in platform-neutral terms; `texts` of a thread are all its parts."""

    reference: str
    kind: str
    texts: tuple[str, ...]
    is_private: bool = False
    under: str = ""
    title: str = ""
    alt: str = ""
    commands: tuple[str, ...] = ()
    files: tuple[str, ...] = ()


class Stage(Protocol):
    """`stamp`: the one moment that it is on the platform, None where it has a clock of its own."""

    room: Room
    stamp: datetime | None

    async def open(self, answer: Answerer) -> None: ...

    async def close(self) -> None: ...

    async def send(
        self,
        name: str,
        text: str,
        *,
        act_id: str,
        in_open: bool = False,
        fields: Mapping[str, str] | None = None,
        photo: bytes = b"",
    ) -> None:
        """Play a person's act, with a photo where there is one, and return when it is answered."""

    async def sees(self, name: str, room_id: str = ROOM) -> tuple[Seen, ...]:
        """Return what a person sees who comes to the room now, oldest first."""


class FakeStage:
    stamp: datetime | None = STAMP

    def __init__(self) -> None:
        self.fake = FakeRoom([ROOM, OTHER_ROOM])
        self.room: Room = self.fake

    async def open(self, answer: Answerer) -> None:
        await self.fake.start(answer)

    async def close(self) -> None:
        await self.fake.stop()

    async def send(
        self,
        name: str,
        text: str,
        *,
        act_id: str,
        in_open: bool = False,
        fields: Mapping[str, str] | None = None,
        photo: bytes = b"",
    ) -> None:
        async def fetching(most: int) -> bytes | None:
            return photo if len(photo) <= most else None

        event_id = f"fake:{name}:{act_id}"
        user_id = name.casefold()
        act = Incoming(
            event_id, self.fake.platform, ROOM, user_id, name, False, STAMP, STAMP, text,
            fields or {}, in_open, photo=Photo(len(photo), fetching) if photo else None,
        )  # fmt: skip
        await self.fake.hear(act)

    async def sees(self, name: str, room_id: str = ROOM) -> tuple[Seen, ...]:
        return tuple(_seen_in_fake(shown) for shown in self.fake.visible(room_id, name.casefold()))


class WebStage:
    """The web room over real HTTP and WebSockets on a free loopback port."""

    stamp: datetime | None = STAMP

    def __init__(self, log: RoomLog | None = None) -> None:
        self._web = WebRoom(
            PageClubs(
                {ROOM: Place("Hazel Lane"), OTHER_ROOM: Place("Birch Row")}, takes_photos=True
            ),
            at=Listening("127.0.0.1", 0),
            shipped=WEB_PAGE.parent,
            log=FakeRoomLog() if log is None else log,
            now=lambda: STAMP,
            token=lambda: "epoch",
            words=WEB,
        )
        self.room: Room = self._web
        self._client: aiohttp.ClientSession | None = None

    async def open(self, answer: Answerer) -> None:
        await self._web.start(answer)
        self._client = aiohttp.ClientSession()

    async def close(self) -> None:
        assert self._client is not None
        await self._client.close()
        await self._web.stop()

    async def send(
        self,
        name: str,
        text: str,
        *,
        act_id: str,
        in_open: bool = False,
        fields: Mapping[str, str] | None = None,
        photo: bytes = b"",
    ) -> None:
        assert self._client is not None
        act = {"type": "act", "id": act_id, "text": text, "open": in_open, "fields": fields or {}}
        if photo:
            act["photo"] = len(photo)
        await self._visit(name, ROOM, act, photo)

    async def sees(self, name: str, room_id: str = ROOM) -> tuple[Seen, ...]:
        frames = await self._visit(name, room_id)
        entries = [frame for frame in frames if frame["type"] == "entry"]
        # A person's own typed lines are no message of the room.
        return tuple(_seen_on_page(entry) for entry in entries if entry["kind"] != "asked")

    async def _visit(
        self, name: str, room_id: str, act: dict[str, object] | None = None, photo: bytes = b""
    ) -> list[dict[str, Any]]:
        """Come in, send the act if there is one, and leave when it is answered."""
        assert self._client is not None
        address = self._web.url
        frames: list[dict[str, Any]] = []
        async with self._client.ws_connect(f"{address}socket", origin=address.rstrip("/")) as tab:
            await tab.send_json({"type": "enter", "room": room_id, "name": name})
            while not frames or frames[-1]["type"] != "ready":
                frames.append(await tab.receive_json())
            if act is not None:
                if photo:
                    place = f"{frames[0]['photos']}/{act['id']}"
                    await send_photo(self._client, address, place, photo)
                await tab.send_json(act)
                while frames[-1]["type"] != "done":
                    frames.append(await tab.receive_json())
        return frames


async def send_photo(client: aiohttp.ClientSession, url: str, place: str, photo: bytes) -> None:
    """Send a photo to the web room, as its page does before the act: `place` is the visitor's key
    and the act's id."""
    headers = {"Origin": url.rstrip("/")}
    async with client.post(f"{url}photos/{place}", data=photo, headers=headers) as sent:
        assert sent.status == 204, sent.status


def _seen_in_fake(shown: Shown) -> Seen:
    first = shown.messages[0]
    return Seen(
        reference=shown.reference,
        kind=shown.kind,
        texts=tuple(message.text for message in shown.messages),
        is_private=shown.user_id is not None,
        under=shown.under,
        title=shown.title,
        alt=first.picture.alt if first.picture else "",
        commands=tuple(button.command for button in first.buttons),
        files=(first.file.name,) if first.file else (),
    )


def _seen_on_page(entry: dict[str, Any]) -> Seen:
    body = entry["body"]
    first = body["messages"][0]
    return Seen(
        reference=str(entry["id"]),
        kind=entry["kind"],
        texts=tuple(message["text"] for message in body["messages"]),
        is_private=entry["private"],
        under=str(body["under"]) if "under" in body else "",
        title=body.get("title", ""),
        alt=first["picture"]["alt"] if "picture" in first else "",
        commands=tuple(button["command"] for button in first.get("buttons", ())),
        files=(first["file"]["name"],) if "file" in first else (),
    )
