"""A member's own link from Discord to their board on the page: what it opens, and what it does not.

The real client on the double, the real page beside it; a browser is stood in for by plain requests,
so that each can also send what no page of ours would.
"""

from __future__ import annotations

from collections.abc import AsyncIterator, Mapping
from dataclasses import dataclass, field
from typing import Any

import aiohttp
import pytest
from yarl import URL

from bot.club.settings import ClubSettings
from bot.photo.told import PhotoReading
from bot.platforms.web.address import parse_address
from bot.platforms.web.guard import FRAME_LIMIT, LINE_LIMIT
from bot.settings import ClubConfig
from bot.stock.workshop import Workshop
from bot.wiring.links import links_of
from bot.wiring.web import WebAccess
from engine import Grid
from tests.discord.conftest import Bench
from tests.doubles.discord.people import Person, answer_of
from tests.doubles.discord.world import Channel
from tests.every_log import as_logged, hear_all
from tests.ports import claim_port


@dataclass
class Browser:
    """Keeps cookies, and goes where a link leads."""

    origin: str
    session: aiohttp.ClientSession = field(
        default_factory=lambda: aiohttp.ClientSession(cookie_jar=aiohttp.CookieJar(unsafe=True))
    )
    sockets: list[Socket] = field(default_factory=list)

    async def exchange(self, link: str, *, origin: str | None = "own", secret: str = "") -> Any:
        """Hand a link's secret over, as its page does; return the problem, "" where there is none,
        or the status where the request did not even come so far."""
        url = URL(link)
        headers = {} if origin is None else {"Origin": self.origin if origin == "own" else origin}
        sent = secret or url.fragment
        async with self.session.post(url.with_fragment(None), data=sent, headers=headers) as got:
            if got.status == 204:
                return ""
            is_told = got.content_type == "application/json"
            return (await got.json())["problem"] if is_told else got.status

    async def photo(self, link: str, act_id: str, key: str = "0" * 64) -> int:
        """Send a photo for an act of the link's page, under a visitor's key; return the status."""
        at = URL(link).with_fragment(None) / "photos" / key / act_id
        headers = {"Origin": self.origin}
        async with self.session.post(at, data=b"a photo", headers=headers) as got:
            return got.status

    async def open(self, link: str) -> Socket:
        return await self.connect(URL(link).with_fragment(None) / "socket")

    async def connect(self, at: URL) -> Socket:
        socket = Socket(await self.session.ws_connect(at, origin=self.origin))
        self.sockets.append(socket)
        return socket

    async def close(self) -> None:
        for each in self.sockets:
            await each.socket.close()
        await self.session.close()


class Socket:
    """The page's end of a board's socket."""

    def __init__(self, socket: aiohttp.ClientWebSocketResponse) -> None:
        self.socket = socket
        self.taps = 0

    async def until(self, kind: str) -> dict[str, Any]:
        while True:
            frame: dict[str, Any] = await self.socket.receive_json()
            if frame["type"] in (kind, "refused"):
                return frame

    async def send(self, **frame: Any) -> None:
        await self.socket.send_json(frame)

    async def tap(self, line: str, **more: object) -> dict[str, Any]:
        self.taps += 1
        await self.send(type="touch", id=f"tap-{self.taps}", text=line, fields={}, **more)
        return await self.until("touched")


@pytest.fixture
async def browsers(bench: Bench) -> AsyncIterator[list[Browser]]:
    """Three browsers, on the page that the bot serves besides Discord."""
    port = claim_port()
    address = parse_address(f"http://localhost:{port}")
    bench.besides.append(WebAccess(port=port, address=address))
    made = [Browser(address.origin) for _ in range(3)]
    yield made
    for each in made:
        await each.close()


async def link_of(person: Person, line: str = "link") -> str:
    answer = answer_of(await person.command(line))
    assert answer.is_private
    return answer.control("Open my board").url


async def begin(bench: Bench, club: Channel, *names: str) -> list[Person]:
    people = [bench.double.person(name, club) for name in names]
    await bench.start()
    await bench.tick()
    for each in people:
        await each.press(each.sees()[0], "Start my clock")
    return people


