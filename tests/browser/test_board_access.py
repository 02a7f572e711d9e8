"""The board for the ear, for keys alone, for any width and theme: measured in a real browser."""

from __future__ import annotations

import gzip
import re
import sys
from pathlib import Path

import pytest
from axe_playwright_python.async_playwright import Axe
from playwright.async_api import Page, expect

from tests.browser.boards import BoardClub
from tests.browser.conftest import WEB_PAGE
from tests.browser.player import CELL_WORDS, Player

pytestmark = pytest.mark.browser

MOST_KILOBYTES, MOST_OF_TYPE = 40, 30
"""Of page and scripts, and of the text face, compressed."""

AT_ONCE = ("command-line", "hosting")
"""The guides with the widest table and the longest lines of code."""


def loaded_by(page: str) -> set[str]:
    """Return the names of the files that a page loads, itself among them."""
    found, names = set[str](), {page}
    while names - found:
        name = (names - found).pop()
        found.add(name)
        if not name.endswith((".svg", ".woff2")):
            text = (WEB_PAGE / name).read_text("utf-8")
            names |= set(re.findall(r"""["'](?:/page|\.)/([\w.-]+)["']""", text))
    return found


@pytest.mark.parametrize("page", sorted(file.name for file in WEB_PAGE.glob("*.html")))
def test_page_and_scripts_are_small(page: str) -> None:
    parts = {name: (WEB_PAGE / name).read_bytes() for name in loaded_by(page)}
    sizes = {
        name: len(content if name.endswith(".woff2") else gzip.compress(content, mtime=0))
        for name, content in parts.items()
    }
    text_face = sum(size for name, size in sizes.items() if name.endswith(".woff2"))
    whole = sum(sizes.values())
    sys.stdout.write(f"{page} and scripts: {whole - text_face} bytes compressed; text face: ")
    sys.stdout.write(f"{text_face}\n")
    assert {"look.js", "words.js", "paper.css", "text-slanted.woff2"} <= parts.keys()
    # Where a link is exchanged there is no board yet.
    assert ({"board.js", "position.js", "board.css"} <= parts.keys()) == (page != "in.html")
    assert whole - text_face < MOST_KILOBYTES * 1024
    assert text_face < MOST_OF_TYPE * 1024
    assert {file.suffix for file in WEB_PAGE.iterdir()} <= {
        ".html", ".js", ".css", ".svg", ".woff2",
    }  # fmt: skip


async def violations(page: Page) -> list[str]:
    """Return what axe finds wrong on the page as it is shown, with where."""
    found = await Axe().run(page)
    return [
        f"{each['id']}: {[node['target'] for node in each['nodes']]}"
        for each in found.response["violations"]
    ]


@pytest.mark.parametrize(
    ("width", "dark"), [(360, False), pytest.param(1280, True, marks=pytest.mark.long)]
)
async def test_axe_finds_nothing_wrong_from_the_first_screen_to_the_last_rung(
    boards: BoardClub, width: int, dark: bool
) -> None:
    ada = await boards.come(f"Ada {width}", width=width, height=800, dark=dark)
    assert await violations(ada.page) == []
    await ada.start()
    await ada.tap(ada.button(re.compile("^Hint")))
    for rung in ("What", "Which", "Why"):
        await ada.tap(ada.button(re.compile(f"^More: {rung}")))
        await expect(ada.panel).to_contain_text(f"{rung}, rung")
    assert await violations(ada.page) == []
    await ada.tap(ada.button("Put away"))
    await ada.tap(ada.button(re.compile("^Fill in")))
    await expect(ada.page.get_by_label("Small digits shown")).to_be_visible()
    assert await violations(ada.page) == []


@pytest.mark.parametrize(
    "name",
    [
        pytest.param(each.stem, marks=() if each.stem in AT_ONCE else pytest.mark.long)
        for each in sorted((WEB_PAGE.parent / "guides").glob("*.md"))
    ],
)
async def test_a_guide_is_read_on_a_phone_with_nothing_to_scroll_sideways(
    boards: BoardClub, name: str
) -> None:
    page = await boards.new_tab()
    await page.goto(f"{boards.url}guides/{name}")
    assert await violations(page) == []
    wider = await page.locator("*").evaluate_all(
        """all => all.filter((each) => each.checkVisibility() && each.scrollWidth > 360)
          .map((each) => each.tagName)"""
    )
    assert wider == []
    low = (
        await page.get_by_role("navigation")
        .get_by_role("link")
        .evaluate_all(
            "links => links.filter((each) => each.getBoundingClientRect().height < 44).length"
        )
    )
    assert low == 0


