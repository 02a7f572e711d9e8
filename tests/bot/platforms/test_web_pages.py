"""The page over HTTP: who is refused, what headers every answer has, and nothing from outside."""

from __future__ import annotations

import re

import pytest

from bot.platforms.message import Message, Picture
from bot.platforms.web.door import PageClubs
from bot.platforms.web.front import Listening
from bot.platforms.web.guard import NotLoopbackError
from bot.platforms.web.log import FakeRoomLog
from bot.platforms.web.room import WebRoom
from bot.wording.web import WEB
from tests.bot.platforms.conftest import WEB_PAGE, Client, HandClock, Tab


@pytest.mark.parametrize("host", ["0.0.0.0", "192.168.1.4", "club.example"])
def test_a_room_on_another_address_cannot_even_be_made(host: str) -> None:
    with pytest.raises(NotLoopbackError):
        WebRoom(
            PageClubs({}),
            at=Listening(host, 0),
            shipped=WEB_PAGE.parent,
            log=FakeRoomLog(),
            now=HandClock().now,
            token=lambda: "t",
            words=WEB,
        )


async def test_the_page_is_served_with_strict_headers(client: Client) -> None:
    async with client.session.get(client.room.url) as answer:
        assert answer.status == 200
        headers = answer.headers
        page = await answer.text()
    assert "<main>" in page
    policy = dict(
        part.strip().split(" ", 1) for part in headers["Content-Security-Policy"].split(";")
    )
    assert policy["default-src"] == "'none'"
    assert policy["script-src"] == policy["style-src"] == policy["img-src"] == "'self'"
    assert policy["font-src"] == "'self'"
    assert policy["frame-ancestors"] == policy["base-uri"] == policy["form-action"] == "'none'"
    assert "unsafe" not in headers["Content-Security-Policy"]
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Cross-Origin-Resource-Policy"] == "same-origin"


@pytest.mark.parametrize("host", ["club.example", "club.example:80", "127.0.0.1", ""])
async def test_a_request_under_another_host_is_refused(client: Client, host: str) -> None:
    async with client.session.get(client.room.url, headers={"Host": host}) as answer:
        assert answer.status == 421
        assert answer.headers["X-Content-Type-Options"] == "nosniff"


async def test_a_request_from_another_origin_is_refused(client: Client) -> None:
    headers = {"Origin": "http://club.example"}
    async with client.session.get(f"{client.room.url}rooms", headers=headers) as answer:
        assert answer.status == 403


@pytest.mark.parametrize(
    "name", ["..%2f..%2fpyproject.toml", "web_room.py", "main.js%00", "x.html"]
)
async def test_nothing_but_the_page_is_served(client: Client, name: str) -> None:
    async with client.session.get(f"{client.room.url}page/{name}") as answer:
        assert answer.status == 404


async def test_a_picture_is_served_by_its_token_in_both_themes(client: Client, tab: Tab) -> None:
    picture = Picture("day.png", "the day", b"\x89PNG light", b"\x89PNG dark")
    await client.room.post("hazel", Message("the day", picture=picture), key="day")
    (entry,) = await tab.until("entry")
    shown = entry["body"]["messages"][0]["picture"]
    for look, expected in (("light", picture.light), ("dark", picture.dark)):
        async with client.session.get(f"{client.room.url}pictures/{shown[look]}.png") as answer:
            assert (answer.status, answer.content_type) == (200, "image/png")
            assert await answer.read() == expected
    async with client.session.get(f"{client.room.url}pictures/{'0' * 64}.png") as answer:
        assert answer.status == 404


TEXTS = [file for file in sorted(WEB_PAGE.iterdir()) if file.suffix != ".woff2"]


@pytest.mark.parametrize("file", TEXTS, ids=lambda file: file.name)
def test_no_file_of_the_page_brings_anything_from_outside(file: object) -> None:
    text = file.read_text(encoding="utf-8")  # type: ignore[attr-defined]
    outside = [
        found
        for found in re.findall(r"(?:https?:)?//[\w.-]+\.\w+[^\s\"')]*", text)
        if found != "http://www.w3.org/2000/svg"
    ]
    assert outside == []
    assert not re.search(r"<script(?![^>]*\bsrc=)|\son\w+=|\sstyle=|innerHTML|javascript:", text)
