"""A page whose first requests are too many says so in words, and opens by itself later."""

from __future__ import annotations

import aiohttp
import pytest
from playwright.async_api import Route, expect

from bot.platforms.web import gate
from bot.platforms.web.address import parse_address
from bot.platforms.web.front import Front
from bot.platforms.web.log import FakeRoomLog
from bot.platforms.web.room import WebRoom
from tests.bot.platforms.conftest import EchoClub, HandClock, make_room
from tests.bot.platforms.paper_links import PaperLinks
from tests.browser.tabs import Tabs
from tests.ports import claim_port

pytestmark = pytest.mark.browser

BUSY = "Many people are coming in at once."


async def test_a_link_opened_in_a_rush_opens_by_itself_once_there_is_room(
    tabs: Tabs, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(gate, "RETRY_SECONDS", 0.2)
    monkeypatch.setattr(gate, "REQUEST_BURST", 60)
    monkeypatch.setattr(gate, "SENT_BURST", 1)
    monkeypatch.setattr(gate, "SENT_PER_SECOND", 0.1)
    clock, port = HandClock(), claim_port()
    origin = f"http://localhost:{port}"
    room = make_room(
        clock,
        FakeRoomLog(),
        front=Front(parse_address(origin)),
        port=port,
        links=PaperLinks(is_secure=False),
    )
    await room.start(EchoClub().answer)
    try:
        async with aiohttp.ClientSession(headers={"Origin": origin}) as crowd:
            for method in ("POST", *["GET"] * 59):
                async with crowd.request(method, f"{origin}/nowhere") as answer:
                    assert answer.status == 404
        tabs.forgive("status of 429")
        page = await tabs.lend(width=360, height=740, is_own=True)
        await page.clock.install()
        await page.goto(f"{origin}/board/mina-1#mina-secret")
        # The page itself is refused, and then the exchange of its secret.
        await expect(page.get_by_text(BUSY)).to_be_visible()
        await expect(page.locator("#state")).to_have_count(0)
        clock.wind(1.9)
        await page.clock.fast_forward(60_000)
        await expect(page.locator("#state")).to_contain_text(BUSY)
        clock.wind(10)
        await page.clock.fast_forward(60_000)
        await expect(page.get_by_text("You are Mina")).to_be_visible()
        await expect(page.get_by_text(BUSY)).to_be_hidden()
        await page.goto("about:blank")
    finally:
        await room.stop()
    await tabs.take_back()


async def test_the_room_says_that_it_is_busy_and_asks_again(tabs: Tabs, room: WebRoom) -> None:
    tabs.forgive("status of 429", "status of 502")
    page = await tabs.lend(width=360, height=740, is_own=True)
    statuses = [429, 502]

    async def refuse(route: Route) -> None:
        if not statuses:
            await route.continue_()
            return
        await route.fulfill(status=statuses.pop(0), headers={"Retry-After": "600"})

    await page.clock.install()
    await page.route("**/rooms", refuse)
    await page.goto(room.url)
    await expect(page.locator("#opening")).to_contain_text(BUSY)
    await page.clock.fast_forward(1_000_000)
    await expect(page.locator("#opening")).to_contain_text("The club is out of reach.")
    await page.clock.fast_forward(1_000_000)
    await expect(page.get_by_role("button", name="Enter the room")).to_be_visible()
    await expect(page.locator("#opening")).to_be_hidden()
    await tabs.take_back()


async def test_a_page_whose_scripts_do_not_come_says_so_and_is_loaded_again(
    tabs: Tabs, room: WebRoom
) -> None:
    tabs.forgive("status of 429")
    page = await tabs.lend(width=360, height=740, is_own=True)
    await page.clock.install()
    statuses = [429, 429]

    async def refuse(route: Route) -> None:
        if statuses:
            await route.fulfill(status=statuses.pop())
        else:
            await route.continue_()

    await page.route("**/page/wire.js", refuse)
    await page.goto(room.url)
    for _ in range(2):
        await expect(page.get_by_text("tries again by itself")).to_be_visible()
        async with page.expect_navigation():
            await page.clock.fast_forward(60_000)
    await expect(page.get_by_role("button", name="Enter the room")).to_be_visible()
    await tabs.take_back()
