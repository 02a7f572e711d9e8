"""A link that is opened in a real browser, through the proxy that the hosting guide sets up: what
only https shows, such as a cookie that is kept to it and a policy that must name the right socket.
"""

from __future__ import annotations

from collections.abc import AsyncIterator, Iterator
from pathlib import Path

import pytest
import pytest_asyncio
from playwright.async_api import Browser, expect

from bot.platforms.web.address import parse_address
from bot.platforms.web.front import Front
from bot.platforms.web.log import FakeRoomLog
from tests.bot.platforms.conftest import EchoClub, HandClock, make_room
from tests.bot.platforms.paper_links import PaperLinks
from tests.bot.platforms.proxies import Proxy, running
from tests.patience import PATIENCE

pytestmark = pytest.mark.browser


@pytest.fixture
def proxy(tmp_path: Path) -> Iterator[Proxy]:
    with running("caddy", tmp_path) as proxy:
        yield proxy


@pytest_asyncio.fixture(loop_scope="session")
async def links(proxy: Proxy) -> AsyncIterator[PaperLinks]:
    links, front = PaperLinks(), Front(parse_address(proxy.address))
    room = make_room(HandClock(), FakeRoomLog(), front=front, port=proxy.upstream, links=links)
    await room.start(EchoClub().answer)
    yield links
    await room.stop()


async def test_a_link_opens_once_by_https_and_stays_open_in_that_browser(
    browser: Browser, proxy: Proxy, links: PaperLinks
) -> None:
    context = await browser.new_context(ignore_https_errors=True)
    context.set_default_timeout(1000 * PATIENCE)
    page = await context.new_page()
    problems: list[str] = []
    page.on("pageerror", lambda error: problems.append(str(error)))
    page.on("console", lambda said: problems.append(said.text) if said.type == "error" else None)
    asked: list[str] = []
    page.on("request", lambda request: asked.append(f"{request.url} {request.headers}"))
    await page.goto(f"{proxy.address}/board/mina-1#mina-secret")
    await expect(page.get_by_text("You are Mina")).to_be_visible()
    await expect(page.locator("#board")).to_have_attribute("data-ready", "yes")
    await page.reload()
    await expect(page.locator("#board")).to_have_attribute("data-ready", "yes")
    (cookie,) = await context.cookies()
    assert (cookie["secure"], cookie["httpOnly"], cookie["sameSite"]) == (True, True, "Strict")
    assert cookie["path"] == "/board/mina-1"
    secrets = ("mina-secret", cookie["value"])
    shown = [page.url, await page.title(), await page.content(), *asked, proxy.log()]
    assert not [each for each in shown for secret in secrets if secret in each]
    assert await page.evaluate("document.cookie + document.referrer") == ""
    assert problems == []
    assert len([each for each in asked if "/board/mina-1" in each]) > 3
    await context.close()
