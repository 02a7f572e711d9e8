"""The kinds of store that there are, opened alike: the fake in memory, and SQLite in a new file."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

from bot.club.fake_store import FakeStore
from bot.club.ports import Store
from bot.storage import open_store
from tests.bot.storage.samples import NOON

KINDS = ("fake", "sqlite")


@asynccontextmanager
async def open_kind(kind: str, folder: Path) -> AsyncIterator[Store]:
    if kind == "fake":
        yield FakeStore()
        return
    async with open_store(folder / "club.db", now=lambda: NOON) as opened:
        yield opened