async def test_the_link_opens_the_board_that_the_channel_knows(
    bench: Bench, club: Channel, browsers: list[Browser]
) -> None:
    phone = browsers[0]
    (ada,) = await begin(bench, club, "Ada")
    hinted = answer_of(await ada.command("board"))
    asked = answer_of(await ada.press(hinted, "Open my board"))
    link = asked.control("Open my board").url
    assert await phone.exchange(link) == ""
    page = await phone.open(link)
    assert (await page.until("entered"))["name"] == "Ada"
    board = (await page.until("board"))["board"]
    assert board["day"] == "2026-11-23"
    assert board["grid"].startswith("53..7....")
    await page.until("ready")
    after = await page.tap("place r1c3 4 2026-11-23")
    assert after["board"]["grid"].startswith("534.7....")
    assert "r1c3" not in answer_of(await ada.command("undo")).text
    assert (await page.until("board"))["board"]["grid"].startswith("53..7....")


async def test_a_secret_that_is_not_the_links_own_opens_nothing(
    bench: Bench, club: Channel, browsers: list[Browser]
) -> None:
    adas, bens, stranger = browsers
    ada, ben = await begin(bench, club, "Ada", "Ben")
    link, other = await link_of(ada), await link_of(ben)
    secret, foreign = URL(link).fragment, URL(other).fragment
    tampered = secret[:-1] + ("A" if secret[-1] != "A" else "B")
    for wrong in (tampered, foreign, secret[:-1], secret.swapcase(), "x" * 10_000, "é", "\0"):
        assert await stranger.exchange(link, secret=wrong) == "link-unknown"
    assert await stranger.exchange(link.replace("#", "x#")) == "link-unknown"
    assert await stranger.exchange(str(URL(link).with_fragment(None))) == "link-unknown"
    # None of it has used the links up.
    assert await adas.exchange(link) == ""
    assert await bens.exchange(other) == ""


async def test_a_link_that_was_forwarded_after_its_use_opens_nothing_elsewhere(
    bench: Bench, club: Channel, browsers: list[Browser]
) -> None:
    own, elsewhere, _ = browsers
    (ada,) = await begin(bench, club, "Ada")
    link = await link_of(ada)
    assert await own.exchange(link) == ""
    assert await elsewhere.exchange(link) == "link-used"
    with pytest.raises(aiohttp.WSServerHandshakeError) as refused:
        await elsewhere.open(link)
    assert refused.value.status == 403
    assert await own.exchange(link) == "", "whoever opened it may open it again there"
    await (await own.open(link)).until("board")


async def test_a_new_link_ends_the_one_before_and_whoever_came_by_it(
    bench: Bench, club: Channel, browsers: list[Browser]
) -> None:
    before, after, _ = browsers
    (ada,) = await begin(bench, club, "Ada")
    old = await link_of(ada)
    assert await before.exchange(old) == ""
    page = await before.open(old)
    await page.until("ready")
    new = await link_of(ada)
    assert await page.until("refused") == {
        "type": "refused", "problem": "link-unknown", "id": "", "limit": 0,
    }  # fmt: skip
    assert (await page.socket.receive()).type in (aiohttp.WSMsgType.CLOSE, aiohttp.WSMsgType.CLOSED)
    assert await before.exchange(old) == "link-unknown"
    assert await after.exchange(new) == ""


async def test_a_session_opens_its_own_link_and_no_other(
    bench: Bench, club: Channel, browsers: list[Browser]
) -> None:
    adas, bens, _ = browsers
    ada, ben = await begin(bench, club, "Ada", "Ben")
    link, other = await link_of(ada), await link_of(ben)
    assert await adas.exchange(link) == ""
    assert await bens.exchange(other) == ""
    (cookie,) = adas.session.cookie_jar
    assert cookie["httponly"]
    assert cookie["samesite"] == "Strict"
    assert cookie["path"] == URL(link).path
    # No browser would send it there; whoever does so by hand gets nothing for it.
    for forged in (cookie.value, "", "x", URL(other).fragment):
        headers = {"Cookie": f"{cookie.key}={forged}"}
        async with aiohttp.ClientSession(headers=headers) as session:
            at = URL(other).with_fragment(None) / "socket"
            with pytest.raises(aiohttp.WSServerHandshakeError) as refused:
                await session.ws_connect(at, origin=adas.origin)
            assert refused.value.status == 403


