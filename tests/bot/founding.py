"""A club's data folder as a first start leaves it, for commands that begin none."""

from __future__ import annotations

import asyncio
from pathlib import Path

from bot.storage import open_store
from bot.wiring.running import DATABASE_NAME


def found(folder: Path) -> Path:
    """Begin a club's folder, and return it."""

    async def begin() -> None:
        async with open_store(folder / DATABASE_NAME):
            pass

    folder.mkdir(parents=True, exist_ok=True)
    asyncio.run(begin())
    return folder