async def test_a_puzzle_is_played_by_keys_alone_from_what_the_tree_says(boards: BoardClub) -> None:
    bo = await boards.come("Bo", width=800)
    page = bo.page
    await page.keyboard.press("Tab")
    while await page.evaluate("document.activeElement.id") != "start":
        await page.keyboard.press("Tab")
    await page.keyboard.press("Enter")
    await expect(bo.button(re.compile("^Hint"))).to_be_visible()
    while await page.evaluate("document.activeElement.role") != "gridcell":
        await page.keyboard.press("Tab")
    solution = (await boards.day()).puzzle.solution
    tree = await bo.grid.aria_snapshot()
    names = re.findall(r'gridcell "([^"]+)"', tree)
    assert len(names) == 81
    assert len(re.findall(r'rowheader "row [1-9]"', tree)) == 9
    assert len(re.findall(r'columnheader "column [1-9]"', tree)) == 9
    for row in range(9):
        await bo.expect_sent()
        boards.forward(seconds=5)  # so many taps at once would be too fast
        for place in range(9):
            column = place if row % 2 == 0 else 8 - place
            found = CELL_WORDS.fullmatch(names[row * 9 + column])
            assert found is not None
            if found[5] is not None:
                await page.keyboard.press(solution[row * 9 + column])
            if place < 8:
                await page.keyboard.press("ArrowRight" if row % 2 == 0 else "ArrowLeft")
        await page.keyboard.press("ArrowDown")
    assert await bo.grid_text() == solution
    await expect(page.get_by_role("status").filter(has_text="written in row 9")).to_have_count(1)
    while await page.evaluate("document.activeElement.id") != "hand-in":
        await page.keyboard.press("Tab")
    await page.keyboard.press("Enter")
    await expect(bo.panel).to_contain_text("Right")


async def test_every_key_does_what_its_list_says(boards: BoardClub) -> None:
    cleo = await boards.come("Cleo", width=800)
    await cleo.start()
    givens = (await boards.day()).puzzle.givens
    cell = next(at for at in range(81) if givens[at] not in "123456789")
    await cleo.tap(cleo.cell(cell))
    keys = cleo.page.keyboard
    digit = next(
        each
        for each in range(1, 10)
        if all(givens[other] != str(each) for other in range(81) if sees(cell, other))
    )
    await keys.press(f"Shift+Digit{digit}")
    await expect(cleo.cell(cell)).to_have_accessible_name(re.compile(f"candidates {digit}$"))
    await keys.press(str(digit))
    await cleo.expect_digit(cell, digit)
    await keys.press("Backspace")
    await cleo.expect_digit(cell, 0)
    await keys.press("u")
    await cleo.expect_digit(cell, digit)
    await keys.press("Backspace")
    await cleo.expect_digit(cell, 0)
    await keys.press("?")
    await expect(cleo.panel).to_contain_text("Arrow keys move")
    await keys.press("h")
    await expect(cleo.panel).to_contain_text("rung 1 of 4")