async def test_a_board_outlives_its_day_by_a_day_and_is_only_looked_at_then(
    bench: Bench, club: Channel, browsers: list[Browser]
) -> None:
    own, late, _ = browsers
    ada, ben = await begin(bench, club, "Ada", "Ben")
    link, unused = await link_of(ada), await link_of(ben)
    assert await own.exchange(link) == ""
    page = await own.open(link)
    await page.until("ready")
    await page.tap("place r1c3 4 2026-11-23")
    bench.later(days=1, minutes=1)
    await bench.tick()
    shown = (await page.until("board"))["board"]
    assert (shown["day"], shown["grid"][:5]) == ("2026-11-23", "534.7")
    assert "has closed" in shown["notice"]
    assert (shown["closes"], shown["started_at"], shown["may_start"]) == ("", None, False)
    over = await page.tap("place r1c4 6 2026-11-23")
    assert "has closed" in over["said"][0]["text"]
    assert over["board"]["grid"][:5] == "534.7"
    bench.later(hours=23, minutes=58)
    assert (await page.tap("board 2026-11-23"))["type"] == "touched"
    bench.later(minutes=1)
    assert (await page.tap("board 2026-11-23"))["problem"] == "link-over"
    assert await own.exchange(link) == "link-over"
    assert await late.exchange(unused) == "link-over"


ELSEWHERE: list[dict[str, Any]] = [
    {"type": "touch", "text": "place r1c3 4"},
    {"type": "touch", "text": "place r1c3 4 2026-11-24"},
    {"type": "touch", "text": "leaderboard week"},
    {"type": "touch", "text": "me"},
    {"type": "touch", "text": "privacy export"},
    {"type": "touch", "text": "privacy erase sure"},
    {"type": "touch", "text": "club pause"},
    {"type": "touch", "text": "club setup post-time=05:00"},
    {"type": "touch", "text": "walkthrough 2026-11-23"},
    {"type": "touch", "text": "hand-in"},
    {"type": "act", "text": "place r1c3 4 2026-11-23"},
    {"type": "act", "text": "hello everyone", "open": True},
    {"type": "enter", "room": "main", "name": "Rowan"},
]
"""What a page that shows one board never sends, each refused."""


async def test_a_boards_page_does_nothing_but_play_on_that_board(
    bench: Bench, club: Channel, browsers: list[Browser]
) -> None:
    # She owns the server: by her link she leads nothing.
    ada = bench.double.person("Ada", club, leads=True)
    await bench.start()
    await bench.tick()
    await ada.press(ada.sees()[0], "Start my clock")
    link = await link_of(ada)
    assert await browsers[0].exchange(link) == ""
    page = await browsers[0].open(link)
    before = (await page.until("board"))["board"]
    seen = len(ada.sees())
    for number, frame in enumerate(ELSEWHERE):
        bench.later(seconds=5)  # so many at once would be too fast
        kept = {} if frame["type"] == "enter" else {"id": f"other-{number}"}
        await page.send(**frame, **kept)
        assert (await page.until("refused"))["problem"] == "elsewhere", frame
    after = await page.tap("board 2026-11-23")
    assert after["board"]["grid"] == before["grid"]
    assert bench.house is not None
    (kept_club,) = await bench.house.store.load_clubs()
    assert not kept_club.paused
    assert kept_club.settings.post_time == "12:00"
    assert len(ada.sees()) == seen, "nothing was said in the room"


async def test_a_frame_that_is_too_large_is_refused_and_one_beyond_measure_ends_that_page_alone(
    bench: Bench, club: Channel, browsers: list[Browser]
) -> None:
    adas, bens, _ = browsers
    ada, ben = await begin(bench, club, "Ada", "Ben")
    pages = []
    for browser, link in ((adas, await link_of(ada)), (bens, await link_of(ben))):
        assert await browser.exchange(link) == ""
        pages.append(await browser.open(link))
        await pages[-1].until("ready")
    large, other = pages
    refused = await large.tap("place r1c3 4 2026-11-23" + " " * LINE_LIMIT)
    assert (refused["problem"], refused["limit"]) == ("too-long", LINE_LIMIT)
    assert (await large.tap("place r1c3 4 2026-11-23"))["board"]["grid"].startswith("534.7....")
    await large.socket.send_str("x" * (FRAME_LIMIT + 1))
    closing = (aiohttp.WSMsgType.CLOSE, aiohttp.WSMsgType.CLOSED, aiohttp.WSMsgType.ERROR)
    assert (await large.socket.receive()).type in closing
    assert (await other.tap("place r1c3 4 2026-11-23"))["type"] == "touched"


