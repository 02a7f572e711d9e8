"""The stores that whole stories run on: the fake in memory, and SQLite in a new file."""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path

import pytest

from bot.club.fake_store import FakeStore
from bot.club.ports import Store
from bot.storage import open_store


@pytest.fixture(params=["fake", "sqlite"])
async def store(request: pytest.FixtureRequest, tmp_path: Path) -> AsyncIterator[Store]:
    if request.param == "fake":
        yield FakeStore()
        return
    async with open_store(tmp_path / "club.db") as opened:
        yield opened
