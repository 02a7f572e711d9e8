"""A reply becomes messages: its words, its picture with the same facts, an echo before it."""

from __future__ import annotations

import msgspec

from bot import wording
from bot.club.replies import TalkHeard
from bot.exchange import compose
from tests.bot.wording.samples import board_picture, board_shown, shown


async def test_plain_talk_makes_no_message() -> None:
    assert await compose(TalkHeard(), "light") == ()


async def test_a_reply_with_a_picture_brings_it_in_both_themes_with_its_alternative_text() -> None:
    (message,) = await compose(board_shown("shown"), "light")
    assert message.picture is not None
    assert message.picture.alt == wording.describe(board_picture())
    assert message.picture.light[:4] == message.picture.dark[:4] == b"\x89PNG"
    assert message.picture.light != message.picture.dark


async def test_a_pasted_grid_is_echoed_as_a_picture_before_its_hint() -> None:
    reply = msgspec.structs.replace(shown(1), echo=board_picture())
    echo, hint = await compose(reply, "light")
    assert echo.text == wording.phrase_echo().text
    assert echo.picture is not None
    assert echo.picture.alt == wording.describe(board_picture())
    assert hint.text == wording.phrase(reply).text


async def test_the_second_rung_has_no_picture() -> None:
    (message,) = await compose(shown(2), "dark")
    assert message.picture is None