async def test_only_our_own_page_can_hand_a_secret_over(
    bench: Bench, club: Channel, browsers: list[Browser]
) -> None:
    (ada,) = await begin(bench, club, "Ada")
    link = await link_of(ada)
    for origin in (None, "null", "http://evil.example", "http://localhost", "https://localhost"):
        assert await browsers[0].exchange(link, origin=origin) == 403
    assert await browsers[0].exchange(link) == ""


async def test_no_address_of_the_page_leads_away(
    bench: Bench, club: Channel, browsers: list[Browser]
) -> None:
    await begin(bench, club, "Ada")
    (browser, *_) = browsers
    for path in (
        "/board", "/board/", "/board//evil.example", "/board/%2F%2Fevil.example", "/board/a/",
        "/board/a?next=//evil.example", "/board/../socket", "/board/a/socket?to=//evil.example",
        "//evil.example/board/a", "/board/a/https://evil.example",
    ):  # fmt: skip
        at = URL(f"{browser.origin}{path}", encoded=True)
        async with browser.session.get(at, allow_redirects=False) as answer:
            assert answer.status in (200, 403, 404), path
            assert "Location" not in answer.headers
            assert "evil.example" not in await answer.text()
            assert answer.headers["Referrer-Policy"] == "no-referrer"


async def test_secrets_are_in_no_log_no_page_and_no_file(
    bench: Bench, club: Channel, browsers: list[Browser], caplog: pytest.LogCaptureFixture
) -> None:
    hear_all(caplog)
    (ada,) = await begin(bench, club, "Ada")
    # In a direct message the library itself logs what it sends.
    await ada.write_directly("link")
    await bench.double.until(lambda: len(ada.direct()) > 0, "an answer to a direct message")
    sent = ada.direct()[-1].control("Open my board").url
    link = await link_of(ada)
    own = browsers[0]
    async with own.session.get(link) as page:
        served = await page.read()
    assert await own.exchange(link) == ""
    page = await own.open(link)
    await page.until("ready")
    await page.tap("place r1c3 4 2026-11-23")
    (cookie,) = own.session.cookie_jar
    await bench.stop()
    files = [each for each in bench.database.parent.rglob("*") if each.is_file()]
    assert bench.database in files
    assert URL(sent).fragment in caplog.text, "there is something to be taken out"
    logged = as_logged(caplog.records)
    assert "#[secret]" in logged
    for secret in (URL(sent).fragment, URL(link).fragment, cookie.value.partition(".")[2]):
        assert len(secret) == 43, "256 bits"
        assert secret not in logged
        assert secret.encode() not in served
        assert not [each for each in files if secret.encode() in each.read_bytes()]


async def test_who_is_erased_has_no_link_any_more(
    bench: Bench, club: Channel, browsers: list[Browser]
) -> None:
    (ada,) = await begin(bench, club, "Ada")
    link = await link_of(ada)
    assert await browsers[0].exchange(link) == ""
    export = answer_of(await ada.command("privacy", wish="export"))
    (file,) = export.files.values()
    assert b'"links"' in file
    await ada.command("privacy", wish="erase sure")
    assert await browsers[0].exchange(link) == "link-unknown"


async def test_without_an_address_there_are_no_links(bench: Bench, club: Channel) -> None:
    (ada,) = await begin(bench, club, "Ada")
    asked = answer_of(await ada.command("link"))
    assert "cannot be opened in a browser" in asked.text
    assert not asked.controls
    board = answer_of(await ada.command("board"))
    assert "Open my board" not in [each.label for each in board.controls]


