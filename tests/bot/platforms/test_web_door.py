"""What a page, or what pretends to be one, may send the web room: origins, hosts, forged frames."""

from __future__ import annotations

import itertools
import json
from random import Random
from typing import Any

import aiohttp
import pytest

from bot.platforms.web.guard import opaque_id
from bot.platforms.web.room import WebRoom
from bot.wording.web import WEB
from tests.bot.platforms.conftest import ROOM, Client, EchoClub, HandClock, Tab

PATHS = ("/", "/rooms", "/page/main.js", "/pictures/0.png", "/socket", "/nowhere", "/page/../x")
FOREIGN = ("http://club.example", "null", "https://127.0.0.1", "http://127.0.0.1", "file://", "")


@pytest.mark.parametrize("path", PATHS)
async def test_every_path_passes_the_same_gate(client: Client, room: WebRoom, path: str) -> None:
    own = room.url.removeprefix("http://").rstrip("/")
    hosts = (own, "club.example", own.replace("127.0.0.1", "127.0.0.2"), f"{own}.club.example")
    for host, origin in itertools.product(hosts, (None, f"http://{own}", *FOREIGN)):
        headers = {"Host": host} | ({} if origin is None else {"Origin": origin})
        upgrade = {"Connection": "Upgrade", "Upgrade": "websocket", "Sec-WebSocket-Version": "13"}
        upgrade["Sec-WebSocket-Key"] = "x3JJHMbDL1EzLkh9GBhXDw=="
        if path == "/socket":
            headers |= upgrade
        async with client.session.get(f"{room.url.rstrip('/')}{path}", headers=headers) as answer:
            got = answer.status
            said = await answer.text() if got in (421, 403) else ""
        if host != own:
            assert (got, said) == (421, WEB.gate.elsewhere), (host, origin)
        elif origin in FOREIGN or (origin is None and path == "/socket"):
            assert (got, said) == (403, WEB.gate.foreign), (host, origin)
        else:
            assert got in (200, 404, 101), (host, origin)


FORGED: tuple[dict[str, Any], ...] = (
    {"room": "birch"}, {"room_id": "birch"}, {"user": "odile fenn"}, {"user_id": "odile fenn"},
    {"name": "Odile Fenn"}, {"leads": True}, {"by": "Ninebark"}, {"platform": "matrix"},
    {"event_id": "web:hazel:bo:1"}, {"acted_at": "2020-01-01T00:00:00Z"}, {"message_id": "1"},
    {"in_open": True}, {"entries": [1]},
)  # fmt: skip


@pytest.mark.parametrize("more", FORGED, ids=lambda more: next(iter(more)))
async def test_a_frame_that_names_somebody_or_some_room_is_not_read(
    tab: Tab, club: EchoClub, more: dict[str, Any]
) -> None:
    await tab.act("a1", "hint", **more)
    assert (await tab.socket.receive_json())["problem"] == "malformed"
    await tab.act("a2", "hint")
    await tab.until("done")
    (heard,) = club.heard
    assert (heard.room_id, heard.user_id, heard.leads) == (ROOM, "ada", False)


@pytest.mark.parametrize(
    "line",
    ["nb:hazel:club setup", "club setup name=Stolen", "!club setup", "/club setup", "room=birch x",
     "web:birch:odile fenn:1", "club setup leaders=ada"],
)  # fmt: skip
async def test_a_forged_button_is_a_line_of_its_senders_and_no_more(
    tab: Tab, club: EchoClub, line: str
) -> None:
    await tab.act("a1", line, fields={"room": "birch", "leads": "yes", "user_id": "odile fenn"})
    await tab.until("done")
    (heard,) = club.heard
    assert (heard.room_id, heard.user_id, heard.leads) == (ROOM, "ada", False)
    assert heard.text == line
    assert heard.event_id == f"web:hazel:{opaque_id(ROOM, 'ada')}:a1"


async def test_who_has_entered_cannot_enter_again_as_somebody_else(
    tab: Tab, club: EchoClub
) -> None:
    await tab.socket.send_json({"type": "enter", "room": ROOM, "name": "Odile Fenn"})
    assert (await tab.socket.receive_json())["problem"] == "malformed"
    await tab.act("a1", "hint")
    await tab.until("done")
    assert [each.user_id for each in club.heard] == ["ada"]


async def test_mutated_frames_never_act_for_another_and_never_end_the_room(
    client: Client, club: EchoClub, clock: HandClock
) -> None:
    rng = Random(3)
    tab = await client.open_tab()
    await tab.enter("Ada")
    pool: list[Any] = [
        "birch", "odile fenn", None, True, -1, 1.5, [], {}, "x" * 300, {"a": {"a": "b"}},
        "\u202e", "enter", "act", "a1", ["act"],
    ]  # fmt: skip
    keys = ("type", "id", "text", "fields", "open", "room", "name", "epoch", "last", "leads")
    for number in range(400):
        frame: dict[str, Any] = {"type": "act", "id": f"n{number}", "text": "hint"}
        for _ in range(rng.randint(1, 3)):
            frame[rng.choice(keys)] = rng.choice(pool)
        clock.wind(1)
        await tab.socket.send_str(json.dumps(frame))
        await tab.act(f"after-{number}", "help")
        while True:
            received = await tab.socket.receive()
            assert received.type is aiohttp.WSMsgType.TEXT
            told = json.loads(received.data)
            if told.get("id") == f"after-{number}":
                break
    assert len(club.heard) >= 400
    assert {(each.room_id, each.user_id, each.leads) for each in club.heard} == {
        (ROOM, "ada", False)
    }
