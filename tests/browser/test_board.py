"""The member's board in a real browser, a real club behind it: taps, two tabs, a lost line."""

from __future__ import annotations

import json
import re
import sys

import pytest
from playwright.async_api import Page, WebSocketRoute, expect

from bot.club.state import Puzzle
from tests.browser.boards import BoardClub
from tests.browser.player import Player
from tests.browser.visitor import Visitor

pytestmark = pytest.mark.browser

BEFORE = {"Where": "4 taps, 75 keys", "Which": "6 taps, 75 keys", "a digit": "2 taps, 12 keys"}
"""Counted by hand on the page as it was without a board: digits were typed into lines and forms."""


def open_cells(givens: str) -> list[int]:
    return [cell for cell in range(81) if givens[cell] not in "123456789"]


async def test_a_hint_is_one_tap_away_and_its_pattern_three(boards: BoardClub) -> None:
    ada = await boards.come("Ada")
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
    cell = open_cells((await boards.day()).puzzle.givens)[0]
    await ada.tap(ada.cell(cell))
    await ada.tap_digit(1)
    await ada.expect_digit(cell, 1)
    counts = {"Where": where, "Which": which, "a digit": ada.taps}
    for what, before in BEFORE.items():
        sys.stdout.write(f"to {what}: {counts[what]} taps, 0 keys; ")
        sys.stdout.write(f"before, counted by hand: {before}\n")
    assert counts == {"Where": 1, "Which": 3, "a digit": 2}
    entry = await boards.entry("Ada")
    assert [charge.rung for charge in entry.charges] == [1, 2, 3]


async def test_a_right_click_or_a_long_press_notes_the_digit_in_hand_small(
    boards: BoardClub,
) -> None:
    cyd = await boards.come("Cyd")
    await cyd.start()
    givens = (await boards.day()).puzzle.givens
    digit, first, second = next(
        (digit, *cells[:2])
        for digit in range(1, 10)
        if len(cells := [at for at in open_cells(givens) if is_possible(givens, at, digit)]) > 1
    )
    await cyd.tap_digit(digit)
    await cyd.cell(first).click(button="right")
    noted = re.compile(f"open, candidates {digit}$")
    await expect(cyd.cell(first)).to_have_accessible_name(noted)
    await cyd.hold(cyd.cell(second), until=lambda cell: expect(cell).to_have_accessible_name(noted))
    await expect(cyd.cell(second)).to_have_accessible_name(noted)
    await cyd.cell(first).click(button="right")
    await expect(cyd.cell(first)).to_have_accessible_name(re.compile("no candidates noted$"))
    await cyd.tap_digit(digit)
    await cyd.cell(first).click(button="right")
    await expect(cyd.button(re.compile("^Small digits"))).to_have_attribute("aria-pressed", "true")
    await cyd.tap_digit(digit)
    await expect(cyd.cell(first)).to_have_accessible_name(noted)
    await cyd.expect_sent()
    small = (await boards.entry("Cyd")).board.small
    names = [f"r{cell // 9 + 1}c{cell % 9 + 1}" for cell in (first, second)]
    assert set(small) == {(name, digit) for name in names}


def is_possible(givens: str, cell: int, digit: int) -> bool:
    return not any(
        givens[other] == str(digit) for house in houses() if cell in house for other in house
    )


async def test_a_puzzle_is_entered_and_handed_in_by_taps_alone(boards: BoardClub) -> None:
    bo = await boards.come("Bo")
    await bo.start()
    puzzle = (await boards.day()).puzzle
    assert puzzle.level == 2
    bo.taps = 0
    for digit in range(1, 10):
        cells = [cell for cell in open_cells(puzzle.givens) if puzzle.solution[cell] == str(digit)]
        await bo.expect_sent()
        boards.forward(seconds=5)  # so many taps at once would be too fast
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
    await expect(bo.page.locator("#entries")).to_contain_text("Bo has solved the puzzle")
    await expect(bo.board).to_contain_text("You have solved this one")
    assert (await boards.entry("Bo")).tries == 0


@pytest.mark.long
async def test_two_tabs_and_typed_commands_stay_in_step(boards: BoardClub) -> None:
    dora = await boards.come("Dora", width=1280)
    await dora.start()
    again = Player(await dora.context.new_page(), boards.url, "Dora")
    await again.enter()
    first, second, third = open_cells((await boards.day()).puzzle.givens)[:3]
    await dora.tap(dora.cell(first))
    await dora.tap_digit(1)
    await again.expect_digit(first, 1)
    await again.tap(again.cell(second))
    await again.tap_digit(2)
    await dora.expect_digit(second, 2)
    visitor = Visitor(dora.page, boards.url, "Dora")
    await visitor.ask(f"place r{third // 9 + 1}c{third % 9 + 1} 3")
    for tab in (dora, again):
        await tab.expect_digit(third, 3)
    await again.tap(again.button("Undo"))
    await dora.expect_digit(third, 0)
    assert (await dora.press_and_look("undo", first)).endswith(", 1, yours")
    for tab in (dora, again):
        await tab.expect_digit(second, 0)
        await tab.expect_digit(first, 1)
    await dora.tap(dora.button("Redo"))
    for tab in (dora, again):
        await tab.expect_digit(second, 2)
    assert await dora.grid_text() == await again.grid_text()


