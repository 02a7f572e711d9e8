"""One person at their own board, where a link led them, and the story of a club elsewhere."""

from __future__ import annotations

import os
import re
from collections.abc import Awaitable, Callable
from pathlib import Path

from playwright.async_api import Page, expect

from tests.bot.club.stories import EASY, EASY_SOLUTION
from tests.browser.player import Player

OPEN = [cell for cell in range(81) if EASY[cell] == "."]

AHEAD = """
const right = Date;
Date = class extends right {
  constructor(...given) { super(...(given.length ? given : [right.now() + 2 * 86400_000])); }
  static now() { return right.now() + 2 * 86400_000; }
};
"""
"""Puts a browser's clock two days ahead."""

Ask = Callable[[str], Awaitable[str]]
"""Gives the club a line where it meets; returns what it says."""


class LinkedPlayer(Player):
    """Comes to one board by a link, which stands in the place of the address."""

    async def enter(self) -> None:
        await self.page.goto(self._url)
        await self.wait_until_ready()

    async def wait_until_ready(self) -> None:
        await expect(self.page.locator("#board")).to_have_attribute("data-ready", "yes")
        await expect(self.board).to_be_visible()

    async def write(self, cells: list[int], solution: str) -> None:
        """Write digits by taps: each digit, and then its cells."""
        for digit in sorted({int(solution[cell]) for cell in cells}):
            await self.tap_digit(digit)
            for cell in cells:
                if int(solution[cell]) == digit:
                    await self.tap(self.cell(cell))
            await self.tap_digit(digit)


async def keep_picture(page: Page, name: str) -> None:
    """Keep a picture of the page where the one who runs the tests asks for it."""
    if folder := os.environ.get("NINEBARK_TEST_PICTURES"):
        await page.screenshot(path=Path(folder, f"{name}.png"))


async def play_here_and_there(
    player: LinkedPlayer, ask: Ask, later: Callable[[], None], *, taps: int
) -> None:
    """Open a board whose clock runs, write so many digits by taps, ask for a hint there, go on
    where the club meets, and hand in on the board; whoever looks sees the same at each step."""
    await player.enter()
    assert "#" not in player.page.url, "the secret is out of the address"
    await keep_picture(player.page, "linked-begun")
    await player.write(OPEN[:taps], EASY_SOLUTION)
    await player.expect_sent()
    await player.tap(player.button(re.compile("^Hint")))
    await expect(player.panel).to_contain_text("Where, rung 1 of 4.")
    where = await player.panel.inner_text()
    later()
    told = await ask("hint board")
    assert "the hint you were on" in told
    assert re.findall("(?:row|column|box) [1-9]", where)[0] in told
    await ask(f"board {EASY_SOLUTION}")
    await player.expect_digit(OPEN[-1], int(EASY_SOLUTION[OPEN[-1]]))
    assert await player.grid_text() == EASY_SOLUTION
    await keep_picture(player.page, "linked-full")
    await player.tap(player.button("Put away"))
    await player.tap(player.button("Hand in"))
    await expect(player.panel).to_contain_text("15 s added")
