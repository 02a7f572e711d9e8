"""A member's own link from Discord to their board on the page: what it opens, and what it does not.

The real client on the double, the real page beside it; a browser is stood in for by plain requests,
so that each can also send what no page of ours would.
"""

from __future__ import annotations

from collections.abc import AsyncIterator
from dataclasses import dataclass, field
from typing import Any

import aiohttp
import pytest
from yarl import URL

from bot.platforms.web.address import parse_address
from bot.wiring.web import WebAccess
from tests.discord.conftest import Bench
from tests.doubles.discord.people import Person, answer_of
from tests.doubles.discord.world import Channel
from tests.ports import claim_port


@dataclass
class Browser:
    """Keeps cookies, and goes where a link leads."""

    origin: str
    session: aiohttp.ClientSession = field(
        default_factory=lambda: aiohttp.ClientSession(cookie_jar=aiohttp.CookieJar(unsafe=True))
    )

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

    async def open(self, link: str) -> Socket:
        at = URL(link).with_fragment(None) / "socket"
        return Socket(await self.session.ws_connect(at, origin=self.origin))


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

    async def tap(self, line: str) -> dict[str, Any]:
        self.taps += 1
        await self.send(type="touch", id=f"tap-{self.taps}", text=line, fields={})
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
        await each.session.close()


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
