"""Shapes for a live grid keep to what was told: rung by rung, and of a mistake."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from bot.club.replies import MistakeShown
from bot.drawing.live import shapes_told
from tests.bot.wording.samples import AT_PAIR, CROOK, PAIR, board_picture, shown

WHAT_FOLLOWS = {"struck", "places", "covers", "witnesses"}
PATTERN = {"cells", "plates"}


def of_pair(rung: int) -> dict[str, object]:
    return shapes_told(replace(shown(rung), step=PAIR, position=AT_PAIR, picture=None), CROOK)


@pytest.mark.parametrize("rung", [1, 2])
def test_the_first_two_rungs_show_the_house_and_nothing_else(rung: int) -> None:
    shapes = of_pair(rung)
    assert set(shapes) == {"houses", "is_directed"}
    assert shapes["houses"] == ((PAIR.houses[0].split()[0], int(PAIR.houses[0].split()[1])),)


def test_the_third_shows_the_pattern_and_the_fourth_what_follows() -> None:
    which, why = of_pair(3), of_pair(4)
    assert set(which) >= PATTERN
    assert not WHAT_FOLLOWS & set(which)
    names = {f"r{cell // 9 + 1}c{cell % 9 + 1}" for cell in which["cells"]}  # type: ignore[attr-defined]
    assert names == set(PAIR.cells)
    struck = {(f"r{cell // 9 + 1}c{cell % 9 + 1}", digit) for cell, digit in why["struck"]}  # type: ignore[attr-defined]
    assert struck == set(PAIR.removes)


@pytest.mark.parametrize(
    ("rung", "region", "cell", "expected"),
    [
        (1, None, None, {}),
        (2, "box 5", None, {"houses": (("box", 5),)}),
        (3, "box 5", "r4c5", {"houses": (("box", 5),), "cells": (31,)}),
    ],
)
def test_a_mistake_is_shown_as_far_as_it_was_told(
    rung: int, region: str | None, cell: str | None, expected: dict[str, object]
) -> None:
    told = MistakeShown(
        rung=rung, kind="digit", region=region, cell=cell, seconds=0, total=15, next_cost=None,
        picture=board_picture(),
    )  # fmt: skip
    assert shapes_told(told, CROOK) == expected
