"""One life of a stocker, to be killed: `python -m tests.crash.stocker_life DATABASE`.

Prints a worker's process id, then the seed of each puzzle that is safely in stock.
"""

from __future__ import annotations

import asyncio
import os
import sys
from pathlib import Path

from bot.club.state import ClubSettings, Puzzle
from bot.stock.stocker import Stocker
from bot.stock.workshop import Workshop
from bot.storage import open_store

SETTINGS = ClubSettings("Maple Street Solvers", levels=(2,) * 7, theme="pointing")


def tell(puzzle: Puzzle) -> None:
    print(puzzle.origin.split()[3], flush=True)  # noqa: T201


async def live(database: Path) -> None:
    workshop = Workshop()
    async with open_store(database) as store:
        await store.add_club("web", "maple", SETTINGS)
        print(await workshop.run(os.getpid), flush=True)  # noqa: T201
        await Stocker(store, workshop, at_least=1000).fill(tell)


if __name__ == "__main__":
    asyncio.run(live(Path(sys.argv[1])))
