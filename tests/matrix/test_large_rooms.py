"""A room of thousands: what the homeserver tells of it is read beside everything else."""

from __future__ import annotations

import asyncio
from typing import Any

import pytest

from bot.platforms.matrix import connection, server
from bot.platforms.matrix.inbound import read_sync
from bot.platforms.matrix.json import parse_json
from tests.matrix.setting import Setting

CROWD = 5_000


class Turns:
    """Counts how often everything else has its turn, in all and while something is read."""

    def __init__(self) -> None:
        self.count = 0
        self.meanwhile: dict[str, int] = {}

    async def take(self) -> None:
        while True:
            self.count += 1
            await asyncio.sleep(0)

    def watch(self, name: str, read: Any) -> Any:
        def watched(found: Any) -> Any:
            before = self.count
            news = read(found)
            self.meanwhile[name] = max(self.meanwhile.get(name, 0), self.count - before)
            return news

        return watched


async def test_thousands_of_members_are_read_without_stopping_anything_else(
    setting: Setting, monkeypatch: pytest.MonkeyPatch
) -> None:
    await setting.prepare()
    crowd = [
        {
            "type": "m.room.member",
            "state_key": f"@member-{number}:club.test",
            "sender": f"@member-{number}:club.test",
            "event_id": f"$member-{number}",
            "origin_server_ts": 1_700_000_000_000 + number,
            "content": {"membership": "join", "displayname": f"Member {number}"},
        }
        for number in range(CROWD)
    ]

    def fill(path: str, answer: Any) -> Any:
        room = answer.get("rooms", {}).get("join", {}).get(setting.room_id)
        if room is not None:
            room.setdefault("state", {}).setdefault("events", []).extend(crowd)
            crowd.clear()
        return answer

    setting.line.alter = fill
    turns = Turns()
    monkeypatch.setattr(server, "read_sync", turns.watch("read", read_sync))
    monkeypatch.setattr(connection, "parse_json", turns.watch("parse", parse_json))
    taking = asyncio.create_task(turns.take())
    try:
        room = await setting.start()
        await setting.meet()
    finally:
        taking.cancel()
    print(turns.meanwhile)  # noqa: T201 - its figures
    assert min(turns.meanwhile["read"], turns.meanwhile["parse"]) > 3
    assert room.in_charge(setting.room_id) == (setting.ada.user_id,)
