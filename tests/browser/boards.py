"""A real club with a puzzle that is open, for the tests of the board: SQLite, service, loop, page.

The day's puzzle is one of the starting stock, of level 2; its solution is what that has.
"""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any

from playwright.async_api import Browser, BrowserContext, Page

from bot.club.settings import ClubSettings
from bot.club.state import Club, Day, MemberSolve
from bot.settings import ClubConfig
from bot.wiring.running import RunningBot, open_clubs
from bot.wiring.web import WebAccess
from tests.browser.player import Player
from tests.patience import PATIENCE

MORNING = datetime(2026, 11, 23, 9, 0, tzinfo=UTC)
SETTINGS = ClubSettings(
    name="Hazel Lane Sudoku Club",
    post_time="09:00",
    levels=(2, 2, 2, 2, 2, 2, 2),
    quick=0,
)


@dataclass
class BoardClub:
    """A running club, its clock, and a way for people to come to their boards."""

    house: RunningBot
    browser: Browser
    moment: list[datetime]
    problems: list[str] = field(default_factory=list)
    contexts: list[BrowserContext] = field(default_factory=list)

    @property
    def url(self) -> str:
        return self.house.rooms["web"].url  # type: ignore[attr-defined, no-any-return]

    def forward(self, **span: float) -> None:
        self.moment[0] += timedelta(**span)

    async def club(self) -> Club:
        club = await self.house.store.load_club("web", "main")
        assert club is not None
        return club

    async def day(self) -> Day:
        (day,) = await self.house.store.load_days((await self.club()).id, open_only=True)
        return day

    async def entry(self, name: str) -> MemberSolve:
        found = await self.house.store.load_entry((await self.day()).id, name.casefold())
        assert found is not None
        return found

    async def come(self, name: str, **more: Any) -> Player:
        """Let somebody in, in a browser of their own: `more` is as for `new_tab`."""
        page = await self.new_tab(**more)
        player = Player(page, self.url, name)
        await player.enter()
        return player

    async def new_tab(
        self, *, width: int = 360, height: int = 740, dark: bool = False, **more: Any
    ) -> Page:
        """Open an empty tab, in a browser of its own."""
        context = await self.browser.new_context(
            viewport={"width": width, "height": height},
            has_touch=True,
            color_scheme="dark" if dark else "light",
            **more,
        )
        context.set_default_timeout(1000 * PATIENCE)
        self.contexts.append(context)
        return await self.new_page(context)

    async def new_page(self, context: BrowserContext) -> Page:
        page = await context.new_page()
        page.on("pageerror", lambda error: self.problems.append(str(error)))
        page.on(
            "console",
            lambda said: self.problems.append(said.text) if said.type == "error" else None,
        )
        return page

    async def leave(self) -> None:
        """Close what was opened; the page must have reported nothing."""
        for context in self.contexts:
            await context.close()
        self.contexts.clear()
        problems, self.problems = self.problems, []
        assert problems == [], "the page reported errors"


@asynccontextmanager
async def open_board_club(browser: Browser, port: int) -> AsyncIterator[BoardClub]:
    """Open a club in memory whose day is open."""
    moment = [MORNING]
    config = ClubConfig(platform="web", room="main", settings=SETTINGS)
    async with open_clubs(
        (config,), WebAccess(port=port), database=None, now=lambda: moment[0]
    ) as house:
        club = BoardClub(house, browser, moment)
        await house.schedule.serve(await club.club())
        yield club
