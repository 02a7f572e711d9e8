"""200 boards of one club open at once, a tap a second each: what an answer takes, and the memory.

The club runs in a process of its own, on a database of its own, as `ninebark run` does; the pages
are plain WebSocket clients, which cost less than browsers.
"""

from __future__ import annotations

import asyncio
import json
import os
import random
import re
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import aiohttp

from tests.bench import Figure, median, percentile

BOARDS = 200
SECONDS = 20
MOST_MILLISECONDS = 100.0
CONFIG = """
[web]
port = 0
[[club]]
platform = "web"
room = "main"
name = "Hedgerow Sudoku Club"
post_time = "{post_time}"
"""


async def _enter(session: aiohttp.ClientSession, url: str, name: str) -> Any:
    socket = await session.ws_connect(f"{url}socket", origin=url.rstrip("/"))
    await socket.send_json({"type": "enter", "room": "main", "name": name})
    board = None
    while True:
        frame = await socket.receive_json()
        if frame["type"] == "board":
            board = frame["board"]
        if frame["type"] == "ready":
            return socket, board


async def _touch(socket: Any, number: int, text: str) -> float:
    begun = time.perf_counter()
    await socket.send_json({"type": "touch", "id": f"t{number}", "text": text})
    while True:
        frame = json.loads((await socket.receive()).data)
        if frame["type"] == "touched":
            return time.perf_counter() - begun
        assert frame["type"] in ("board", "entry"), frame


async def _play(socket: Any, board: dict[str, Any], rng: random.Random) -> list[float]:
    """Start the clock, then tap once a second from a moment of one's own."""
    day = board["day"]
    await _touch(socket, 0, f"start {day}")
    cells = [cell for cell in range(81) if board["givens"][cell] not in "123456789"]
    await asyncio.sleep(rng.random())
    begun, took = time.perf_counter(), []
    for number in range(1, SECONDS + 1):
        cell = rng.choice(cells)
        name = f"r{cell // 9 + 1}c{cell % 9 + 1}"
        took.append(await _touch(socket, number, f"place {name} {rng.randint(1, 9)} {day}"))
        await asyncio.sleep(max(0.0, begun + number - time.perf_counter()))
    return took


async def _measure(url: str) -> list[float]:
    rng = random.Random(1)
    connector = aiohttp.TCPConnector(limit=0)
    async with aiohttp.ClientSession(connector=connector) as session:
        tabs = [await _enter(session, url, f"Member {number}") for number in range(BOARDS)]
        each = await asyncio.gather(
            *(_play(socket, board, random.Random(rng.random())) for socket, board in tabs)
        )
        for socket, _ in tabs:
            await socket.close()
    return [seconds for took in each for seconds in took]


def _resident(pid: int) -> float:
    status = Path(f"/proc/{pid}/status").read_text()
    line = next(line for line in status.splitlines() if line.startswith("VmRSS"))
    return int(line.split()[1]) / 1024


def _processor_seconds(pid: int) -> float:
    fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def find_figures() -> Iterator[Figure]:
    """The clients share the machine with the club."""
    with tempfile.TemporaryDirectory() as folder:
        config = Path(folder, "config.toml")
        posted = datetime.now(UTC) - timedelta(minutes=1)
        config.write_text(CONFIG.format(post_time=f"{posted:%H:%M}"), encoding="utf-8")
        running = subprocess.Popen(
            [sys.executable, "-m", "bot", "run", "--config", str(config)],
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
        )
        assert running.stdout is not None
        try:
            found = re.search(r"http://\S+/", running.stdout.readline())
            assert found is not None
            time.sleep(3)  # the day's puzzle goes up
            before, spent = _resident(running.pid), _processor_seconds(running.pid)
            took = asyncio.run(_measure(found[0]))
            after = _resident(running.pid)
            spent = _processor_seconds(running.pid) - spent
        finally:
            running.terminate()
            running.wait()
            running.stdout.close()
    last = percentile(took, 0.99) * 1000
    yield Figure("taps answered", len(took), "", "", True)
    yield Figure("an answer, median", median(took) * 1000, "ms")
    yield Figure("an answer, 99th percentile", last, "ms", "under 100", last < MOST_MILLISECONDS)
    yield Figure("the longest answer", max(took) * 1000, "ms")
    yield Figure("the club's processor time for a tap", spent / len(took) * 1000, "ms")
    yield Figure("memory with no board open", before, "MB")
    yield Figure(f"memory with {BOARDS} boards open", after, "MB")
