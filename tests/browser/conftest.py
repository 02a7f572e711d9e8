"""A real Chromium for the tests of the page, and a room of the page with a stand-in club.

The browser is the system's own; where there is none the tests say so and skip (CI installs it and
counts a skip as a failure).
"""

from __future__ import annotations

import asyncio
import shutil
from collections.abc import AsyncIterator, Awaitable, Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest
import pytest_asyncio
from playwright.async_api import Browser, Page, async_playwright, expect
from pytest_asyncio import is_async_test

from bot.platforms.web.door import PageClubs, Place
from bot.platforms.web.front import Listening
from bot.platforms.web.log import FakeRoomLog
from bot.platforms.web.room import WebRoom
from bot.wording.web import WEB
from tests.bot.platforms.proxies import NAME
from tests.browser.boards import BoardClub, open_board_club
from tests.browser.linked import AHEAD
from tests.browser.stub_club import StubClub
from tests.browser.tabs import Tabs
from tests.browser.visitor import Visitor
from tests.patience import PATIENCE
from tests.ports import claim_port

PROGRAMS = ("chromium", "chromium-browser", "google-chrome")
SWITCHES = (
    f"--host-resolver-rules=MAP {NAME} 127.0.0.1",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
HERE = Path(__file__).resolve().parent
WEB_PAGE = HERE.parents[1] / "assets" / "web"
ROOM = "hazel"
STAMP = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)

Come = Callable[..., Awaitable[Visitor]]


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Run the browser's tests on one event loop, so that one browser serves them all."""
    for item in items:
        if item.path.parent == HERE and is_async_test(item):
            item.add_marker(pytest.mark.asyncio(loop_scope="session"), append=False)


@pytest_asyncio.fixture(scope="session", loop_scope="session")
async def browser() -> AsyncIterator[Browser]:
    expect.set_options(timeout=1000 * PATIENCE)
    program = next(filter(None, map(shutil.which, PROGRAMS)), None)
    if program is None:
        pytest.skip(f"needs a browser that pip cannot install: one of {', '.join(PROGRAMS)}")
    async with async_playwright() as playwright:
        running = await playwright.chromium.launch(executable_path=program, args=list(SWITCHES))
        yield running
        await running.close()


@pytest_asyncio.fixture(scope="session", loop_scope="session")
async def tabs(browser: Browser) -> AsyncIterator[Tabs]:
    async def answer(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        await reader.readuntil(b"\r\n\r\n")
        writer.write(b"HTTP/1.1 200 OK\r\nContent-Length: 0\r\nConnection: close\r\n\r\n")
        await writer.drain()
        writer.close()

    port = claim_port()
    async with await asyncio.start_server(answer, "127.0.0.1", port):
        yield Tabs(browser, f"http://127.0.0.1:{port}/")


@pytest.fixture
def club() -> StubClub:
    return StubClub()


def stub_room(port: int = 0, log: FakeRoomLog | None = None, epoch: str = "first") -> WebRoom:
    return WebRoom(
        PageClubs({ROOM: Place("Hazel Lane Sudoku Club", leaders=("Odile",))}),
        at=Listening("127.0.0.1", port),
        shipped=WEB_PAGE.parent,
        log=FakeRoomLog() if log is None else log,
        now=lambda: STAMP,
        token=lambda: epoch,
        words=WEB,
    )


@pytest.fixture
def log() -> FakeRoomLog:
    return FakeRoomLog()


@pytest_asyncio.fixture(loop_scope="session")
async def room(club: StubClub, log: FakeRoomLog) -> AsyncIterator[WebRoom]:
    room = stub_room(claim_port(), log)
    await room.start(club.answer)
    yield room
    await room.stop()


@pytest_asyncio.fixture(loop_scope="session")
async def come(tabs: Tabs, room: WebRoom) -> AsyncIterator[Come]:
    """Let a person in, each in a browser of their own: `await come("Ada", width=360)`."""

    async def let_in(name: str, *, width: int = 1000, dark: bool = False) -> Visitor:
        visitor = Visitor(await tabs.lend(width=width, height=800, dark=dark), room.url, name)
        await visitor.enter()
        return visitor

    yield let_in
    await tabs.take_back()


@pytest_asyncio.fixture(loop_scope="session")
async def phone(browser: Browser) -> AsyncIterator[Page]:
    """A browser as wide as a phone, whose clock is two days ahead; its page reports nothing."""
    problems: list[str] = []
    context = await browser.new_context(viewport={"width": 360, "height": 740}, has_touch=True)
    context.set_default_timeout(1000 * PATIENCE)
    await context.add_init_script(AHEAD)
    page = await context.new_page()
    page.on("pageerror", lambda error: problems.append(str(error)))
    page.on("console", lambda said: problems.append(said.text) if said.type == "error" else None)
    yield page
    await context.close()
    # The browser tells by itself of a link that opens nothing.
    assert [each for each in problems if "403" not in each] == [], "the page reported errors"


@pytest_asyncio.fixture(scope="module", loop_scope="session")
async def board_club(tabs: Tabs) -> AsyncIterator[BoardClub]:
    """A real club with a day that is open, for a module's tests of the board."""
    async with open_board_club(tabs, claim_port()) as club:
        yield club


@pytest_asyncio.fixture(loop_scope="session")
async def boards(board_club: BoardClub) -> AsyncIterator[BoardClub]:
    """The module's club, with nobody in it."""
    yield board_club
    await board_club.tabs.take_back()
