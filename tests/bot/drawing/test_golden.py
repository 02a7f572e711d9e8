"""A few pictures stay as they were when someone last looked at them."""

from __future__ import annotations

from io import BytesIO

import pytest
from PIL import Image

from bot.club.facts import GridPicture, Position
from bot.drawing import draw
from tests.bot.drawing.golden import (
    DIFFERENCES,
    FOLDER,
    GOLDEN,
    TOLERATED_SHARE,
    difference_of,
)
from tests.bot.drawing.scenes import CROOK, CROOK_LATER


@pytest.mark.parametrize("name", GOLDEN)
def test_a_picture_looks_as_it_did(name: str) -> None:
    picture, look = GOLDEN[name]
    now = Image.open(BytesIO(draw(picture, look)))
    before = Image.open(FOLDER / f"{name}.png")
    assert now.size == before.size
    share, marked = difference_of(now, before)
    if share > TOLERATED_SHARE:
        DIFFERENCES.mkdir(exist_ok=True)
        marked.save(DIFFERENCES / f"{name}.png")
    assert share <= TOLERATED_SHARE, f"see {DIFFERENCES / name}.png"


def test_one_digit_more_is_seen() -> None:
    one = Image.open(BytesIO(draw(GridPicture(CROOK, Position(CROOK)), "light")))
    changed = CROOK[:80] + "." if CROOK[80] != "." else CROOK
    other = Image.open(BytesIO(draw(GridPicture(CROOK, Position(changed)), "light")))
    share, _ = difference_of(one, other)
    assert share > TOLERATED_SHARE


def test_one_candidate_less_is_another_picture() -> None:
    whole = GridPicture(CROOK, Position(CROOK_LATER), True)
    less = GridPicture(CROOK, Position(CROOK_LATER, (("r1c1", 2),)), True)
    assert draw(whole, "light") != draw(less, "light")