async def test_undo_and_redo_after_a_reload_show_what_the_page_knows(boards: BoardClub) -> None:
    ann = await boards.come("Ann")
    await ann.start()
    (cell, *_) = open_cells((await boards.day()).puzzle.givens)
    await ann.tap(ann.cell(cell))
    await ann.tap_digit(1)
    await ann.expect_sent()
    await ann.page.reload()
    await ann.wait_until_ready()
    assert (await ann.press_and_look("undo", cell)).endswith(", 1, yours")
    await ann.expect_digit(cell, 0)
    await ann.expect_sent()
    assert (await ann.press_and_look("redo", cell)).endswith(", 1, yours")
    await ann.expect_sent()
    assert "open" in await ann.press_and_look("undo", cell)


WRITE_AND_LEAVE = """([cell, digit]) => {
  window.requestAnimationFrame = () => 0; // left before anything more is drawn
  const watch = new MutationObserver(() => {});
  watch.observe(document.body,
    { subtree: true, childList: true, characterData: true, attributes: true });
  document.querySelector(`[data-cell="${cell}"]`).click();
  document.querySelector(`[data-digit="${digit}"]`).click();
  const touched = watch.takeRecords().map(({ target }) => target.dataset.cell ?? target.id);
  location.reload();
  return [...new Set(touched)];
}"""


async def test_a_tap_touches_its_cell_first_and_outlives_a_tab_left_before_all_else(
    boards: BoardClub,
) -> None:
    uma = await boards.come("Uma")
    await uma.start()
    await uma.tap(uma.button(re.compile("^Fill")))
    await expect(uma.page.get_by_label("Small digits shown")).to_be_visible()
    await uma.expect_sent()
    puzzle = (await boards.day()).puzzle
    cell = open_cells(puzzle.givens)[-1]
    async with uma.page.expect_navigation():
        touched = await uma.page.evaluate(WRITE_AND_LEAVE, [cell, int(puzzle.solution[cell])])
    reached_before = "0"
    assert set(touched) == {str(cell), reached_before}, "the digits that it bars come after it"
    await uma.wait_until_ready()
    await uma.expect_sent()
    await uma.expect_digit(cell, int(puzzle.solution[cell]))
    assert len((await boards.entry("Uma")).history) == 1


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


@pytest.mark.parametrize(
    ("lose", "way"),
    [
        ("taps", "closed tab"),
        pytest.param("answers", "reload", marks=pytest.mark.long),
        pytest.param("taps", "reload", marks=pytest.mark.long),
        pytest.param("answers", "closed tab", marks=pytest.mark.long),
    ],
)
async def test_taps_outlive_a_lost_line_and_count_once(
    boards: BoardClub, lose: str, way: str
) -> None:
    name = f"Eve {lose} {way}"
    eve = await boards.come(name, is_own=True)
    await eve.start()
    await cut(eve.page, lose=lose)
    await eve.page.reload()
    await eve.wait_until_ready()
    first, second = open_cells((await boards.day()).puzzle.givens)[:2]
    for cell, digit in ((first, 1), (second, 2), (second, 3)):
        await eve.tap(eve.cell(cell))
        await eve.tap_digit(digit)
        await eve.expect_digit(cell, digit)
        await eve.tap(eve.cell(cell))
    await eve.tap(eve.button("Undo"))
    await eve.expect_digit(second, 2)
    fresh = Player(await eve.context.new_page(), boards.url, name)
    if way == "reload":
        await fresh.page.close()
        await eve.page.unroute_all()
        fresh = Player(await eve.context.new_page(), boards.url, name)
        await eve.page.close()
    else:
        await eve.page.close()
    await fresh.enter()
    await fresh.expect_sent()
    await fresh.expect_digit(first, 1)
    await fresh.expect_digit(second, 2)
    entry = await boards.entry(name)
    assert (len(entry.history), len(entry.undone)) == (2, 1), "each tap once, in order"


async def test_a_tap_that_waits_to_be_sent_again_is_never_sent_as_somebody_else(
    boards: BoardClub,
) -> None:
    page = await boards.new_tab(is_own=True)
    heard: list[str] = []

    def refuse_digits(route: WebSocketRoute) -> None:
        server = route.connect_to_server()

        def to_server(frame: str | bytes) -> None:
            touch = json.loads(frame)
            heard.append(touch.get("text", touch.get("name")))
            if touch.get("text", "").startswith("place"):
                refused = {"type": "refused", "id": touch["id"], "problem": "too-fast", "limit": 0}
                route.send(json.dumps(refused))
            else:
                server.send(frame)

        route.on_message(to_server)

    await page.route_web_socket(re.compile("/socket$"), refuse_digits)
    jon = Player(page, boards.url, "Jon")
    await jon.enter()
    await jon.start()
    await page.clock.install()
    await jon.tap(jon.cell(open_cells((await boards.day()).puzzle.givens)[0]))
    await jon.tap_digit(1)
    await page.get_by_role("button", name="Club").click()
    await page.get_by_role("button", name="Change name").click()
    await page.get_by_label("Your name").fill("Kit")
    await page.get_by_role("button", name="Enter the room").click()
    await jon.wait_until_ready()
    await page.clock.fast_forward(5000)
    await jon.start()
    assert any(text.startswith("place") for text in heard[: heard.index("Kit")])
    assert [text.split()[0] for text in heard[heard.index("Kit") :]] == ["Kit", "start"]


