"""The plug is pulled on the whole bot: `ninebark run` under kill -9, with a member at work.

Each round starts the bot on the same data folder, has a member write digits over a real socket,
and kills the process while a line is under way. What was answered must be there afterwards, the
line under way is sent again and answered once, and the day is posted once.
"""

from __future__ import annotations

import asyncio
import json
import sqlite3
import sys
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from random import Random
from typing import Any

import aiohttp
import pytest

from engine.board.grid import parse_grid
from tests.patience import PATIENCE

# The encyclopaedia example, also in SQLite's documentation (`lang_with`) and PuLP's example.
GIVENS = "53..7....6..195....98....6.8...6...34..8.3..17...2...6.6....28....419..5....8..79"
SOLUTION = "534678912672195348198342567859761423426853791713924856961537284287419635345286179"
CONFIG = """
[web]
port = 0
[[club]]
platform = "web"
room = "main"
name = "Maple Street Solvers"
zone = "{zone}"
post_time = "00:00"
"""
NINEBARK = (sys.executable, "-m", "bot")


def zone_of_noon() -> str:
    """Return a zone in which it is about noon now, so that no midnight comes in between.

    The bot under test is a process of its own, with the machine's clock.
    """
    behind = datetime.now(UTC).hour - 12
    return f"Etc/GMT{behind:+d}"


class RunningBot:
    """The bot's process, and one member's socket to it."""

    def __init__(self, process: asyncio.subprocess.Process, url: str) -> None:
        self.process = process
        self.url = url
        self.photo_key = ""

    @classmethod
    async def start(cls, config: Path) -> RunningBot:
        process = await asyncio.create_subprocess_exec(
            *NINEBARK, "run", "--config", str(config), stdout=asyncio.subprocess.PIPE
        )
        assert process.stdout is not None
        line = (await asyncio.wait_for(process.stdout.readline(), PATIENCE)).decode()
        return cls(process, next(word for word in line.split() if word.startswith("http")))

    async def kill(self) -> None:
        self.process.kill()
        await self.process.wait()


async def enter(session: aiohttp.ClientSession, bot: RunningBot) -> Any:
    """Come into the room as Ada; return the socket once the day is there."""
    socket = await session.ws_connect(f"{bot.url}socket", origin=bot.url.rstrip("/"))
    await socket.send_json({"type": "enter", "room": "main", "name": "Ada"})
    is_ready = is_posted = False
    while not (is_ready and is_posted):
        frame = await socket.receive_json()
        bot.photo_key = frame.get("photos", bot.photo_key)
        is_ready |= frame["type"] == "ready"
        is_posted |= frame.get("kind") == "post"
    return socket


async def ask(socket: Any, act_id: str, text: str) -> None:
    """Send a line and wait for its answer."""
    await socket.send_json({"type": "act", "id": act_id, "text": text})
    while (frame := await socket.receive_json()).get("id") != act_id or frame["type"] != "done":
        pass


async def queue_puzzle(config: Path) -> None:
    adding = await asyncio.create_subprocess_exec(
        *NINEBARK, "puzzles", "add", "--config", str(config), GIVENS, "--room", "main",
        stdout=asyncio.subprocess.DEVNULL,
    )  # fmt: skip
    assert await adding.wait() == 0


def rows_of(config: Path, question: str) -> list[tuple[Any, ...]]:
    with closing(sqlite3.connect(config.parent / "data" / "ninebark.db")) as link:
        assert link.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        return link.execute(question).fetchall()


@pytest.mark.parametrize(
    "kills",
    [pytest.param(2, id="2 kills"), pytest.param(12, id="12 kills", marks=pytest.mark.long)],
)
async def test_a_bot_that_is_killed_over_and_over_loses_no_answered_line(
    tmp_path: Path, kills: int
) -> None:
    config = tmp_path / "config.toml"
    config.write_text(CONFIG.format(zone=zone_of_noon()), encoding="utf-8")
    await queue_puzzle(config)
    random = Random(2026)
    layout = parse_grid(GIVENS).layout
    cells = [cell for cell, mark in enumerate(GIVENS) if mark == "."]
    random.shuffle(cells)
    answered, under_way = 0, ("start", "start")
    async with aiohttp.ClientSession() as session:
        for _ in range(kills):
            bot = await RunningBot.start(config)
            socket = await enter(session, bot)
            # The line of which no answer came is sent again under its own id.
            await ask(socket, *under_way)
            for _ in range(random.randint(1, 2)):
                cell = cells[answered]
                answered += 1
                under_way = (
                    f"line-{answered}",
                    f"place {layout.format_cell(cell)} {SOLUTION[cell]}",
                )
                await ask(socket, *under_way)
            cell = cells[answered]
            answered += 1
            under_way = (f"line-{answered}", f"place {layout.format_cell(cell)} {SOLUTION[cell]}")
            await socket.send_json({"type": "act", "id": under_way[0], "text": under_way[1]})
            await bot.kill()
        bot = await RunningBot.start(config)
        await ask(await enter(session, bot), *under_way)
        bot.process.terminate()
        assert await asyncio.wait_for(bot.process.wait(), PATIENCE) == 0
    ((board, history),) = rows_of(config, "SELECT board, history FROM entry")
    grid = json.loads(board)["grid"]
    for cell in cells[:answered]:
        assert grid[cell] == SOLUTION[cell]
    assert sum(mark != "." for mark in grid) == sum(mark != "." for mark in GIVENS) + answered
    # A line that was done twice would have left one board more to undo to.
    assert len(json.loads(history)) == answered
    posts = rows_of(config, "SELECT key FROM room_log WHERE key LIKE 'post:day:%'")
    assert len(posts) == len({key for (key,) in posts}) >= 1
