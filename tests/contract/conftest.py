"""The stores that the contract suite runs on: the fake in memory, and SQLite in a new file."""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path

import pytest

from bot.club.ports import Store
from tests.bot.storage.kinds import KINDS, open_kind


@pytest.fixture(params=KINDS)
async def store(request: pytest.FixtureRequest, tmp_path: Path) -> AsyncIterator[Store]:
    async with open_kind(request.param, tmp_path) as opened:
        yield opened