async def test_a_wrong_digit_is_marked_only_once_it_was_told(boards: BoardClub) -> None:
    fay = await boards.come("Fay")
    await fay.start()
    puzzle = (await boards.day()).puzzle
    right, wrong = open_cells(puzzle.givens)[:2]
    for cell, digit in ((right, int(puzzle.solution[right])), (wrong, other_than(puzzle, wrong))):
        await fay.tap(fay.cell(cell))
        await fay.tap_digit(digit)
        await fay.expect_digit(cell, digit)
        await fay.tap(fay.cell(cell))
    await fay.expect_sent()
    classes = [await fay.cell(cell).get_attribute("class") for cell in (right, wrong)]
    assert classes[0] == classes[1] == "cell own"
    await fay.tap(fay.button(re.compile("^Hint")))
    for asked in ("Roughly where", "Which cell"):
        await expect(fay.panel).to_contain_text("one of the digits you wrote")
        assert "mistake" not in (await fay.cell(wrong).get_attribute("class") or "")
        await fay.tap(fay.button(re.compile(f"^{asked}")))
    await expect(fay.cell(wrong)).to_have_accessible_name(re.compile("told to be a mistake$"))
    await expect(fay.cell(right)).not_to_have_accessible_name(re.compile("mistake"))


def other_than(puzzle: Puzzle, cell: int) -> int:
    return int(puzzle.solution[cell]) % 9 + 1


def houses() -> list[set[int]]:
    rows = [{9 * row + column for column in range(9)} for row in range(9)]
    columns = [{9 * row + column for row in range(9)} for column in range(9)]
    boxes = [
        {9 * (3 * high + row) + 3 * wide + column for row in range(3) for column in range(3)}
        for high in range(3)
        for wide in range(3)
    ]
    return [*rows, *columns, *boxes]


async def test_two_place_marks_are_the_digits_with_two_places_in_a_box(boards: BoardClub) -> None:
    gil = await boards.come("Gil")
    await gil.start()
    await gil.tap(gil.button(re.compile("^Fill in")))
    showing = gil.page.get_by_label("Small digits shown")
    await expect(showing).to_be_visible()
    givens = (await boards.day()).puzzle.givens
    left = {
        cell: {
            digit
            for digit in "123456789"
            if not any(
                cell in house and digit in {givens[each] for each in house} for house in houses()
            )
        }
        for cell in open_cells(givens)
    }
    two = {
        cell: {
            digit
            for digit in digits
            for box in houses()[18:]
            if cell in box and sum(digit in left.get(each, ()) for each in box) == 2
        }
        for cell, digits in left.items()
    }
    for way, expected in (("all", left), ("two", two)):
        await showing.select_option(way)
        names = await gil.spoken()
        shown = {
            cell: set(re.findall("[1-9]", names[cell].split("open, ")[1])) for cell in expected
        }
        assert shown == expected
    assert any(two.values())
    assert two != left


async def test_a_form_at_the_board_is_typed_over_and_survives_a_reload(boards: BoardClub) -> None:
    hal = await boards.come("Hal")
    await hal.start()
    boards.forward(minutes=3)
    await hal.tap(hal.button(re.compile("^Hint")))
    await expect(hal.panel).to_contain_text("do you have more on paper?")
    await hal.tap(hal.button("I have more on paper"))
    field = hal.panel.get_by_role("textbox")
    lines = (await field.input_value()).split("\n")
    await field.press("Control+Home")
    await hal.page.keyboard.type("123456789" + lines[1])
    await expect(field).to_have_value("\n".join(["123456789", *lines[1:]]))
    assert await field.get_attribute("inputmode") == "decimal"
    await hal.page.reload()
    await hal.wait_until_ready()
    await expect(field).to_have_value("\n".join(["123456789", *lines[1:]]))


async def test_the_clock_shown_is_the_clubs_however_far_off_the_browsers_is(
    boards: BoardClub,
) -> None:
    ida = await boards.come("Ida", is_own=True)
    await ida.start()
    boards.forward(minutes=10, seconds=7)
    await ida.page.add_init_script("const now = Date.now; Date.now = () => now() + 5e9;")
    await ida.page.reload()
    await ida.wait_until_ready()
    await expect(ida.page.get_by_role("timer")).to_have_text(re.compile(r"^10:(0[7-9]|[1-5]\d)"))
