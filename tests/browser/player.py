"""One person at their own board, by taps or by keys, with every tap counted.

A tap is a touch of one place on the screen. What the board says is read as a person would get it:
from the cells' spoken names, the panel and the clock.
"""

from __future__ import annotations

import re
from collections.abc import Awaitable, Callable

from playwright.async_api import BrowserContext, Locator, Page, expect

CELL_WORDS = re.compile(r"row ([1-9]) column ([1-9]), (?:([1-9]), (given|yours)|open, (.*))\Z")


class Player:
    """A tab with a board. `taps` counts them."""

    def __init__(self, page: Page, url: str, name: str) -> None:
        self.page = page
        self.name = name
        self.taps = 0
        self._url = url

    async def enter(self) -> None:
        """Come in by the door, and wait until the board is there."""
        await self.page.goto(self._url)
        await self.page.get_by_label("Your name").fill(self.name)
        await self.page.get_by_role("button", name="Enter the room").click()
        await self.wait_until_ready()

    async def wait_until_ready(self) -> None:
        await expect(self.page.locator("#entries")).to_have_attribute("data-ready", "yes")
        await expect(self.board).to_be_visible()

    @property
    def context(self) -> BrowserContext:
        return self.page.context

    @property
    def board(self) -> Locator:
        return self.page.get_by_role("region", name=re.compile("^My board"))

    @property
    def grid(self) -> Locator:
        return self.page.get_by_role("grid", name="My board")

    @property
    def panel(self) -> Locator:
        return self.page.get_by_role("region", name="What Ninebark tells you")

    def cell(self, cell: int) -> Locator:
        """The cell by its number from 0, row by row."""
        return self.grid.get_by_role("gridcell").nth(cell)

    def button(self, name: str | re.Pattern[str]) -> Locator:
        return self.board.get_by_role("button", name=name)

    async def tap(self, target: Locator) -> None:
        """Tap once. Two quick touches in one place would be a double tap, which buttons take for
        one; so a button is clicked, and what is on the grid or the bar touched."""
        self.taps += 1
        is_button = await target.evaluate("each => each.matches('button:not([data-digit])')")
        await (target.click() if is_button else target.tap())

    async def hold(self, target: Locator, *, until: Callable[[Locator], Awaitable[object]]) -> None:
        """Press with a finger for long, until something is seen, then lift it."""
        box = await target.bounding_box()
        assert box is not None
        at = {"x": box["x"] + box["width"] / 2, "y": box["y"] + box["height"] / 2}
        finger = await self.context.new_cdp_session(self.page)
        for kind, points in (("touchStart", [at]), ("touchEnd", [])):
            await finger.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})
            await until(target)
        await finger.detach()

    async def tap_digit(self, digit: int) -> None:
        await self.tap(self.page.get_by_role("group", name="Digits").get_by_text(str(digit)))

    async def start(self) -> None:
        await self.tap(self.button("Start my clock"))
        await expect(self.button(re.compile("^Hint"))).to_be_visible()

    async def press_and_look(self, tool: str, cell: int) -> str:
        """Press a tool, by its id; return how a cell is spoken in that very moment, before the club
        can have answered."""
        self.taps += 1
        found: str = await self.page.evaluate(
            """([tool, cell]) => {
              document.getElementById(tool).click();
              const element = document.querySelector(`[data-cell="${cell}"]`);
              return element.checkVisibility() ? element.ariaLabel : "out of sight";
            }""",
            [tool, cell],
        )
        return found

    async def spoken(self) -> list[str]:
        """Every cell as it is spoken, row by row."""
        return await self.grid.get_by_role("gridcell").evaluate_all(
            "cells => cells.map(cell => cell.ariaLabel)"
        )

    async def grid_text(self) -> str:
        """The digits of the board, a dot for an open cell, from what is spoken."""
        found = [CELL_WORDS.fullmatch(words) for words in await self.spoken()]
        assert all(found)
        return "".join((each[3] or ".") if each else "" for each in found)

    async def expect_digit(self, cell: int, digit: int) -> None:
        name = f"row {cell // 9 + 1} column {cell % 9 + 1}, "
        expected = f"{name}{digit}, yours" if digit else re.compile(f"^{name}open")
        await expect(self.cell(cell)).to_have_accessible_name(expected)

    async def expect_sent(self) -> None:
        """Wait until nothing is on its way to the club."""
        taps = "Object.keys(localStorage).filter((key) => key.startsWith('ninebark-tap:')).length"
        drawn = "new Promise((done) => requestAnimationFrame(() => setTimeout(done)))"
        await self.page.evaluate(drawn)  # a tap is kept once it is drawn
        while await self.page.evaluate(taps):
            await self.page.evaluate(drawn)
