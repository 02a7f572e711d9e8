"""A find is pointed out on the picture of a question: cells and digits become a line to send."""

from __future__ import annotations

import pytest
from playwright.async_api import expect

from bot.drawing.geometry import SIDE, board_of
from engine import CLASSIC
from tests.browser.conftest import Come
from tests.browser.stub_club import StubClub

pytestmark = pytest.mark.browser


async def test_cells_and_digits_are_touched_and_sent_as_a_find(come: Come, club: StubClub) -> None:
    ada = await come("Ada", width=360)
    wanted = await ada.ask("see question")
    image = await wanted.locator("img").bounding_box()
    assert image is not None
    for name in ("r1c1", "r9c9"):
        box = await wanted.get_by_role("button", name=name, exact=True).bounding_box()
        assert box is not None
        drawn_at = board_of(CLASSIC).cell_rect(CLASSIC.parse_cell(name)).middle
        scale = SIDE / image["width"]
        x = (box["x"] + box["width"] / 2 - image["x"]) * scale
        y = (box["y"] + box["height"] / 2 - image["y"]) * scale
        assert (x, y) == pytest.approx(drawn_at, abs=2)
    first = wanted.get_by_role("button", name="r1c1", exact=True)
    for is_chosen in ("true", "false"):
        await first.click()
        await expect(first).to_have_attribute("aria-pressed", is_chosen)
    line = wanted.get_by_label("What you see")
    for said, names, then in (
        ("124 in r2c6 r7c6", ("r2c6", "r7c6", "4", "1", "2"), "I see these"),
        ("r3c6-1 r5c6-1", ("r3c6", "r4c6", "r4c6", "r5c6", "1"), "These go"),
        ("r4c5=7", ("r4c5", "7"), "It is there"),
    ):
        for name in (*names, then):
            await wanted.get_by_role("button", name=name, exact=True).dispatch_event("click")
        assert (await line.input_value()).endswith(said)
    await wanted.get_by_role("button", name="These go").click()  # with nothing chosen
    await wanted.get_by_role("button", name="Say it").click()
    await expect(ada.answers.last).to_contain_text("typed: see question")
    assert club.heard[-1].fields == {"find": "124 in r2c6 r7c6; r3c6-1 r5c6-1; r4c5=7"}
    assert not await ada.has_sideways_scroll()
