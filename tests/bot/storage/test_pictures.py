"""No picture is stored: the page is served what is drawn again, of real posts and answers."""

from __future__ import annotations

import hashlib
import json
import re
from pathlib import Path

import aiohttp

from bot.demo import demo_settings
from bot.settings import ClubConfig
from bot.wiring.running import open_clubs
from bot.wiring.web import WebAccess
from tests.bot.storage.samples import NOON
from tests.bot.storage.test_no_byte_is_left import files_with

_TOKEN = re.compile(r'"(?:light|dark)": "([0-9a-f]{64})"')


async def test_pictures_are_in_no_file_and_the_page_shows_them_all_the_same(tmp_path: Path) -> None:
    entry = ClubConfig("web", "main", demo_settings())
    tokens: set[str] = set()
    async with (
        open_clubs(
            [entry], WebAccess(port=0), database=tmp_path / "club.db", now=lambda: NOON
        ) as house,
        aiohttp.ClientSession() as session,
    ):
        url = house.rooms["web"].url  # type: ignore[attr-defined] # the web room's own
        async with session.ws_connect(f"{url}socket", origin=url.rstrip("/")) as socket:
            await socket.send_json({"type": "enter", "room": "main", "name": "Quill"})
            act = {"type": "act", "id": "a1", "text": "leaderboard all", "open": False}
            await socket.send_json(act)
            while (frame := await socket.receive_json())["type"] != "done":
                tokens |= set(_TOKEN.findall(json.dumps(frame)))
        assert len(tokens) >= 2
        for token in tokens:
            async with session.get(f"{url}pictures/{token}.png") as answer:
                assert hashlib.sha256(await answer.read()).hexdigest() == token
        assert files_with(tmp_path, "PNG\r\n") == set()
        assert files_with(tmp_path, '{"type":"table"') >= {"club.db-wal"}
