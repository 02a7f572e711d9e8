"""Attacks on the page of an address outside: as its proxy passes them on, and past the proxy.

The room is the real one on a loopback port. Its peer is the proxy (127.0.0.1, which is believed) or
somebody else on the machine (127.0.0.2, who is not).
"""

from __future__ import annotations

import asyncio
import logging
import socket
import zlib
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import dataclass
from typing import Any

import aiohttp
import pytest

from bot.platforms.message import Message, Picture
from bot.platforms.web import gate, pace
from bot.platforms.web import room as web_room
from bot.platforms.web.address import parse_address
from bot.platforms.web.frames import parse_body
from bot.platforms.web.front import Front
from bot.platforms.web.gate import BODY_LIMIT, FOR
from bot.platforms.web.log import FakeRoomLog
from bot.platforms.web.room import WebRoom
from bot.wording.web import WEB
from tests.bot.platforms.conftest import NOBODYS, ROOM, EchoClub, HandClock, make_room
from tests.bot.platforms.paper_links import WRENS_COOKIE, PaperLinks
from tests.patience import PATIENCE

ORIGIN = "https://club.example.org"
HOST = "club.example.org"
PROXY, NEIGHBOUR = "127.0.0.1", "127.0.0.2"


@dataclass
class Outside:
    """Asks the room as its proxy would, or as whoever else reaches the port."""

    room: WebRoom

    async def ask(
        self, path: str = "/", *, method: str = "GET", peer: str = PROXY, **more: Any
    ) -> tuple[int, str]:
        async with self.connect(peer) as session:
            headers = {"Host": HOST, **more.pop("headers", {})}
            url = self.room.url.rstrip("/") + path
            async with session.request(
                method, url, headers=headers, allow_redirects=False, **more
            ) as answer:
                return answer.status, await answer.text()

    async def count(self, times: int, visitor: str, **more: Any) -> list[int]:
        """Return what each of so many requests is answered with, as the proxy heard `visitor`."""
        headers = {"X-Forwarded-For": visitor}
        return [(await self.ask(headers=headers, **more))[0] for _ in range(times)]

    @asynccontextmanager
    async def connect(self, peer: str = PROXY) -> AsyncIterator[aiohttp.ClientSession]:
        connector = aiohttp.TCPConnector(local_addr=(peer, 0))
        async with aiohttp.ClientSession(connector=connector) as session:
            yield session

    async def speak(self, sent: bytes, *, is_over: bool = False) -> bytes:
        """Send bytes on a connection of their own; return all that comes until the room closes."""
        port = int(self.room.url.rstrip("/").rpartition(":")[2])
        reader, writer = await asyncio.open_connection(PROXY, port)
        writer.write(sent)
        if is_over:
            writer.write_eof()
        try:
            return await asyncio.wait_for(reader.read(), PATIENCE)
        finally:
            writer.close()


def request_of(path: str, *lines: str, method: str = "GET") -> bytes:
    return "\r\n".join((f"{method} {path} HTTP/1.1", f"Host: {HOST}", *lines, "", "")).encode()


def limits(**small: float) -> pytest.MarkDecorator:
    return pytest.mark.parametrize("small_limits", [small], indirect=True, ids=["small"])


@pytest.fixture
def links() -> PaperLinks:
    return PaperLinks()


@pytest.fixture
async def outside(
    clock: HandClock, log: FakeRoomLog, club: EchoClub, links: PaperLinks, small_limits: None
) -> AsyncIterator[Outside]:
    room = make_room(clock, log, front=Front(parse_address(ORIGIN)), links=links)
    await room.start(club.answer)
    yield Outside(room)
    await room.stop()


