"""The page behind the proxies of the hosting guide, as its texts set them up: the real programs,
with https, in front of the real page. Visitors are told apart by the loopback address they use.
"""

from __future__ import annotations

import logging
import ssl
from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager
from dataclasses import dataclass
from io import BytesIO
from socket import AF_INET, AddressFamily
from typing import Any

import aiohttp
import pytest
import pytest_asyncio
from aiohttp.abc import AbstractResolver, ResolveResult

from bot.platforms.web import gate
from bot.platforms.web.address import parse_address
from bot.platforms.web.front import Front
from bot.platforms.web.gate import BODY_LIMIT
from bot.platforms.web.linked import BOARD
from bot.platforms.web.log import FakeRoomLog
from bot.wording.web import WEB
from tests.bot.platforms.conftest import EchoClub, HandClock, make_room
from tests.bot.platforms.paper_links import PaperLinks
from tests.bot.platforms.proxies import NAME, Proxy, running

pytestmark = pytest.mark.asyncio(loop_scope="module")
"""On one loop: an encrypted connection takes a moment to close, longer than the test it is of."""

ADA, BEN = "127.0.0.3", "127.0.0.4"


class EveryNameHere(AbstractResolver):
    """Finds every name on this machine."""

    async def resolve(
        self, host: str, port: int = 0, family: AddressFamily = AF_INET
    ) -> list[ResolveResult]:
        here = ResolveResult(
            hostname=host, host="127.0.0.1", port=port, family=AF_INET, proto=0, flags=0
        )
        return [here]

    async def close(self) -> None:
        pass


@dataclass
class Visitors:
    """People elsewhere, before a proxy."""

    proxy: Proxy
    links: PaperLinks

    @asynccontextmanager
    async def come(self, where: str = ADA) -> AsyncIterator[aiohttp.ClientSession]:
        trusted = ssl.create_default_context(cafile=str(self.proxy.certificate))
        connector = aiohttp.TCPConnector(
            resolver=EveryNameHere(), ssl=trusted, local_addr=(where, 0)
        )
        async with aiohttp.ClientSession(connector=connector) as session:
            yield session

    async def ask(
        self, path: str = "/", *, method: str = "GET", where: str = ADA, **more: Any
    ) -> tuple[int, str]:
        url = self.proxy.address + path
        async with (
            self.come(where) as session,
            session.request(method, url, allow_redirects=False, **more) as answer,
        ):
            return answer.status, await answer.text()


@pytest.fixture(scope="module", params=["caddy", "nginx"])
def proxy(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Proxy]:
    with running(request.param, tmp_path_factory.mktemp(request.param)) as proxy:
        yield proxy


@pytest_asyncio.fixture(loop_scope="module")
async def visitors(
    proxy: Proxy, clock: HandClock, log: FakeRoomLog, club: EchoClub
) -> AsyncIterator[Visitors]:
    links = PaperLinks()
    front = Front(parse_address(proxy.address))
    room = make_room(clock, log, front=front, port=proxy.upstream, links=links)
    await room.start(club.answer)
    yield Visitors(proxy, links)
    await room.stop()


async def test_the_page_comes_through_with_its_headers_and_by_https_alone(
    visitors: Visitors,
) -> None:
    proxy = visitors.proxy
    async with visitors.come() as session:
        async with session.get(f"{proxy.address}/") as answer:
            assert (answer.status, "<main>" in await answer.text()) == (200, True)
            assert f"wss://{NAME}:{proxy.port};" in answer.headers["Content-Security-Policy"]
            assert answer.headers["X-Frame-Options"] == "DENY"
            assert answer.headers["Referrer-Policy"] == "no-referrer"
        plain = f"http://{NAME}:{proxy.plain_port}/guides/members"
        async with session.get(plain, allow_redirects=False) as answer:
            assert answer.status in (301, 308)
            assert answer.headers["Location"].startswith(f"https://{NAME}")
            assert answer.headers["Location"].endswith("/guides/members")


