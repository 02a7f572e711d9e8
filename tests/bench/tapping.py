"""A tap on the board in a real browser, its CPU slowed four times: the work until it is drawn.

The room hears nothing of the taps, so that no answer adds to what is measured: the processor time
of the page's main thread from the click to the end of the frame that shows it. Each tap is followed
by one on a page that does nothing but write a digit, in the same browser: what that takes is the
browser's own, and what it takes longer now and then is the machine's.
"""

from __future__ import annotations

import asyncio
import json
import random
import re
import shutil
from collections import defaultdict
from collections.abc import Iterator, Sequence
from itertools import islice
from typing import Any

from playwright.async_api import Browser, Page, async_playwright, expect

from tests.bench import Figure, median, percentile
from tests.browser.boards import BoardClub, open_board_club
from tests.browser.conftest import PROGRAMS, SWITCHES
from tests.browser.player import Player
from tests.browser.tabs import Tabs
from tests.browser.test_board import cut, open_cells

ROUNDS, TAPS = 3, 36
"""Each round of taps begins on a board as it was: one that is bare, and one with all candidates."""

SLOWER = 4
FRAME_MILLISECONDS = 16.0

PLAIN = """<!doctype html><meta name="viewport" content="width=device-width">
<body style="margin: 0; font: 40px sans-serif"><div id="all" style="height: 400px">0</div>
<script>
let count = 0;
const all = document.getElementById("all");
all.addEventListener("click", () => { all.textContent = (count += 1) % 10; });
</script>"""

FORGET = "addEventListener('pagehide', () => localStorage.clear())"

WATCH = """() => {
  window.drawn = new Promise((done) => addEventListener("click", () =>
    requestAnimationFrame(() => setTimeout(() => setTimeout(done))), { once: true }));
}"""


async def _slow(page: Page) -> None:
    session = await page.context.new_cdp_session(page)
    await session.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})


async def _tap(page: Page, target: str) -> None:
    box = await page.locator(target).bounding_box()
    assert box is not None
    await page.evaluate(WATCH)
    await page.touchscreen.tap(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    await page.evaluate("drawn")


def _works(trace: Sequence[dict[str, Any]]) -> list[list[float]]:
    """Return milliseconds of each click, page by page in the order of their first clicks."""
    clicks = defaultdict[tuple[int, int], list[int]](list)
    frames = defaultdict[tuple[int, int], list[int]](list)
    for event in sorted(trace, key=lambda each: int(each["ts"])):
        thread = event["pid"], event["tid"]
        if event["name"] == "EventDispatch" and event["args"]["data"]["type"] == "click":
            clicks[thread].append(event["tts"])
        elif event["name"] == "Layerize":  # the last that the main thread does for a frame
            frames[thread].append(event["tts"] + event.get("tdur", 0))
    return [
        [(next(end for end in frames[thread] if end > begun) - begun) / 1000 for begun in each]
        for thread, each in clicks.items()
    ]


def _targets(cells: Sequence[int], rng: random.Random) -> Iterator[tuple[str, str]]:
    """What is tapped, its kind and where: digits into a cell, and a held digit into cells."""

    def cell() -> str:
        return f"[data-cell='{rng.choice(cells)}']"

    def digit() -> str:
        return f"[data-digit='{rng.randint(1, 9)}']"

    while True:
        chosen, held = cell(), digit()
        yield from (("choose a cell", chosen), ("write a digit", digit()), ("undo", "#undo"))
        yield from (("the switch", "#small"), ("a small digit", digit()))
        yield from (("the switch", "#small"), ("let a cell go", chosen))
        yield "hold a digit", held
        yield from (("write a held digit", cell()) for _ in range(3))
        yield "let a digit go", held


async def _open_board(club: BoardClub, name: str, *, is_filled: bool) -> Player:
    player = await club.come(name, is_own=True)
    await player.start()
    if is_filled:
        fill = player.button(re.compile("^Fill"))
        await player.tap(fill)
        await expect(fill).to_be_hidden()
        await player.expect_sent()
    await cut(player.page, lose="taps")
    return player


async def _round(player: Player, plain: Page, targets: Sequence[str]) -> list[list[float]]:
    """Return the work of each tap on a board as it was, and of those on the plain page."""
    page = player.page
    await page.evaluate(FORGET)
    await page.reload()
    await player.wait_until_ready()
    browser = page.context.browser
    assert browser is not None
    await browser.start_tracing(categories=["devtools.timeline"])
    for target in targets:
        await _tap(page, target)
        await _tap(plain, "body")
    return _works(json.loads(await browser.stop_tracing())["traceEvents"])


async def _measure(browser: Browser) -> tuple[dict[str, list[float]], list[float]]:
    took, compared = defaultdict[str, list[float]](list), list[float]()
    tabs, rng = Tabs(browser, rest="about:blank"), random.Random(1)
    async with open_board_club(tabs, 0) as club:
        plain = await tabs.lend(width=360, height=740, has_touch=True, is_own=True)
        await plain.set_content(PLAIN)
        boards = [
            await _open_board(club, name, is_filled=is_filled)
            for name, is_filled in (("Ada", False), ("Bea", True))
        ]
        for page in (plain, *(player.page for player in boards)):
            await _slow(page)
        cells = open_cells((await club.day()).puzzle.givens)
        for player in boards * ROUNDS:
            taps = list(islice(_targets(cells, rng), TAPS))
            board, beside = await _round(player, plain, [target for _, target in taps])
            for (kind, _), work in zip(taps, board, strict=True):
                took[kind].append(work)
            compared += beside
    return took, compared


async def _in_browser() -> tuple[dict[str, list[float]], list[float]]:
    program = next(filter(None, map(shutil.which, PROGRAMS)))
    async with async_playwright() as playwright:
        browser = await playwright.chromium.launch(executable_path=program, args=list(SWITCHES))
        try:
            return await _measure(browser)
        finally:
            await browser.close()


def find_figures() -> Iterator[Figure]:
    took, compared = asyncio.run(_in_browser())
    for kind, works in took.items():
        yield Figure(f"{kind}, median of {len(works)}", median(works), "ms")
    every = [work for works in took.values() for work in works]
    last = percentile(every, 0.99)
    yield Figure(f"a tap, median of {len(every)}", median(every), "ms")
    yield Figure("a tap, 99th percentile", last, "ms", "under 16", last < FRAME_MILLISECONDS)
    yield Figure("a digit on the plain page, median", median(compared), "ms")
    yield Figure("a digit on the plain page, 99th percentile", percentile(compared, 0.99), "ms")