@pytest.fixture
def small_limits(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Set what a test names by `limits` before the room is made."""
    for name, value in getattr(request, "param", {}).items():
        place = web_room if name in ("HEAD_SECONDS", "LINGER_SECONDS") else gate
        monkeypatch.setattr(place, name, value)


async def test_the_page_is_there_under_its_address(outside: Outside) -> None:
    status, page = await outside.ask(headers={"X-Forwarded-For": "192.0.2.7"})
    assert (status, "<main>" in page) == (200, True)


async def test_another_host_is_refused_whatever_else_the_request_says(outside: Outside) -> None:
    listening = outside.room.url.removeprefix("http://").rstrip("/")
    for host in (
        "evil.example", "localhost", "127.0.0.1", listening, "club.example.org:8443", "",
        "club.example.org.", "club.example.org@evil.example", "a.club.example.org",
    ):  # fmt: skip
        for more in ({}, {"X-Forwarded-Host": HOST, "Forwarded": f"host={HOST}"}):
            headers = {"Host": host, **more}
            assert await outside.ask(headers=headers) == (421, WEB.gate.elsewhere), host


FOREIGN = (
    "https://evil.example", "http://club.example.org", "https://club.example.org.evil.example",
    "https://club.example.org:8443", "http://127.0.0.1:8317", "null", "",
)  # fmt: skip


@pytest.mark.parametrize("origin", [None, *FOREIGN])
async def test_what_would_change_something_needs_our_own_origin(
    outside: Outside, origin: str | None
) -> None:
    for method in ("POST", "PUT", "DELETE", "PATCH", "OPTIONS"):
        headers = {} if origin is None else {"Origin": origin}
        asked = await outside.ask("/rooms", method=method, headers=headers, data=b"x")
        assert asked == (403, WEB.gate.foreign)
        own = {"Origin": ORIGIN}
        assert (await outside.ask("/rooms", method=method, headers=own, data=b"x"))[0] == 405


@pytest.mark.parametrize("origin", [None, *FOREIGN])
async def test_a_socket_needs_our_own_origin(outside: Outside, origin: str | None) -> None:
    async with outside.connect() as session:
        headers = {"Host": HOST} | ({} if origin is None else {"Origin": origin})
        with pytest.raises(aiohttp.WSServerHandshakeError) as refused:
            await session.ws_connect(f"{outside.room.url}socket", headers=headers)
        assert refused.value.status == 403
        own = {"Host": HOST, "Origin": ORIGIN, "Cookie": WRENS_COOKIE}
        async with session.ws_connect(f"{outside.room.url}socket", headers=own) as tab:
            assert not tab.closed


async def test_nobody_comes_in_by_a_name_from_outside(outside: Outside, club: EchoClub) -> None:
    async with outside.connect() as session:
        own = {"Host": HOST, "Origin": ORIGIN}
        with pytest.raises(aiohttp.WSServerHandshakeError) as refused:
            await session.ws_connect(f"{outside.room.url}socket", headers=own)
        assert refused.value.status == 403
        own["Cookie"] = WRENS_COOKIE
        async with session.ws_connect(f"{outside.room.url}socket", headers=own) as tab:
            await tab.send_json({"type": "act", "id": "a1", "text": "hint"})
            assert (await tab.receive_json())["problem"] == "enter-first"
            await tab.send_json({"type": "enter", "room": "elsewhere", "name": "Odile Fenn"})
            entered = await tab.receive_json()
            assert (entered["name"], entered["leads"]) == ("Wren", False)
    assert club.heard == []


async def test_who_opened_a_tab_in_time_does_not_come_in_by_it_later(
    outside: Outside, links: PaperLinks
) -> None:
    async with outside.connect() as session:
        own = {"Host": HOST, "Origin": ORIGIN, "Cookie": WRENS_COOKIE}
        async with session.ws_connect(f"{outside.room.url}socket", headers=own) as tab:
            del links.sessions["wren-1"]
            await tab.send_json({"type": "enter", "room": ROOM, "name": "Wren"})
            told = await tab.receive_json()
            assert (told["type"], told["problem"]) == ("refused", "link-unknown")
            assert (await tab.receive()).type in (aiohttp.WSMsgType.CLOSE, aiohttp.WSMsgType.CLOSED)


async def test_signing_out_ends_that_session_and_only_our_own_page_can_ask_for_it(
    outside: Outside, links: PaperLinks
) -> None:
    own = {"Cookie": WRENS_COOKIE, "Origin": "https://evil.example"}
    assert (await outside.ask("/out", method="POST", headers=own))[0] == 403
    assert (await outside.ask("/out", headers={"Cookie": WRENS_COOKIE}))[0] == 405
    assert (await outside.ask("/rooms", headers={"Cookie": WRENS_COOKIE}))[0] == 200
    own["Origin"] = ORIGIN
    async with (
        outside.connect() as session,
        session.post(f"{outside.room.url}out", headers=own | {"Host": HOST}) as answer,
    ):
        assert (answer.status, answer.headers["Clear-Site-Data"]) == (204, '"cache"')
        assert "ninebark-room=" in answer.headers["Set-Cookie"]
        assert "Max-Age=0" in answer.headers["Set-Cookie"]
    assert (await outside.ask("/rooms", headers={"Cookie": WRENS_COOKIE}))[0] == 403
    # What is signed out already can be asked for again.
    assert (await outside.ask("/out", method="POST", headers=own))[0] == 204


@pytest.mark.parametrize("path", ["/rooms", f"/pictures/{'0' * 64}.png", "/socket"])
async def test_who_came_by_no_link_sees_nothing_of_the_room(outside: Outside, path: str) -> None:
    status, said = await outside.ask(path)
    assert (status, "Hazel" in said, "in.js" in said) == (403, False, True)
    status, said = await outside.ask("/")
    assert (status, "Hazel" in said, "main.js" in said) == (200, False, False)


@pytest.mark.parametrize("said", ["http", "HTTP", "https, http", "", "ftp"])
async def test_a_page_that_the_proxy_took_in_the_open_is_not_shown(
    outside: Outside, said: str
) -> None:
    headers = {"X-Forwarded-Proto": said}
    assert await outside.ask(headers=headers) == (403, WEB.gate.openly)
    assert (await outside.ask(headers=headers, peer=NEIGHBOUR))[0] == 200


@pytest.mark.parametrize("said", ["https", "HTTPS", "http, https"])
async def test_a_page_that_the_proxy_took_encrypted_is_shown(outside: Outside, said: str) -> None:
    assert (await outside.ask(headers={"X-Forwarded-Proto": said}))[0] == 200


# --- floods ---


@limits(REQUEST_BURST=3)
async def test_an_address_that_asks_too_often_is_told_so_and_nobody_else_is(
    outside: Outside, clock: HandClock
) -> None:
    assert await outside.count(5, "192.0.2.7") == [200] * 3 + [429] * 2
    async with outside.connect() as session:
        headers = {"Host": HOST, "X-Forwarded-For": "192.0.2.7"}
        async with session.get(outside.room.url, headers=headers) as answer:
            assert (answer.status, await answer.text()) == (429, WEB.gate.busy)
            assert int(answer.headers["Retry-After"]) * pace.REQUESTS_PER_SECOND >= 1
            assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert await outside.count(1, "192.0.2.8") == [200]
    clock.wind(1)
    assert await outside.count(1, "192.0.2.7") == [200]


@limits(REQUEST_BURST=3)
async def test_every_path_counts_found_or_not(outside: Outside) -> None:
    paths = ("/nowhere", "/page/main.js", "/guides/hosting", "/pictures/0.png")
    for number, path in enumerate(paths):
        assert (await outside.count(5, f"192.0.2.{number}", path=path))[3:] == [429, 429]


@limits(REQUEST_BURST=1)
async def test_a_page_refused_loads_itself_again_by_a_script_that_is_always_there(
    outside: Outside,
) -> None:
    said = {FOR: "192.0.2.7", "Accept": "text/html,*/*;q=0.8"}
    assert (await outside.ask(headers=said))[0] == 200
    status, page = await outside.ask("/board/x", headers=said)
    assert (status, WEB.gate.busy.strip() in page, gate.AGAIN in page) == (429, True, True)
    assert await outside.count(2, "192.0.2.7", path=gate.AGAIN) == [200, 200]
    # Not by any other request, and not under any other name.
    body = {"path": gate.AGAIN, "data": b"x"}
    assert await outside.count(1, "192.0.2.7", **body) == [429]
    assert await outside.count(1, "192.0.2.7", **body, method="POST") == [429]
    assert await outside.count(1, "192.0.2.7", path="/page/x/..%2fagain.js") == [429]


@limits(SENT_BURST=3)
async def test_secrets_are_not_tried_as_fast_as_pages_are_looked_at(
    outside: Outside, links: PaperLinks
) -> None:
    tries = {"path": "/board/mina-1", "method": "POST", "data": "a guess"}
    headers = {"Origin": ORIGIN, FOR: "192.0.2.7"}
    asked = [(await outside.ask(**tries, headers=headers))[0] for _ in range(5)]
    assert (asked, links.asked) == ([403] * 3 + [429] * 2, 3)
    assert await outside.count(3, "192.0.2.7") == [200] * 3
    other = headers | {FOR: "192.0.2.8"}
    assert (await outside.ask(**tries, headers=other))[0] == 403


@limits(REQUEST_BURST=3)
async def test_refused_requests_count_too(outside: Outside) -> None:
    headers = {"Host": "evil.example", "X-Forwarded-For": "192.0.2.7"}
    asked = [(await outside.ask(headers=headers))[0] for _ in range(5)]
    assert asked == [421] * 3 + [429] * 2


@limits(REQUEST_BURST=3)
@pytest.mark.parametrize("header", ["X-Forwarded-For", "Forwarded", "X-Real-IP"])
async def test_an_address_made_up_for_each_request_makes_no_other_of_one(
    outside: Outside, header: str
) -> None:
    for peer, added in ((NEIGHBOUR, ""), (PROXY, "192.0.2.7")):
        asked = []
        for number in range(5):
            made_up = f"198.51.100.{number}"
            said = f"for={made_up}" if header == "Forwarded" else made_up
            headers = {header: said}
            if added:
                before = f"{made_up}, " if header == "X-Forwarded-For" else ""
                headers["X-Forwarded-For"] = before + added
            asked.append((await outside.ask(peer=peer, headers=headers))[0])
        assert asked == [200] * 3 + [429] * 2, peer


@limits(REQUEST_BURST=1)
async def test_counters_of_many_addresses_stay_few(
    outside: Outside, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(pace, "KEYS_LIMIT", 4)
    assert await outside.count(2, "192.0.2.1") == [200, 429]
    for number in range(2, 6):
        assert await outside.count(1, f"192.0.2.{number}") == [200]
    # The first is forgotten by now, and has what a stranger has.
    assert await outside.count(2, "192.0.2.1") == [200, 429]


@limits(TABS_EACH=2)
async def test_one_address_opens_only_so_many_tabs_and_may_when_one_is_closed(
    outside: Outside,
) -> None:
    url = f"{outside.room.url}socket"
    own = {"Host": HOST, "Origin": ORIGIN, "Cookie": WRENS_COOKIE}
    async with outside.connect() as session:

        async def open_tab(visitor: str) -> int:
            try:
                tabs.append(await session.ws_connect(url, headers=own | {FOR: visitor}))
            except aiohttp.WSServerHandshakeError as refused:
                return refused.status
            return 101

        tabs: list[aiohttp.ClientWebSocketResponse] = []
        opened = [await open_tab("192.0.2.7") for _ in range(3)]
        assert (opened, await open_tab("192.0.2.8")) == ([101, 101, 429], 101)
        await tabs[0].close()
        while (answer := await open_tab("192.0.2.7")) != 101:
            assert answer == 429  # the room hears of the end a moment later
        for tab in tabs:
            await tab.close()


async def test_one_link_opens_only_so_many_tabs_wherever_from(
    outside: Outside, monkeypatch: pytest.MonkeyPatch, links: PaperLinks
) -> None:
    monkeypatch.setattr(outside.room._paces, "tabs", pace.Crowd(each=2, all_=9))
    links.sessions |= {each: f"session-of-{each}" for each in ("mina-1", "roan-1")}
    async with outside.connect() as session:

        async def open_tab(link_id: str, visitor: str) -> int:
            cookie = f"ninebark-board={link_id}.session-of-{link_id}"
            own = {"Host": HOST, "Origin": ORIGIN, "Cookie": cookie, FOR: visitor}
            url = f"{outside.room.url}board/{link_id}/socket"
            try:
                tabs.append(await session.ws_connect(url, headers=own))
            except aiohttp.WSServerHandshakeError as refused:
                return refused.status
            return 101

        tabs: list[aiohttp.ClientWebSocketResponse] = []
        opened = [await open_tab("mina-1", f"192.0.2.{number}") for number in range(3)]
        assert (opened, await open_tab("roan-1", "192.0.2.0")) == ([101, 101, 503], 101)
        await tabs[0].close()
        while (answer := await open_tab("mina-1", "192.0.2.9")) != 101:
            assert answer == 503  # the room hears of the end a moment later
        for tab in tabs:
            await tab.close()


class Uploads:
    """Photos on their way to the page, each by the link and from the address that a test names."""

    def __init__(self, outside: Outside, links: PaperLinks) -> None:
        self.outside = outside
        for link_id in ("mina-1", "roan-1"):
            links.sessions[link_id] = f"session-of-{link_id}"
        self.slow: list[asyncio.StreamWriter] = []

    async def begin(self, link_id: str, visitor: str) -> None:
        """Begin one that never ends, and return once the page waits for the rest."""
        port = int(self.outside.room.url.rstrip("/").rpartition(":")[2])
        _, writer = await asyncio.open_connection(PROXY, port)
        self.slow.append(writer)
        lines = (f"{name}: {value}" for name, value in self.headers(link_id, visitor).items())
        at = f"/board/{link_id}/photos/{NOBODYS}/slow-{len(self.slow)}"
        writer.write(request_of(at, *lines, "Content-Length: 9", method="POST") + b"half")
        while len(self.outside.room._photos) < len(self.slow):
            await self.outside.ask("/nowhere")

    async def send(self, link_id: str, visitor: str) -> int:
        """Send a whole one; return the status."""
        headers = self.headers(link_id, visitor)
        at = f"/board/{link_id}/photos/{NOBODYS}/whole-{link_id}"
        return (await self.outside.ask(at, method="POST", headers=headers, data=b"photo"))[0]

    def headers(self, link_id: str, visitor: str) -> dict[str, str]:
        cookie = f"ninebark-board={link_id}.session-of-{link_id}"
        return {"Origin": ORIGIN, "Cookie": cookie, FOR: visitor}

    async def end(self) -> None:
        for writer in self.slow:
            writer.close()
        while len(self.outside.room._photos):
            await self.outside.ask("/nowhere")


async def test_slow_photos_of_one_link_leave_places_for_others(
    outside: Outside, links: PaperLinks
) -> None:
    uploads = Uploads(outside, links)
    for number in range(pace.PHOTOS_OF_ONE):
        await uploads.begin("mina-1", f"192.0.2.{number}")
    assert await uploads.send("mina-1", "192.0.2.8") == 429
    assert await uploads.send("roan-1", "192.0.2.9") == 204
    outside.room._photos.let_go(NOBODYS, "whole-roan-1")
    await uploads.end()
    assert await uploads.send("mina-1", "192.0.2.8") == 204


async def test_slow_photos_from_one_address_leave_places_for_others(
    outside: Outside, links: PaperLinks
) -> None:
    uploads = Uploads(outside, links)
    for number in range(pace.PHOTOS_EACH):
        await uploads.begin(("mina-1", "roan-1")[number % 2], "192.0.2.7")
    own = {"Origin": ORIGIN, "Cookie": WRENS_COOKIE, "X-Forwarded-For": "192.0.2.7"}
    at = f"/photos/{NOBODYS}/a1"
    assert (await outside.ask(at, method="POST", headers=own, data=b"x"))[0] == 429
    own[FOR] = "192.0.2.8"
    assert (await outside.ask(at, method="POST", headers=own, data=b"x"))[0] == 204
    outside.room._photos.let_go(NOBODYS, "a1")
    await uploads.end()


# --- what is too much, too slow ---


@pytest.mark.parametrize("path", ["/", "/socket", "/nowhere"])
async def test_a_body_too_long_is_refused_by_what_it_says_of_itself_and_by_what_comes(
    outside: Outside, path: str
) -> None:
    async def parts() -> AsyncIterator[bytes]:
        for _ in range(4 * BODY_LIMIT // 1024):
            yield b"x" * 1024

    for data in (b"x" * (BODY_LIMIT + 1), parts()):
        asked = await outside.ask(path, method="POST", headers={"Origin": ORIGIN}, data=data)
        assert asked == (413, WEB.gate.too_long)
    fits = b"x" * BODY_LIMIT
    asked = await outside.ask(path, method="POST", headers={"Origin": ORIGIN}, data=fits)
    assert asked[0] in (404, 405)


async def test_a_body_that_inflates_beyond_measure_is_refused(outside: Outside) -> None:
    bomb = zlib.compress(b"x" * 50 * BODY_LIMIT)
    assert len(bomb) < BODY_LIMIT
    headers = {"Origin": ORIGIN, "Content-Encoding": "deflate"}
    asked = await outside.ask("/rooms", method="POST", headers=headers, data=bomb)
    assert asked == (413, WEB.gate.too_long)


@pytest.mark.expects_error_log
async def test_what_fails_in_us_is_told_and_noted_without_what_was_asked(
    outside: Outside, caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def fail(token: str) -> None:
        raise RuntimeError("broken on purpose")

    monkeypatch.setattr(outside.room._pages._log, "load_picture", fail)
    own = {"Cookie": WRENS_COOKIE}
    asked = await outside.ask(f"/pictures/{'0' * 64}.png", headers=own)
    assert asked == (500, WEB.gate.failed)
    (noted,) = (each for each in caplog.records if each.levelno == logging.ERROR)
    assert "broken on purpose" in str(noted.exc_info)
    assert "0" * 64 not in caplog.text


@limits(BODY_SECONDS=0.01, LINGER_SECONDS=0.01)
async def test_a_body_that_does_not_come_is_not_waited_for(outside: Outside) -> None:
    head = request_of("/rooms", f"Origin: {ORIGIN}", "Content-Length: 9", method="POST")
    said = await outside.speak(head + b"half")
    assert said.startswith(b"HTTP/1.1 408 ")
    assert WEB.gate.too_slow.encode() in said


@limits(HEAD_SECONDS=0.01)
@pytest.mark.parametrize(
    "sent", [b"", b"GET", b"GET / HTTP/1.1\r\nHost: club.example.org\r\nX-A: "]
)
async def test_a_request_that_never_ends_is_cut_off(outside: Outside, sent: bytes) -> None:
    assert await outside.speak(sent) == b""


@limits(SEND_SECONDS=0.01, AT_ONCE_EACH=1)
async def test_an_answer_that_nobody_fetches_makes_room_for_others(
    outside: Outside, log: FakeRoomLog
) -> None:
    picture = Picture("day.png", "the day", b"\x89PNG" + b"x" * 16_000_000, b"\x89PNG dark")
    await outside.room.post(ROOM, Message("the day", picture=picture), key="day")
    token = await token_of_the_picture(log)
    port = int(outside.room.url.rstrip("/").rpartition(":")[2])
    with socket.create_connection((PROXY, port)) as lazy:
        lazy.setblocking(False)
        loop = asyncio.get_running_loop()
        await loop.sock_sendall(
            lazy, request_of(f"/pictures/{token}.png", f"Cookie: {WRENS_COOKIE}")
        )
        got = len(await loop.sock_recv(lazy, 1))
        # Being answered, it holds the one place there is until it is given up.
        while (answer := (await outside.ask())[0]) != 200:
            assert answer == 429
        while more := len(await loop.sock_recv(lazy, 1 << 20)):
            got += more
        assert got < len(picture.light)


async def token_of_the_picture(log: FakeRoomLog) -> str:
    entries = await log.since(ROOM, "")
    picture = parse_body(entries[-1].body).messages[0].picture
    assert picture is not None
    return picture.light


# --- ways out of the page ---


@pytest.mark.parametrize(
    "path",
    ["/page/../../pyproject.toml", "/page/..%2f..%2fpyproject.toml", "/page/%2e%2e/%2e%2e/x",
     "/guides/../../config.toml", "/guides/..%5c..%5cx", "/pictures/../../x.png", "/../etc/passwd",
     "/page//etc/passwd", "/page/main.js%00.html", "/page/main.js/", "//evil.example/",
     "//evil.example/%2f..", "/\\evil.example", "/%5cevil.example", "/%09/evil.example",
     "/?next=https://evil.example", "/page/?to=//evil.example", "/%0d%0aLocation:%20//evil.example",
     "https://evil.example/", "http://club.example.org/"],
)  # fmt: skip
async def test_no_path_leads_out_of_the_page_or_elsewhere(outside: Outside, path: str) -> None:
    said = await outside.speak(request_of(path, "Connection: close"))
    head, _, body = said.partition(b"\r\n\r\n")
    status = int(head.split()[1])
    is_page = path.startswith(("/?", "http"))
    assert status in ((200,) if is_page else (400, 404))
    assert b"location:" not in head.lower()
    assert b"[project]" not in body
    assert b"root:" not in body
    assert b"evil" not in said


async def test_every_answer_keeps_other_pages_out_and_names_no_secret(outside: Outside) -> None:
    async with outside.connect() as session:
        for path, host in (
            ("/", HOST),
            ("/nowhere", HOST),
            ("/rooms", HOST),
            ("/", "evil.example"),
        ):
            async with session.get(
                outside.room.url.rstrip("/") + path, headers={"Host": host}
            ) as answer:
                policy = answer.headers["Content-Security-Policy"]
                assert "frame-ancestors 'none'" in policy
                assert f"wss://{HOST}" in policy
                assert "evil" not in policy
                assert answer.headers["X-Frame-Options"] == "DENY"
                assert answer.headers["Referrer-Policy"] == "no-referrer"
                assert answer.headers["X-Content-Type-Options"] == "nosniff"
                # Whether the whole site is https for good is for whoever has the site to say.
                assert "Strict-Transport-Security" not in answer.headers


async def test_no_log_repeats_what_a_request_says(
    outside: Outside, caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level(logging.DEBUG)
    secret = "kept-to-itself"
    said = {
        "Cookie": f"a={secret}", "Referer": f"{ORIGIN}/#{secret}", "Authorization": secret,
        "Origin": ORIGIN,
    }  # fmt: skip
    for path in (f"/?key={secret}", f"/page/{secret}", f"/{secret}"):
        await outside.ask(path, headers=said)
        await outside.ask(path, method="POST", headers=said, data=secret)
    for broken in (
        f"{secret} / HTTP/1.1\r\n\r\n",
        f"GET /{secret} {secret}/1.1\r\n\r\n",
        f"GET / HTTP/1.1\r\nHost: {HOST}\r\n{secret}\r\n\r\n",
        f"GET / HTTP/1.1\r\nHost: {HOST}\r\nCookie: {secret * 1000}\r\n\r\n",
    ):
        assert b" 400 " in await outside.speak(broken.encode())
    assert secret not in caplog.text