def sees(cell: int, other: int) -> bool:
    here, there = divmod(cell, 9), divmod(other, 9)
    boxes = [(row // 3, column // 3) for row, column in (here, there)]
    return cell != other and (here[0] == there[0] or here[1] == there[1] or boxes[0] == boxes[1])


async def test_the_board_comes_first_on_a_phone_and_beside_the_talk_on_a_wide_screen(
    boards: BoardClub,
) -> None:
    zoe = await boards.come("Zoe")
    await zoe.start()
    await zoe.page.reload()
    await zoe.wait_until_ready()
    talk, grid = zoe.page.locator("#room"), zoe.grid
    await expect(talk).to_be_hidden()
    await expect(grid).to_be_in_viewport(ratio=1)
    views = zoe.page.get_by_role("navigation", name="Views")
    await views.get_by_role("button", name="Club").click()
    await expect(talk).to_be_visible()
    await expect(grid).to_be_hidden()
    await zoe.page.set_viewport_size({"width": 1280, "height": 800})
    await expect(views).to_be_hidden()
    await expect(grid).to_be_in_viewport(ratio=1)
    left, right = await grid.bounding_box(), await talk.bounding_box()
    assert left is not None
    assert right is not None
    assert left["x"] + left["width"] <= right["x"]


async def test_what_is_told_at_the_board_is_said_to_the_ear_and_every_tool_is_a_tap(
    boards: BoardClub,
) -> None:
    kay = await boards.come("Kay")
    await kay.start()
    puzzle = (await boards.day()).puzzle
    cell = puzzle.givens.index(".")
    digit = int(puzzle.solution[cell])
    await kay.tap(kay.cell(cell))
    await kay.tap(kay.button(re.compile("^Small digits")))
    await kay.tap_digit(digit)
    noted = re.compile(f"open, candidates {digit}$")
    await expect(kay.cell(cell)).to_have_accessible_name(noted)
    await kay.tap(kay.button(re.compile("^Small digits")))
    await kay.tap_digit(digit)
    await kay.expect_digit(cell, digit)
    spoken = kay.page.locator("#spoken")
    await expect(spoken).to_have_text(re.compile(f"^{digit} written in row "))
    await kay.tap(kay.button(re.compile(r"^Check \(\+30 s\)$")))
    await expect(kay.panel).to_contain_text("Right so far")
    await expect(kay.panel).to_be_in_viewport(ratio=0.99)
    told = await kay.panel.get_by_role("group", name="In words").inner_text()
    await expect(spoken).to_have_text(told)
    await kay.tap(kay.button("Put away"))
    await kay.tap(kay.button("Rub out"))
    await kay.expect_digit(cell, 0)
    await expect(spoken).to_have_text(re.compile("rubbed out$"))


@pytest.mark.parametrize(
    ("width", "height"),
    [
        (360, 640),
        (1280, 800),
        *(pytest.param(*size, marks=pytest.mark.long) for size in ((360, 740), (768, 1024))),
    ],
)
async def test_what_is_told_is_within_sight_and_nothing_hangs_over_the_edge(
    boards: BoardClub, width: int, height: int
) -> None:
    dora = await boards.come(f"Dora {width} {height}", width=width, height=height)
    await dora.start()
    await dora.button(re.compile("^Hint")).press("Enter")
    await expect(dora.panel).to_contain_text("Where, rung 1 of 4.")
    await expect(dora.panel).to_be_in_viewport(ratio=0.99)
    assert not await dora.page.evaluate(SCROLLS_SIDEWAYS)
    await expect(dora.page.get_by_role("timer")).to_be_in_viewport(ratio=0.99)
    if height >= 740:
        await expect(dora.cell(80)).to_be_in_viewport(ratio=0.99)


SCROLLS_SIDEWAYS = "document.scrollingElement.scrollWidth > document.scrollingElement.clientWidth"

LEAST_TARGET = 44

FOCUSED_OUT_OF_SIGHT = """controls => controls
  .filter((each) => each.checkVisibility())
  .filter((each) => {
    each.focus();
    const box = each.getBoundingClientRect();
    const seen = document.elementFromPoint(box.x + box.width / 2, box.y + box.height / 2);
    return document.activeElement !== each || !each.contains(seen);
  })
  .map((each) => each.ariaLabel || each.textContent)"""
"""Of what is in use, what the focus does not reach, or what something else then covers."""

WORDS_IN_TEN_SECONDS = 40
"""Adults read about 240 words a minute in silence (from memory: a review by Brysbaert, 2019)."""


@pytest.mark.parametrize(
    "width", [360, *(pytest.param(each, marks=pytest.mark.long) for each in (408, 768, 1280))]
)
async def test_a_finger_has_44_pixels_but_for_a_cell_on_a_narrow_phone(
    boards: BoardClub, width: int
) -> None:
    pia = await boards.come(f"Pia {width}", width=width)
    controls = pia.page.locator("header, nav, #board").locator("a, button, select")
    small = """(controls, least) => controls
      .map((each) => [each.textContent, each.getBoundingClientRect()])
      .filter(([, box]) => box.width && (box.height < least || box.width < least))
      .map(([text, box]) => [text, box.width, box.height])"""
    assert await controls.evaluate_all(small, LEAST_TARGET) == []
    await pia.start()
    await pia.tap(pia.button(re.compile("^Fill in")))
    await expect(pia.page.get_by_label("Small digits shown")).to_be_visible()
    await pia.tap(pia.button(re.compile("^Hint")))
    await expect(pia.panel).to_contain_text("Where, rung 1 of 4.")
    assert await controls.evaluate_all(small, LEAST_TARGET) == []
    box = await pia.cell(0).bounding_box()
    assert box is not None
    narrow = min(box["width"], box["height"])
    sys.stdout.write(f"{width} pixels wide, a cell is {narrow:.1f}\n")
    assert narrow >= min(LEAST_TARGET, (width - 12) / 9)
    assert (narrow < LEAST_TARGET) == (width < 408)


async def test_at_400_percent_zoom_nothing_scrolls_sideways_and_all_can_be_reached(
    boards: BoardClub,
) -> None:
    lou = await boards.come("Lou", width=1280 // 4, height=1024 // 4)
    await lou.start()
    await lou.button(re.compile("^Hint")).press("Enter")
    await expect(lou.panel).to_contain_text("Where, rung 1 of 4.")
    await expect(lou.panel).to_be_in_viewport(ratio=0.1)
    controls = lou.board.locator("button:enabled, select, [role=gridcell]")
    assert await controls.evaluate_all(FOCUSED_OUT_OF_SIGHT) == []
    assert not await lou.page.evaluate(SCROLLS_SIDEWAYS)


async def test_the_first_screen_says_what_this_is_what_to_do_first_and_when_the_day_closes(
    boards: BoardClub,
) -> None:
    mia = await boards.new_tab()
    await mia.goto(boards.url)
    await expect(mia.get_by_text("This is a sudoku club: one puzzle a day")).to_be_in_viewport()
    visitor = Player(mia, boards.url, "Mia")
    await visitor.enter()
    for seen in (
        mia.get_by_role("heading", name="Hazel Lane Sudoku Club"),
        visitor.board.get_by_text("Monday 23 November: level 2."),
        visitor.board.get_by_text("Open until Tuesday 24 November, 09:00 (UTC)."),
        visitor.board.get_by_text("Start your clock when you begin. Then tap a cell and a digit"),
        visitor.button("Start my clock"),
        visitor.cell(80),
    ):
        await expect(seen).to_be_in_viewport(ratio=1)
    for_the_ear, button = "My board.", "Start my clock"
    words = (await visitor.board.inner_text()).split(for_the_ear)[1]
    ahead = words[: words.index(button)].split()
    sys.stdout.write(f"read before the first button: {len(ahead)} words\n")
    assert len(ahead) <= WORDS_IN_TEN_SECONDS


async def test_nothing_moves_by_itself_and_forced_colours_keep_the_shapes(
    boards: BoardClub,
) -> None:
    eve = await boards.come("Eve", forced_colors="active", reduced_motion="reduce")
    await eve.start()
    await eve.tap(eve.button(re.compile("^Hint")))
    for rung in ("What", "Which"):
        await eve.tap(eve.button(re.compile(f"^More: {rung}")))
        await expect(eve.panel).to_contain_text(f"{rung}, rung")
    drawn = await eve.page.locator(".shapes .outline, .small.plates").evaluate_all(
        """shapes => shapes.map((each) => {
          const style = getComputedStyle(each);
          return each.matches(".outline") ? style.stroke : style.backgroundColor;
        })"""
    )
    assert drawn
    assert not {"none", "rgba(0, 0, 0, 0)"} & set(drawn)
    moving = await eve.page.evaluate("document.getAnimations().length")
    assert moving == 0


@pytest.mark.parametrize("file", sorted(WEB_PAGE.glob("*.css")), ids=lambda file: file.name)
def test_no_style_moves_anything(file: Path) -> None:
    assert not re.search(r"\b(animation|transition)\b", file.read_text("utf-8"))
