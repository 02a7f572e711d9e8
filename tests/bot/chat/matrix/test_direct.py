"""A private room is used once the stream has told all of it: a sync may come in the middle of its
making, and what was sent to an encrypted room then went in clear.
"""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from bot.chat.matrix_direct import DirectRooms
from bot.storage import SqliteMatrixJournal, open_store
from bot.wording.matrix import MATRIX

CLUB, PRIVATE, ADA = "!club", "!private", "@ada:example.org"


class Server:
    """What a sync has told so far: rooms by id, True for encrypted ones."""

    user_id = "@ninebark:example.org"
    is_encrypting = True
    marks: dict[str, dict[str, Any]] = {}  # noqa: RUF012 # nothing is ever put into it

    def __init__(self, *, is_encrypted: bool) -> None:
        self.told = {CLUB: is_encrypted}
        self.made = asyncio.Event()
        self.is_awaited = asyncio.Event()

    def is_in(self, room_id: str) -> bool:
        self.is_awaited.set()
        return room_id in self.told

    def is_encrypted(self, room_id: str) -> bool:
        return self.told.get(room_id, False)

    def title_of(self, room_id: str) -> str:
        return "Maple Street"

    async def request(self, method: str, path: str, body: object = None) -> dict[str, Any]:
        if path == "createRoom":
            self.made.set()
        return {"room_id": PRIVATE}


@pytest.fixture
async def journal(tmp_path: Path) -> AsyncIterator[SqliteMatrixJournal]:
    async with open_store(tmp_path / "club.db") as store:
        now = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)
        yield SqliteMatrixJournal(store.database, lambda: now)


async def at_once(seconds: float) -> None:
    pass


async def settled() -> None:
    """Let everything go on that can."""
    for _ in range(20):
        await asyncio.sleep(0)


async def test_an_encrypted_private_room_is_used_once_it_is_known_to_be_one(
    journal: SqliteMatrixJournal,
) -> None:
    server = Server(is_encrypted=True)
    rooms = DirectRooms(server, journal, MATRIX, at_once)  # type: ignore[arg-type]
    wanted = asyncio.create_task(rooms.ensure(CLUB, ADA))
    await server.made.wait()
    server.told[PRIVATE] = False
    await server.is_awaited.wait()
    rooms.heard()
    await settled()
    assert not wanted.done()
    server.told[PRIVATE] = True
    rooms.heard()
    assert await wanted == PRIVATE


async def test_a_plain_private_room_is_used_as_soon_as_it_appears(
    journal: SqliteMatrixJournal,
) -> None:
    server = Server(is_encrypted=False)
    rooms = DirectRooms(server, journal, MATRIX, at_once)  # type: ignore[arg-type]
    wanted = asyncio.create_task(rooms.ensure(CLUB, ADA))
    await server.made.wait()
    server.told[PRIVATE] = False
    rooms.heard()
    assert await wanted == PRIVATE
