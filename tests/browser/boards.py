"""A real club with a puzzle that is open, for the tests of the board: SQLite, service, loop, page.

The day's puzzle is one of the starting stock, of level 2; its solution is what that has.
"""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from playwright.async_api import Page

from bot.club.settings import ClubSettings
from bot.club.state import Club, Day, MemberSolve
from bot.settings import ClubConfig
from bot.wiring.running import RunningBot, open_clubs
from bot.wiring.web import WebAccess
from tests.browser.player import Player
from tests.browser.tabs import Tabs

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
    tabs: Tabs
    moment: list[datetime]

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

    async def new_tab(self, *, width: int = 360, height: int = 740, **more: Any) -> Page:
        """Open an empty tab, in a browser of its own: `more` is as for `Tabs.lend`."""
        return await self.tabs.lend(width=width, height=height, has_touch=True, **more)


@asynccontextmanager
async def open_board_club(tabs: Tabs, port: int) -> AsyncIterator[BoardClub]:
    """Open a club in memory whose day is open."""
    moment = [MORNING]
    config = ClubConfig(platform="web", room="main", settings=SETTINGS)
    async with open_clubs(
        (config,), WebAccess(port=port), database=None, now=lambda: moment[0]
    ) as house:
        club = BoardClub(house, tabs, moment)
        await house.schedule.serve(await club.club())
        yield club