async def test_a_link_becomes_a_session_and_a_socket_and_no_log_holds_its_secret(
    visitors: Visitors, caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level(logging.DEBUG)
    board = f"{visitors.proxy.address}/board/mina-1"
    own = {"Origin": visitors.proxy.address}
    async with visitors.come() as session:
        async with session.post(board, data="mina-secret", headers=own) as answer:
            assert answer.status == 204
            (cookie,) = answer.headers.getall("Set-Cookie")
        for part in ("Secure", "HttpOnly", "SameSite=Strict", "Path=/board/mina-1"):
            assert part in cookie
        async with session.ws_connect(f"{board}/socket", origin=visitors.proxy.address) as tab:
            assert (await tab.receive_json())["name"] == "Mina"
            await tab.send_json({"type": "act", "id": "a1", "text": "hint"})
            assert (await tab.receive_json())["type"] == "ready"
            assert (await tab.receive_json())["problem"] == "elsewhere"
    for secret in ("mina-secret", visitors.links.sessions["mina-1"], BOARD.cookie):
        assert secret not in visitors.proxy.log() + caplog.text
    assert "/board/mina-1" in visitors.proxy.log()


@pytest.mark.parametrize("origin", [None, "https://evil.example", f"https://{NAME}", "null"])
async def test_another_site_opens_no_socket_and_sends_nothing(
    visitors: Visitors, origin: str | None
) -> None:
    headers = {} if origin is None else {"Origin": origin}
    async with visitors.come() as session:
        with pytest.raises(aiohttp.WSServerHandshakeError) as refused:
            await session.ws_connect(f"{visitors.proxy.address}/socket", headers=headers)
        assert refused.value.status == 403
    asked = await visitors.ask("/board/mina-1", method="POST", data="mina-secret", headers=headers)
    assert asked == (403, WEB.gate.foreign)
    assert visitors.links.asked == 0


@pytest.fixture
def few_requests(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(gate, "REQUEST_BURST", 8)


@pytest.mark.usefixtures("few_requests")
async def test_each_visitor_is_counted_by_the_address_that_the_proxy_heard(
    visitors: Visitors,
) -> None:
    made_up: list[dict[str, str]] = [
        {}, {"X-Forwarded-For": "192.0.2.1"}, {"X-Forwarded-For": "192.0.2.2, 192.0.2.3"},
        {"X-Forwarded-For": "127.0.0.1"}, {"Forwarded": "for=192.0.2.4"},
        {"X-Real-IP": "192.0.2.5"}, {"X-Forwarded-Proto": "http"},
        {"X-Forwarded-Host": "evil.example"},
    ]  # fmt: skip
    path = "/guides/members"
    for headers in made_up:
        assert (await visitors.ask(path, headers=headers))[0] == 200
    for headers in made_up:
        assert await visitors.ask(path, headers=headers) == (429, WEB.gate.busy)
    assert (await visitors.ask(path, where=BEN))[0] == 200


async def test_a_body_is_held_to_the_pages_limit_and_before_that_to_the_proxys(
    visitors: Visitors,
) -> None:
    own = {"Origin": visitors.proxy.address}
    more = {"method": "POST", "headers": own}
    status, _ = await visitors.ask("/board/mina-1", data=b"x" * BODY_LIMIT, **more)
    assert status == 403
    asked = await visitors.ask("/board/mina-1", data=b"x" * (BODY_LIMIT + 1), **more)
    assert asked == (413, WEB.gate.too_long)
    heard = visitors.links.asked
    status, said = await visitors.ask("/board/mina-1", data=BytesIO(bytes(18_000_000)), **more)
    if visitors.proxy.program == "nginx":  # it goes by what the request says of itself
        assert (status, said == WEB.gate.too_long) == (413, False)
    else:  # it counts what it passes on, which the page has had enough of long before
        assert status in (413, 502)
    assert visitors.links.asked == heard


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1", "localhost", f"{NAME}.evil.example"])
async def test_under_another_host_there_is_no_page(visitors: Visitors, host: str) -> None:
    status, said = await visitors.ask(headers={"Host": host})
    assert "<main>" not in said
    assert (status, said) in ((421, WEB.gate.elsewhere), (200, ""))