async def test_a_photo_is_taken_from_who_came_by_the_link_and_from_nobody_else(
    bench: Bench, club: Channel, browsers: list[Browser], monkeypatch: pytest.MonkeyPatch
) -> None:
    async def read(workshop: Workshop, content: bytes, puzzles: Mapping[str, Grid]) -> PhotoReading:
        assert content == b"a photo"
        (givens,) = puzzles
        return PhotoReading(puzzle=givens, grid=givens.replace(".", "4", 1))

    monkeypatch.setattr(Workshop, "read_photo", read)
    phone, other, _ = browsers
    (ada,) = await begin(bench, club, "Ada")
    link = await link_of(ada)
    assert await phone.exchange(link) == ""
    assert await other.photo(link, "tap-1") == 403
    assert await other.photo(phone.origin, "tap-1") == 403, "nobody enters this page by a name"
    page = await phone.open(link)
    key = (await page.until("entered"))["photos"]
    assert await phone.photo(link, "tap-1", key) == 204
    told = await page.tap("board photo 2026-11-23", photo=7)
    (said,) = told["said"]
    assert said["text"].startswith("This is what I read in your photo.")
    assert said["picture"]["alt"]
    taking = said["buttons"][0]["command"]
    kept = await page.tap(taking)
    assert kept["board"]["grid"].startswith("534.7....")
    assert answer_of(await ada.command("board")).code.startswith("534|.7.|...")


async def test_what_one_kind_of_link_gives_opens_nothing_of_the_other(
    bench: Bench, club: Channel, browsers: list[Browser]
) -> None:
    adas, wrens, _ = browsers
    settings = ClubSettings(name="Hazel Lane Sudoku Club")
    bench.entries.append(ClubConfig("web", "main", settings))
    (ada,) = await begin(bench, club, "Ada")
    board = await link_of(ada)
    assert bench.house is not None
    store = bench.house.store
    there = await store.load_club("web", "main")
    assert there is not None
    room = (await links_of(store, lambda: bench.now, bench.besides).invite(there, "Wren")).address
    assert await adas.exchange(board.replace("/board/", "/in/")) == "link-unknown"
    assert await wrens.exchange(room.replace("/in/", "/board/")) == "link-unknown"
    assert await adas.exchange(board) == ""
    assert await wrens.exchange(room) == ""
    (for_board,), (for_room,) = adas.session.cookie_jar, wrens.session.cookie_jar
    assert for_room["httponly"]
    assert for_room["samesite"] == "Strict"
    pages = ["/", "/rooms", f"/pictures/{'0' * 64}.png", "/socket"]
    board_id, room_id = URL(board).name, URL(room).name
    for key, value in (
        (for_board.key, for_board.value), ("ninebark-room", for_board.value),
        ("ninebark-room", f"{room_id}.{for_board.value.partition('.')[2]}"),
        ("ninebark-room", f"{room_id}.{URL(room).fragment}"), ("ninebark-room", "x"),
    ):  # fmt: skip
        async with aiohttp.ClientSession(headers={"Cookie": f"{key}={value}"}) as session:
            for page in pages:
                async with session.get(f"{adas.origin}{page}") as answer:
                    said = await answer.text()
                    assert answer.status == (200 if page == "/" else 403), page
                    assert "in.js" in said, "the door, which holds nothing"
                    assert "main.js" not in said
                    assert "Hazel" not in said
    for value in (for_room.value, f"{board_id}.{for_room.value.partition('.')[2]}"):
        headers = {"Cookie": f"ninebark-board={value}"}
        async with aiohttp.ClientSession(headers=headers) as session:
            for link_id in (board_id, room_id):
                at = f"{adas.origin}/board/{link_id}/socket"
                with pytest.raises(aiohttp.WSServerHandshakeError) as refused:
                    await session.ws_connect(at, origin=adas.origin)
                assert refused.value.status == 403
    async with wrens.session.get(f"{wrens.origin}/rooms") as answer:
        assert await answer.json() == [
            {"id": "main", "title": "Hazel Lane Sudoku Club", "name": "Wren"}
        ]
    # Whatever a page says of itself, it comes in as the link has it.
    entering = await wrens.connect(URL(f"{wrens.origin}/socket"))
    await entering.send(type="enter", room="elsewhere", name="Rowan")
    assert (await entering.until("entered"))["name"] == "Wren"
