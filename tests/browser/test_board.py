"""The member's board in a real browser, a real club behind it: taps, two tabs, a lost line."""

from __future__ import annotations

import re
import sys
from collections.abc import AsyncIterator

import pytest
import pytest_asyncio
from playwright.async_api import Browser, Page, WebSocketRoute, expect

from tests.browser.boards import BoardClub, open_board_club
from tests.browser.player import Player
from tests.browser.visitor import Visitor
from tests.ports import claim_port

pytestmark = pytest.mark.browser

BEFORE = {"Where": "4 taps, 75 keys", "Which": "6 taps, 75 keys", "a digit": "2 taps, 12 keys"}
"""Counted by hand on the page as it was without a board: digits were typed into lines and forms."""


@pytest_asyncio.fixture(scope="module", loop_scope="session")
async def opened(browser: Browser) -> AsyncIterator[BoardClub]:
    async with open_board_club(browser, claim_port()) as club:
        yield club


@pytest_asyncio.fixture(loop_scope="session")
async def club(opened: BoardClub) -> AsyncIterator[BoardClub]:
    yield opened
    await opened.leave()


def open_cells(givens: str) -> list[int]:
    return [cell for cell in range(81) if givens[cell] not in "123456789"]


async def test_a_hint_is_one_tap_away_and_its_pattern_three(club: BoardClub) -> None:
    ada = await club.come("Ada")
    await ada.start()
    ada.taps = 0
    await ada.tap(ada.button(re.compile("^Hint")))
    await expect(ada.panel).to_contain_text("Where, rung 1 of 4.")
    where = ada.taps
    await ada.tap(ada.button(re.compile("^More: What .*30 s")))
    await expect(ada.panel).to_contain_text("What, rung 2 of 4.")
    await ada.tap(ada.button(re.compile("^More: Which .*1 min")))
    await expect(ada.panel).to_contain_text("Which, rung 3 of 4.")
    which = ada.taps
    ada.taps = 0
    cell = open_cells((await club.day()).puzzle.givens)[0]
    await ada.tap(ada.cell(cell))
    await ada.tap_digit(1)
    await ada.expect_digit(cell, 1)
    counts = {"Where": where, "Which": which, "a digit": ada.taps}
    for what, before in BEFORE.items():
        sys.stdout.write(f"to {what}: {counts[what]} taps, 0 keys; before: {before}\n")
    assert counts == {"Where": 1, "Which": 3, "a digit": 2}
    entry = await club.entry("Ada")
    assert [charge.rung for charge in entry.charges] == [1, 2, 3]


async def test_a_puzzle_is_entered_and_handed_in_by_taps_alone(club: BoardClub) -> None:
    bo, cleo = await club.come("Bo"), await club.come("Cleo", width=1280)
    await bo.start()
    puzzle = (await club.day()).puzzle
    assert puzzle.level == 2
    bo.taps = 0
    for digit in range(1, 10):
        cells = [cell for cell in open_cells(puzzle.givens) if puzzle.solution[cell] == str(digit)]
        if cells:
            await bo.tap_digit(digit)
            for cell in cells:
                await bo.tap(bo.cell(cell))
            await bo.tap_digit(digit)
    assert await bo.grid_text() == puzzle.solution
    await bo.tap(bo.button("Hand in"))
    await expect(bo.panel).to_contain_text("Right")
    count = len(open_cells(puzzle.givens))
    sys.stdout.write(f"a puzzle with {count} open cells: {bo.taps} taps, 0 keys\n")
    assert bo.taps <= count + 19
    await expect(cleo.page.get_by_role("log")).to_contain_text("Bo solved")
    await expect(bo.board).to_contain_text("You have solved this one")
    assert (await club.entry("Bo")).tries == 0


async def test_two_tabs_and_typed_commands_stay_in_step(club: BoardClub) -> None:
    dora = await club.come("Dora", width=1280)
    await dora.start()
    again = Player(await club.new_page(dora.context), club.url, "Dora")
    await again.enter()
    first, second, third = open_cells((await club.day()).puzzle.givens)[:3]
    await dora.tap(dora.cell(first))
    await dora.tap_digit(1)
    await again.expect_digit(first, 1)
    await again.tap(again.cell(second))
    await again.tap_digit(2)
    await dora.expect_digit(second, 2)
    visitor = Visitor(dora.page, club.url, "Dora")
    await visitor.ask(f"place r{third // 9 + 1}c{third % 9 + 1} 3")
    for tab in (dora, again):
        await tab.expect_digit(third, 3)
    await again.tap(again.button("Undo"))
    await dora.expect_digit(third, 0)
    await visitor.ask("undo")
    for tab in (dora, again):
        await tab.expect_digit(second, 0)
        await tab.expect_digit(first, 1)
    await dora.tap(dora.button("Redo"))
    for tab in (dora, again):
        await tab.expect_digit(second, 2)
    assert await dora.grid_text() == await again.grid_text()


async def cut(page: Page, *, lose: str) -> None:
    """Lose what is sent in one direction: the page's taps, or the room's answers to them."""

    def join(route: WebSocketRoute) -> None:
        server = route.connect_to_server()

        def to_server(frame: str | bytes) -> None:
            if not (lose == "taps" and '"touch"' in str(frame)):
                server.send(frame)

        def to_page(frame: str | bytes) -> None:
            if not (lose == "answers" and str(frame).startswith('{"type":"touched"')):
                route.send(frame)

        route.on_message(to_server)
        server.on_message(to_page)

    await page.route_web_socket(re.compile("/socket$"), join)


@pytest.mark.parametrize("lose", ["taps", "answers"])
@pytest.mark.parametrize("way", ["reload", "closed tab"])
async def test_taps_outlive_a_lost_line_and_count_once(
    club: BoardClub, lose: str, way: str
) -> None:
    name = f"Eve {lose} {way}"
    eve = await club.come(name)
    await eve.start()
    await cut(eve.page, lose=lose)
    await eve.page.reload()
    await eve.wait_until_ready()
    first, second = open_cells((await club.day()).puzzle.givens)[:2]
    for cell, digit in ((first, 1), (second, 2), (second, 3)):
        await eve.tap(eve.cell(cell))
        await eve.tap_digit(digit)
        await eve.expect_digit(cell, digit)
        await eve.tap(eve.cell(cell))
    await eve.tap(eve.button("Undo"))
    await eve.expect_digit(second, 2)
    fresh = Player(await club.new_page(eve.context), club.url, name)
    if way == "reload":
        await fresh.page.close()
        await eve.page.unroute_all()
        fresh = Player(await club.new_page(eve.context), club.url, name)
        await eve.page.close()
    else:
        await eve.page.close()
    await fresh.enter()
    await fresh.expect_sent()
    await fresh.expect_digit(first, 1)
    await fresh.expect_digit(second, 2)
    entry = await club.entry(name)
    assert (len(entry.history), len(entry.undone)) == (2, 1), "each tap once, in order"
