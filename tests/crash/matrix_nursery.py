"""Starts the bot over and over as a child that can be killed, without loading it anew each time.

For each line of standard input, `DAYS AHEAD`, a child is forked that runs the club with its clock
so many days ahead. Its number goes to standard output, and `over` when it has died.

Run as: python -m tests.crash.matrix_nursery FOLDER URL BOT ROOM encrypted|open
"""

from __future__ import annotations

import asyncio
import gc
import os
import sys
import threading
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path

import bot.platforms.matrix.room  # noqa: F401 - loaded before the forks
from bot.club.state import ClubSettings
from bot.settings import ClubConfig
from bot.wiring.matrix import MatrixAccess, MatrixSettings
from bot.wiring.running import open_clubs
from tests.doubles.matrix.club_house import local_noon


async def run_club(arguments: Sequence[str], ahead: timedelta) -> None:
    folder, url, user_id, room_id, mode = arguments
    zone, post_time = local_noon()
    settings = ClubSettings(
        "Maple Street Solvers", zone=zone, post_time=post_time, levels=(1,) * 7, quick=0
    )
    access = MatrixAccess(
        MatrixSettings(homeserver=url, user=user_id, encrypt=mode == "encrypted"),
        Path(folder, "matrix"),
    )
    async with open_clubs(
        [ClubConfig("matrix", room_id, settings)],
        access,
        database=Path(folder, "club.db"),
        now=lambda: datetime.now(UTC) + ahead,
    ):
        print("ready", flush=True)  # noqa: T201
        await asyncio.Event().wait()


def main() -> None:
    gc.freeze()
    for line in sys.stdin:
        assert threading.active_count() == 1, "a fork takes no other thread along"
        child = os.fork()
        if child == 0:
            asyncio.run(run_club(sys.argv[1:], timedelta(days=int(line))))
            os._exit(0)
        print(child, flush=True)  # noqa: T201
        os.waitpid(child, 0)
        print("over", flush=True)  # noqa: T201


if __name__ == "__main__":
    main()
