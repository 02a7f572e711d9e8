"""Hints on diagonal and irregular layouts: no rung tells too much, and each can be drawn."""

from __future__ import annotations

from collections import Counter
from io import BytesIO

import pytest
from PIL import Image

from bot import drawing, wording
from bot.club.facts import HintPicture, Position, facts_of_step
from engine.board.grid import format_grid
from engine.board.layout import Layout
from tests.bot.wording.secrets import (
    house_meets_pattern,
    what_leaks,
    where_leaks,
    which_leaks,
    without_position,
)
from tests.corpus.other_layouts import OTHER_LAYOUTS, steps_on_the_way


@pytest.mark.parametrize("layout", OTHER_LAYOUTS.values(), ids=OTHER_LAYOUTS)
def test_hints_of_other_layouts_keep_to_their_rungs_and_are_drawn(
    layout: Layout, fired: Counter[str]
) -> None:
    for puzzle, position, found in steps_on_the_way(layout, 1, most=1):
        step, shown = facts_of_step(layout, found), Position.of(position)
        words = wording.rungs(step, shown)
        assert where_leaks(words["where"]) == [], words
        assert house_meets_pattern(words["where"], step, layout), words
        assert what_leaks(words["what"]) == [], words
        assert which_leaks(words["which"], step) == [], words
        assert all(cell in words["which"] for cell in step.cells)
        assert all(cell in words["why"] for cell, _ in (*step.places, *step.removes))
        picture = HintPicture(format_grid(puzzle), shown, step, "which")
        assert which_leaks(without_position(wording.describe(picture)), step) == []
        if not fired[step.technique]:
            whole = HintPicture(format_grid(puzzle), shown, step, "why")
            with Image.open(BytesIO(drawing.draw(whole, "dark"))) as image:
                assert image.format == "PNG"
                assert image.width == image.height > 300
        fired[step.technique] += 1
    assert sum(fired.values()) >= 20
