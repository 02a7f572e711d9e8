"""A bot that can be killed and born again quickly: one process imports all, each life is a fork.

`python -m tests.crash.discord_lives` reads a line of JSON for each life (api, gateway, database,
clock, log), forks a bot that serves the database's clubs, prints its number, and when it has died
prints how. The bot's time is what stands in the clock's file; SIGUSR1 has it look at its clubs.
"""

from __future__ import annotations

import asyncio
import json
import logging
import os
import signal
import sys
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import Any

import bot.platforms.discord.room  # noqa: F401 - loaded before the forks
from bot.platforms.discord.connection import Connection
from bot.stock.starting_stock import load_starting_stock
from bot.wiring import running as wiring
from bot.wiring.discord import DiscordAccess
from tests.doubles.discord.double import TOKEN


async def live(life: dict[str, Any]) -> None:
    clock = Path(life["clock"])

    def now() -> datetime:
        return datetime.fromtimestamp(float(clock.read_text()), UTC)

    access = DiscordAccess(Connection(
        TOKEN, life["api"], life["gateway"], {"guild_ready_timeout": 0.01}
    ))  # fmt: skip
    async with wiring.open_clubs([], access, database=Path(life["database"]), now=now) as house:
        loop = asyncio.get_running_loop()
        loop.add_signal_handler(signal.SIGUSR1, house.schedule.wake)
        await asyncio.Event().wait()


def be_born(life: dict[str, Any]) -> int:
    """Fork a bot and return its number; in the fork this never returns."""
    born = os.fork()
    if born:
        return born
    try:
        logging.basicConfig(filename=life["log"], level=logging.WARNING, force=True)
        asyncio.run(live(life))
    except BaseException:
        logging.exception("a life ended by itself")
    finally:
        os._exit(3)


def main() -> None:
    # Read once, before the first fork: no life needs to do it again.
    wiring.load_starting_stock = cache(load_starting_stock)  # type: ignore[attr-defined]
    wiring.load_starting_stock()  # type: ignore[attr-defined]
    # The signal may come before a life has said what to do at it.
    signal.signal(signal.SIGUSR1, signal.SIG_IGN)
    for line in sys.stdin:
        number = be_born(json.loads(line))
        print(number, flush=True)  # noqa: T201
        _, status = os.waitpid(number, 0)
        print(os.waitstatus_to_exitcode(status), flush=True)  # noqa: T201


if __name__ == "__main__":
    main()
