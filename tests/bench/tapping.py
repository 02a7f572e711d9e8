"""A tap on the board in a real browser, its CPU slowed four times: the work until it is drawn.

What is measured is the processor time of the page's main thread from the browser's tap, as soon as
the finger has lifted, to the end of its work for the frame that shows it. The room hears nothing of
the taps, so that no answer adds to it, and the pages take turns: one that is slowed keeps a third
of a processor busy by itself. A page that does nothing but write a digit shows what the browser
takes.

The browser slows a page by holding its thread up for what went by meanwhile, and overshoots; by how
much in the middle is printed. So the same taps are measured without it, and multiplied, as well.
"""

from __future__ import annotations

import asyncio
import json
import random
import re
import shutil
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import islice
from typing import Any

from playwright.async_api import Browser, Page, async_playwright, expect

from tests.bench import Figure, median, percentile
from tests.browser.boards import BoardClub, open_board_club
from tests.browser.conftest import PROGRAMS, SWITCHES
from tests.browser.player import Player
from tests.browser.tabs import Tabs
from tests.browser.test_board import cut, open_cells

ROUNDS, TAPS = 6, 36
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

WORK = """async () => {
  const took = [];
  for (let time = 0; time < 50; time += 1) {
    await new Promise((done) => setTimeout(done, 5));
    const begun = performance.now();
    for (let count = 0, sum = 0; count < 2e6; count += 1) sum = (sum * 31 + count) | 0;
    took.push(performance.now() - begun);
  }
  return took;
}"""

FORGET = "addEventListener('pagehide', () => localStorage.clear())"

WATCH = """() => {
  window.drawn = new Promise((done) => addEventListener("click", () =>
    requestAnimationFrame(() => setTimeout(() => setTimeout(done))), { once: true }));
}"""


async def _slow(page: Page, rate: int) -> None:
    session = await page.context.new_cdp_session(page)
    await session.send("Emulation.setCPUThrottlingRate", {"rate": rate})


async def _tap(page: Page, target: str) -> None:
    box = await page.locator(target).bounding_box()
    assert box is not None
    await page.evaluate(WATCH)
    await page.touchscreen.tap(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    await page.evaluate("drawn")


def _works(trace: Sequence[dict[str, Any]]) -> list[float]:
    """Return the milliseconds of each tap, in their order."""
    begun = dict[tuple[int, int], int]()
    works = list[float]()
    for event in sorted(trace, key=lambda each: int(each["ts"])):
        thread = event["pid"], event["tid"]
        if event["name"] == "EventDispatch" and event["args"]["data"]["type"] == "gesturetap":
            begun[thread] = event["tts"]
        elif event["name"] == "Layerize" and thread in begun:  # the last of its work for a frame
            works.append((event["tts"] + event.get("tdur", 0) - begun.pop(thread)) / 1000)
    return works


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


async def _round(page: Page, targets: Sequence[str], rate: int) -> list[float]:
    """Return the work of each tap on a page, slowed as many times."""
    await _slow(page, rate)
    browser = page.context.browser
    assert browser is not None
    await browser.start_tracing(categories=["devtools.timeline"])
    for target in targets:
        await _tap(page, target)
    works = _works(json.loads(await browser.stop_tracing())["traceEvents"])
    await _slow(page, 1)
    return works


async def _anew(player: Player) -> None:
    """Show the board as the club has it, without the taps that it never heard of."""
    await player.page.evaluate(FORGET)
    await player.page.reload()
    await player.wait_until_ready()


@dataclass(slots=True)
class Took:
    """Milliseconds of the taps: of each kind slowed and not, and on the plain page."""

    slowed: defaultdict[str, list[float]] = field(default_factory=lambda: defaultdict(list))
    unslowed: list[float] = field(default_factory=list)
    plain: list[float] = field(default_factory=list)
    times_slower: list[float] = field(default_factory=list)


async def _find_how_much_slower(page: Page) -> list[float]:
    """Return how many times longer a piece of work takes each time on the page once slowed."""
    await page.evaluate(WORK)
    once = median(await page.evaluate(WORK))
    await _slow(page, SLOWER)
    found = [took / once for took in await page.evaluate(WORK)]
    await _slow(page, 1)
    return found


async def _measure(browser: Browser) -> Took:
    took, tabs, rng = Took(), Tabs(browser, rest="about:blank"), random.Random(1)
    async with open_board_club(tabs, 0) as club:
        plain = await tabs.lend(width=360, height=740, has_touch=True, is_own=True)
        await plain.set_content(PLAIN)
        boards = [
            await _open_board(club, name, is_filled=is_filled)
            for name, is_filled in (("Ada", False), ("Bea", True))
        ]
        cells = open_cells((await club.day()).puzzle.givens)
        for player in boards * ROUNDS:
            taps = list(islice(_targets(cells, rng), TAPS))
            targets = [target for _, target in taps]
            await _anew(player)
            took.unslowed += await _round(player.page, targets, 1)
            await _anew(player)
            slowed = await _round(player.page, targets, SLOWER)
            for (kind, _), work in zip(taps, slowed, strict=True):
                took.slowed[kind].append(work)
            took.plain += await _round(plain, ["body"] * TAPS, SLOWER)
            took.times_slower += await _find_how_much_slower(plain)
    return took


async def _in_browser() -> Took:
    program = next(filter(None, map(shutil.which, PROGRAMS)))
    async with async_playwright() as playwright:
        browser = await playwright.chromium.launch(executable_path=program, args=list(SWITCHES))
        try:
            return await _measure(browser)
        finally:
            await browser.close()


def find_figures() -> Iterator[Figure]:
    took = asyncio.run(_in_browser())
    for kind, works in took.slowed.items():
        yield Figure(f"{kind}, median of {len(works)}", median(works), "ms")
    every = [work for works in took.slowed.values() for work in works]
    for name, works in (
        ("a tap", every),
        (f"a tap not slowed, times {SLOWER}", [SLOWER * work for work in took.unslowed]),
    ):
        last = percentile(works, 0.99)
        yield Figure(f"{name}, median of {len(works)}", median(works), "ms")
        yield Figure(f"{name}, 99th percentile", last, "ms", "under 16", last < FRAME_MILLISECONDS)
    yield Figure("a digit on the plain page, median", median(took.plain), "ms")
    yield Figure("a digit on the plain page, 99th percentile", percentile(took.plain, 0.99), "ms")
    slower = median(took.times_slower)
    yield Figure(f"{SLOWER} times slower is in the median", slower, "times")
