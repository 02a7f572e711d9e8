"""The plug is pulled while a photo is read: nothing of it is left, and it can be sent again.

The bot is `ninebark run` itself, with the real reader, which is held still at its work so that
the bot surely dies in the middle of it.
"""

from __future__ import annotations

import asyncio
import os
import signal
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import aiohttp
import pytest

from tests.bot.photo.photos import photo
from tests.contract.stages import send_photo
from tests.crash.test_whole_bot import (
    CONFIG,
    GIVENS,
    RunningBot,
    ask,
    enter,
    queue_puzzle,
    rows_of,
    zone_of_noon,
)
from tests.patience import PATIENCE

ACT = {"type": "act", "id": "photo-1", "text": "hint"}


def loaded_by(process: int) -> set[str]:
    """Return which of the photo's libraries a process has loaded."""
    maps = Path(f"/proc/{process}/maps").read_text(encoding="utf-8")
    return {name for name in ("cv2", "numpy") if f"/{name}" in maps}


def children_of(process: int) -> Iterator[int]:
    """Yield the processes that one has started."""
    for thread in Path(f"/proc/{process}/task").iterdir():
        yield from map(int, (thread / "children").read_text().split())


def files_with(content: bytes, folder: Path) -> list[Path]:
    """Return the files below a folder that hold a part of a photo."""
    files = [each for each in folder.rglob("*") if each.is_file()]
    assert files
    return [each for each in files if content[1000:1064] in each.read_bytes()]


async def reader_of(bot: int) -> int:
    """Return the process that reads a photo, held still once it has its libraries."""
    while True:
        for child in children_of(bot):
            if loaded_by(child) == {"cv2", "numpy"}:
                os.kill(child, signal.SIGSTOP)
                return child
        await asyncio.sleep(0)


async def send(session: aiohttp.ClientSession, bot: RunningBot, content: bytes) -> Any:
    """Send a photo and its act, as the page does; return the socket."""
    socket = await enter(session, bot)
    await send_photo(session, bot.url, f"{bot.photo_key}/{ACT['id']}", content)
    await socket.send_json({**ACT, "photo": len(content)})
    return socket


async def test_a_bot_killed_while_it_reads_a_photo_keeps_none_and_reads_it_when_sent_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    config, files = tmp_path / "config.toml", tmp_path / "files"
    config.write_text(CONFIG.format(zone=zone_of_noon()), encoding="utf-8")
    files.mkdir()
    monkeypatch.setenv("TMPDIR", str(files))
    await queue_puzzle(config)
    content = photo("printed", 1, GIVENS)[0].content
    async with aiohttp.ClientSession() as session:
        bot = await RunningBot.start(config)
        socket = await enter(session, bot)
        await ask(socket, "start", "start")
        await send(session, bot, content)
        reader = await asyncio.wait_for(reader_of(bot.process.pid), PATIENCE)
        assert loaded_by(bot.process.pid) == set()
        bot.process.kill()
        os.kill(reader, signal.SIGCONT)
        # Its output ends with the last process that holds it, which is the reader.
        assert await asyncio.wait_for(bot.process.wait(), PATIENCE) == -signal.SIGKILL
        assert files_with(content, tmp_path) == []
        answers = "SELECT body FROM room_log WHERE kind = 'answer'"
        assert "in your photo" not in str(rows_of(config, answers))

        bot = await RunningBot.start(config)
        socket = await send(session, bot, content)
        while (frame := await socket.receive_json()).get("id") != ACT["id"]:
            assert frame["type"] != "refused", frame
        assert loaded_by(bot.process.pid) == set(), "not even once one was read"
        bot.process.terminate()
        assert await asyncio.wait_for(bot.process.wait(), PATIENCE) == 0
    assert "This is what I read in your photo." in str(rows_of(config, answers))
    assert files_with(content, tmp_path) == []
    assert list(files.iterdir()) == []
