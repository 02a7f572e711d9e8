"""A tap on the board in a real browser, its CPU slowed four times: the work until it is drawn.

The room hears nothing of the taps, so that no answer adds to what is measured: all the processor
time that the page's main thread takes for a tap, from the event to the painting. Other load on the
machine counts less so. What the measuring itself takes, with no tap, is taken off.
"""

from __future__ import annotations

import asyncio
import random
import shutil
from collections.abc import Iterator

from playwright.async_api import FloatRect, async_playwright

from tests.bench import Figure, median, percentile
from tests.browser.boards import open_board_club
from tests.browser.conftest import PROGRAMS, SWITCHES
from tests.browser.test_board import cut

TAPS = 300
IDLE = 50
SLOWER = 4
FRAME_MILLISECONDS = 16.0

OURS = ("ScriptDuration", "LayoutDuration", "RecalcStyleDuration")

DRAWN = """() => new Promise((done) => requestAnimationFrame(() => {
  const channel = new MessageChannel();
  channel.port1.onmessage = () => done();
  channel.port2.postMessage(0);
}))"""


async def _measure() -> list[tuple[float, float]]:
    program = next(filter(None, map(shutil.which, PROGRAMS)))
    async with async_playwright() as playwright:
        browser = await playwright.chromium.launch(executable_path=program, args=list(SWITCHES))
        async with open_board_club(browser, 0) as club:
            ada = await club.come("Ada", width=360)
            await ada.start()
            await cut(ada.page, lose="taps")
            await ada.page.reload()
            await ada.wait_until_ready()
            session = await ada.context.new_cdp_session(ada.page)
            await session.send("Performance.enable", {"timeDomain": "threadTicks"})
            await session.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})

            async def work() -> tuple[float, float]:
                """Return milliseconds of script, style and layout, and of all tasks, so far."""
                kept = (await session.send("Performance.getMetrics"))["metrics"]
                by_name = {metric["name"]: 1000 * metric["value"] for metric in kept}
                return sum(by_name[name] for name in OURS), by_name["TaskDuration"]

            givens = (await club.day()).puzzle.givens
            cells = [cell for cell in range(81) if givens[cell] not in "123456789"]
            rng = random.Random(1)
            boxes = [await ada.cell(cell).bounding_box() for cell in range(81)]
            keys = [
                await ada.page.locator(f"[data-digit='{digit}']").bounding_box()
                for digit in range(1, 10)
            ]

            async def spend(box: FloatRect | None) -> tuple[float, float]:
                before = await work()
                if box is not None:
                    await ada.page.mouse.click(box["x"] + 12, box["y"] + 12)
                await ada.page.evaluate(DRAWN)
                after = await work()
                return after[0] - before[0], after[1] - before[1]

            idle = [await spend(None) for _ in range(IDLE)]
            none = median([ours for ours, _ in idle]), median([whole for _, whole in idle])
            took = []
            for number in range(TAPS):
                is_cell = number % 2 == 0
                box = boxes[rng.choice(cells)] if is_cell else keys[rng.randrange(9)]
                ours, whole = await spend(box)
                took.append((ours - none[0], whole - none[1]))
            await club.leave()
        await browser.close()
    return took


def find_figures() -> Iterator[Figure]:
    """Every other tap chooses a cell, every other writes a digit."""
    took = asyncio.run(_measure())
    for name, place in (("script, style and layout", 0), ("with input and painting", 1)):
        spans = [each[place] for each in took]
        last = percentile(spans, 0.99)
        yield Figure(f"a tap: {name}, median", median(spans), "ms")
        yield Figure(
            f"a tap: {name}, 99th percentile",
            last,
            "ms",
            "under 16",
            last < FRAME_MILLISECONDS,
        )
