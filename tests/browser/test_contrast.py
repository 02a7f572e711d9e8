"""Contrast of the page as WCAG 2.2 asks, measured on what the browser really shows.

Every visible text against what lies behind it (1.4.3: 4.5:1), every edge of a control and every
focus outline against its surroundings (1.4.11: 3:1), in both themes. Nothing is listed by hand, so
a new pair cannot be forgotten.
"""

from __future__ import annotations

import re

import pytest

from bot.platforms.message import Message
from bot.platforms.web.room import WebRoom
from tests.browser.conftest import ROOM, WEB_PAGE, Come
from tests.browser.stub_club import DAY
from tests.browser.visitor import Visitor

pytestmark = pytest.mark.browser

Shown = tuple[str, str, str]

BEHIND = """
const behind = (element) => {
  for (let at = element; at; at = at.parentElement) {
    const colour = getComputedStyle(at).backgroundColor;
    if (!/, 0\\)$|transparent/.test(colour)) return colour;
  }
  return "rgb(255, 255, 255)";
};
const isShown = (element) => element.checkVisibility({ visibilityProperty: true });
"""

TEXTS = f"""() => {{ {BEHIND}
  const found = [];
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {{
    const element = walker.currentNode.parentElement;
    const text = walker.currentNode.data.trim();
    if (!text || !isShown(element)) continue;
    found.push([text, getComputedStyle(element).color, behind(element)]);
  }}
  for (const field of document.querySelectorAll("input, textarea, select")) {{
    if (!isShown(field)) continue;
    found.push([field.id, getComputedStyle(field).color, behind(field)]);
    found.push([field.id, getComputedStyle(field, "::placeholder").color, behind(field)]);
  }}
  return found;
}}"""

EDGES = f"""() => {{ {BEHIND}
  const found = [];
  for (const control of document.querySelectorAll("button:not(.quiet), input, textarea, select")) {{
    if (!isShown(control)) continue;
    const around = behind(control.parentElement);
    const style = getComputedStyle(control), name = control.id || control.textContent;
    found.push([name, style.borderTopColor, around]);
    control.focus();
    found.push([`focus of ${{name}}`, style.outlineColor, around]);
  }}
  return found;
}}"""


def luminance(colour: tuple[int, int, int]) -> float:
    linear = [
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4
        for part in (channel / 255 for channel in colour)
    ]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def ratio(one: tuple[int, int, int], other: tuple[int, int, int]) -> float:
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def parse_colour(text: str) -> tuple[int, int, int]:
    found = re.fullmatch(r"rgb\((\d+), (\d+), (\d+)\)", text)
    assert found, f"an opaque colour was expected, not {text}"
    return int(found[1]), int(found[2]), int(found[3])


@pytest.mark.parametrize(
    ("grey", "expected"), [(0x76, 4.542), (0x77, 4.478), (0x94, 3.033)], ids=["76", "77", "94"]
)
def test_the_formula_gives_the_known_ratios_of_greys_on_white(grey: int, expected: float) -> None:
    """Known ratios: WCAG 2.2's formula on #767676, #777777, #949494."""
    assert ratio((grey, grey, grey), (255, 255, 255)) == pytest.approx(expected, abs=0.0005)


async def measure(visitor: Visitor, script: str) -> list[Shown]:
    return [(what, front, back) for what, front, back in await visitor.page.evaluate(script)]


def too_faint(shown: list[Shown], least: float) -> list[str]:
    return [
        f"{what}: {front} on {back}"
        for what, front, back in shown
        if ratio(parse_colour(front), parse_colour(back)) < least
    ]


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
async def test_every_text_and_edge_stands_out(come: Come, room: WebRoom, dark: bool) -> None:
    post = await room.post(ROOM, DAY, key="day")
    await room.post_thread(ROOM, post, "How it goes", (Message("First.", code="53"),), key="walk")
    ada = await come("Ada", dark=dark)
    await ada.say("good morning")
    await ada.ask("hint")
    await ada.press("I have more")
    await ada.page.evaluate(
        "document.querySelectorAll('details').forEach((each) => each.open = true)"
    )
    await ada.page.evaluate("document.getElementById('problem').textContent = 'a problem'")
    await ada.page.evaluate("document.getElementById('state').textContent = 'a state'")
    texts, edges = await measure(ada, TEXTS), await measure(ada, EDGES)
    assert len(texts) >= 40
    assert len(edges) >= 20
    assert too_faint(texts, 4.5) == []
    assert too_faint(edges, 3.0) == []
    assert {front for _, front, _ in texts} <= named_colours(), "a colour of the browser's own"
    papers = {back for _, _, back in texts}
    assert all((luminance(parse_colour(paper)) < 0.5) is dark for paper in papers - bark(dark))


def named_colours() -> set[str]:
    """The colours that the style names, as a browser tells them."""
    style = "".join(file.read_text("utf-8") for file in WEB_PAGE.glob("*.css"))
    found = [bytes.fromhex(digits) for digits in re.findall("#([0-9a-f]{6})", style)]
    return {f"rgb({red}, {green}, {blue})" for red, green, blue in found}


def bark(dark: bool) -> set[str]:
    """The one ground that is dark on light paper and light on dark: the main buttons'."""
    return {"rgb(231, 179, 152)"} if dark else {"rgb(109, 58, 43)"}


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
async def test_the_door_stands_out_too(come: Come, dark: bool) -> None:
    ada = await come("Ada", dark=dark)
    await ada.page.get_by_role("button", name="Change name").press("Enter")
    texts, edges = await measure(ada, TEXTS), await measure(ada, EDGES)
    assert len(texts) >= 8
    assert too_faint(texts, 4.5) == []
    assert too_faint(edges, 3.0) == []


async def test_the_switch_wears_the_same_colours_as_the_device(come: Come) -> None:
    by_device, by_switch = await come("Ada", dark=True), await come("Bo", dark=False)
    await by_switch.page.get_by_label("Paper").select_option("dark")
    assert {pair[1:] for pair in await measure(by_device, TEXTS)} == {
        pair[1:] for pair in await measure(by_switch, TEXTS)
    }
