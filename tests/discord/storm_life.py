"""A bot in a process of its own that serves a database's clubs, and tells how it fares.

`python -m tests.discord.storm_life` reads one line of JSON (api, gateway, database, clock, and its
shards such as `0 of 2` where it is one process of several).
Its time is what stands in the clock's file. SIGUSR1 has it look at its clubs; at SIGUSR2 it writes
a line of JSON: the longest time that its loop did not come round, and that it worked meanwhile, not
counting what other programs took of the machine; how often that was over LONG; and its memory.
"""

from __future__ import annotations

import asyncio
import json
import logging
import signal
import sys
import time
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from bot.platforms.discord.connection import Connection
from bot.platforms.discord.shards import parse_shards
from bot.wiring import running as wiring
from bot.wiring.discord import DiscordAccess
from tests.doubles.discord.double import TOKEN

LONG = 0.05


class Stalls:
    def __init__(self) -> None:
        self.longest, self.own, self.long = 0.0, 0.0, 0

    async def watch(self) -> None:
        while True:
            begin, worked = time.perf_counter(), time.thread_time()
            await asyncio.sleep(0.001)
            late, own = time.perf_counter() - begin - 0.001, time.thread_time() - worked
            self.longest, self.own = max(self.longest, late), max(self.own, own)
            self.long += own > LONG


def mebibytes(name: str) -> int:
    lines = Path("/proc/self/status").read_text().splitlines()
    return next(int(each.split()[1]) // 1024 for each in lines if each.startswith(f"{name}:"))


async def live(life: dict[str, Any]) -> None:
    clock, stalls = Path(life["clock"]), Stalls()

    def now() -> datetime:
        return datetime.fromtimestamp(float(clock.read_text()), UTC)

    def tell() -> None:
        told = {"stall_ms": round(stalls.longest * 1000), "long": stalls.long}
        told["own_ms"] = round(stalls.own * 1000)
        told |= {"mib": mebibytes("VmRSS"), "most_mib": mebibytes("VmHWM")}
        stalls.longest, stalls.own, stalls.long = 0.0, 0.0, 0
        print(json.dumps(told), flush=True)  # noqa: T201

    part = parse_shards(life["shards"]) if "shards" in life else None
    options = {"guild_ready_timeout": 0.5}
    access = DiscordAccess(Connection(TOKEN, life["api"], life["gateway"], options, part))
    async with wiring.open_clubs([], access, database=Path(life["database"]), now=now) as house:
        loop = asyncio.get_running_loop()
        loop.add_signal_handler(signal.SIGUSR1, house.schedule.wake)
        loop.add_signal_handler(signal.SIGUSR2, tell)
        await stalls.watch()


if __name__ == "__main__":
    logging.basicConfig(level=logging.WARNING)
    asyncio.run(live(json.loads(sys.stdin.readline())))
