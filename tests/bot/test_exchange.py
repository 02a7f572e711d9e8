"""A reply becomes messages: its words, its picture with the same facts, an echo before it."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Literal

import msgspec
import pytest
from msgspec.structs import replace as replace_facts

from bot import wording
from bot.club.acts import Act, Event, Talk
from bot.club.facts import (
    CoverPicture,
    GridPicture,
    HintPicture,
    Picturable,
    TablePicture,
    facts_of_step,
)
from bot.club.pictures import decode_picture
from bot.club.replies import Reply, TalkHeard, WalkthroughPosted, WalkthroughShown
from bot.club.state import Club, ClubSettings
from bot.exchange import Exchange, _draw, compose, compose_thread, draw_again, draw_picture
from bot.platforms.fake import FakeRoom
from bot.platforms.message import Incoming
from engine import find_steps
from tests.bot.wording.samples import (
    AT_PAIR,
    AT_SINGLE,
    CROOK,
    DAY,
    PAIR,
    SINGLE,
    board_picture,
    board_shown,
    shown,
)

LIGHT = ClubSettings("Maple Street Solvers")
DARK = ClubSettings("Maple Street Solvers", look="dark")


async def test_plain_talk_makes_no_message() -> None:
    assert await compose(TalkHeard(), LIGHT) == ()


async def test_a_reply_with_a_picture_brings_it_in_both_themes_with_its_alternative_text() -> None:
    (message,) = await compose(board_shown("shown"), LIGHT)
    assert message.picture is not None
    assert message.picture.alt == wording.describe(board_picture())
    assert message.picture.light[:4] == message.picture.dark[:4] == b"\x89PNG"
    assert message.picture.light != message.picture.dark


@pytest.mark.parametrize(
    "facts",
    [
        board_picture(),
        HintPicture(CROOK, AT_PAIR, PAIR, "why"),
        CoverPicture("The Elms", date(2026, 11, 23), 2),
    ],
)
async def test_a_picture_is_drawn_again_byte_for_byte_by_what_is_kept_of_it(
    facts: Picturable,
) -> None:
    picture = await draw_picture(facts, "it.png", LIGHT, in_both=True)
    assert decode_picture(picture.facts) == facts
    _draw.cache_clear()
    assert await draw_again(picture.facts, "light") == picture.light
    assert await draw_again(picture.facts, "dark") == picture.dark


def test_what_was_kept_of_a_picture_is_read_for_ever() -> None:
    """Written in November 2026; what is kept so is never written anew."""
    kept = (
        b'{"version":2,"picture":{"type":"table","table":{"club":"Maple","period":"week",'
        b'"first":"2026-11-23","last":"2026-11-29","rows":[{"rank":1,"name":"Ada","solved":1,'
        b'"adjusted":100,"raw":90,"hints":1,"late":0,"streak":1,"wrong":0}],"most_improved":[]}}}'
    )
    facts = decode_picture(kept)
    assert isinstance(facts, TablePicture)
    assert facts.table.rows[0].name == "Ada"


async def test_a_pasted_grid_is_echoed_as_a_picture_before_its_hint() -> None:
    reply = msgspec.structs.replace(shown(1), echo=board_picture())
    echo, hint = await compose(reply, LIGHT)
    assert echo.text == wording.phrase_echo().text
    assert echo.picture is not None
    assert echo.picture.alt == wording.describe(board_picture())
    assert hint.text == wording.phrase(reply).text


async def test_the_second_rung_has_no_picture() -> None:
    (message,) = await compose(shown(2), DARK)
    assert message.picture is None


TWO = tuple(
    facts_of_step(grid.layout, step)
    for grid in [AT_SINGLE.to_grid()]
    for step in find_steps(grid, "naked-single")[:2]
)


def walkthrough() -> WalkthroughShown:
    return WalkthroughShown(
        date=DAY, givens=CROOK, level=3, steps=(SINGLE, PAIR, *TWO), is_solved=True,
        positions=(AT_SINGLE, AT_PAIR, AT_SINGLE, AT_SINGLE), picture=board_picture(),
    )  # fmt: skip


async def test_a_walkthrough_asked_for_comes_in_chapters_each_with_its_picture() -> None:
    opening, before, pair, after, ending = await compose(walkthrough(), LIGHT)
    assert opening.text.startswith("How to solve the puzzle for ")
    assert before.text.startswith("1. Naked single: ")
    assert before.picture is not None
    assert before.picture.alt == wording.describe(HintPicture(CROOK, AT_SINGLE, SINGLE, "why"))
    assert pair.text.startswith("No single is left here: this is where the puzzle turns.\n2. Naked")
    assert pair.picture is not None
    assert pair.picture.alt == wording.describe(HintPicture(CROOK, AT_PAIR, PAIR, "why"))
    assert after.text.startswith("3 and 4. Two digits come by themselves: ")
    assert after.picture is not None
    assert after.picture.alt.startswith("Boxed, since they come next: ")
    assert ending.text == "I left out the steps that the solution does not need."
    assert [button.command for button in ending.buttons] == ["leaderboard 2026-W48"]


@pytest.mark.parametrize("marks", ["all", "two-place", "none"])
async def test_every_picture_of_a_grid_shows_the_marks_that_the_club_has_chosen(
    marks: Literal["all", "two-place", "none"],
) -> None:
    for message in await compose(walkthrough(), replace_facts(LIGHT, marks=marks)):
        if message.picture is not None:
            facts = decode_picture(message.picture.facts)
            assert isinstance(facts, GridPicture | HintPicture)
            assert facts.marks == marks


async def test_the_thread_of_a_closed_day_has_the_same_parts() -> None:
    asked = walkthrough()
    posted = WalkthroughPosted(
        date=asked.date, givens=asked.givens, level=asked.level, steps=asked.steps,
        positions=asked.positions, is_solved=asked.is_solved,
    )  # fmt: skip
    title, messages = await compose_thread(posted, LIGHT)
    assert title.startswith("How to solve the puzzle for ")
    assert messages[:-1] == (await compose(asked, LIGHT))[1:-1]


class OneClub:
    """A store and a service in one, as far as an act needs them."""

    def __init__(self) -> None:
        self.club = Club(1, "matrix", "!hedge", ClubSettings("Maple Street Solvers"), False)
        self.acts: list[Act] = []

    async def load_club(self, platform: str, room_id: str) -> Club:
        return self.club

    async def answer_and_look(self, event: Event) -> tuple[Reply, str]:
        self.acts.append(event.act)
        return TalkHeard(), ""


async def test_a_line_without_the_platforms_sign_is_talk_whatever_it_says() -> None:
    house = OneClub()
    rooms = {"matrix": FakeRoom(["!hedge"], platform="matrix")}
    exchange = Exchange(house, house, rooms)  # type: ignore[arg-type]
    at = datetime(2026, 11, 23, 12, tzinfo=UTC)
    act = Incoming("matrix:1", "matrix", "!hedge", "u", "Ada", False, at, at, "hint", in_open=True)
    assert await exchange.answer(replace(act, is_addressed=False)) == ()
    assert await exchange.answer(act) == ()
    assert house.acts[0] == Talk("hint")
    assert not isinstance(house.acts[1], Talk)
