"""A day whose post is out while the books do not know it yet: the bot died in between, or the
platform's word got lost. Who answers its puzzle has seen it, so the answer is that day's.
"""

from __future__ import annotations

import pytest

from bot.club.ports import Store
from bot.club.replies import (
    AnswerAlready,
    AnswerRight,
    AnswerSwapped,
    AnswerWrong,
    ClockStarted,
    DayUnknown,
    NoPuzzleOpen,
    TalkHeard,
)
from tests.bot.club.stories import (
    CROOK_SOLUTION,
    DAY,
    EASY_SOLUTION,
    MONDAY,
    Story,
    crook_puzzle,
    easy_puzzle,
    open_story,
    settings_with,
)
from tests.bot.storage.samples import entries_of

TUESDAY = MONDAY + DAY
# Columns 3 and 7 of the published solution, which hold one given each, read by hand.
KEY = "428963175" + "935478261"


async def while_the_second_day_goes_up(store: Store) -> Story:
    """Return the club when its second day is opened, and its post not noted as sent."""
    story = await open_story(crook_puzzle(), easy_puzzle(), store=store, settings=settings_with())
    story.later(days=1)
    await story.open_what_is_due()
    return story.later(minutes=9)


@pytest.mark.parametrize("line", [f"hand-in {KEY}", f"hand-in {EASY_SOLUTION}"])
async def test_a_right_answer_to_it_counts_for_it(store: Store, line: str) -> None:
    story = await while_the_second_day_goes_up(store)
    reply = await story.hears(AnswerRight, line)
    assert (reply.date, reply.is_late, reply.tries) == (TUESDAY, False, 0)
    entries = await entries_of(store, story.club, "ada")
    assert [(each.added_seconds, each.is_late) for each in entries] == [(0, False)]
    await story.tick()
    (result,) = await store.load_results(story.club.id, None, None)
    assert (result.date, result.is_ranked) == (TUESDAY, True)
    await story.hears(AnswerAlready, line)


async def test_its_lines_the_other_way_round_cost_nothing(store: Store) -> None:
    story = await while_the_second_day_goes_up(store)
    reply = await story.hears(AnswerSwapped, f"hand-in {KEY[9:] + KEY[:9]}")
    assert reply.closed is None
    assert await entries_of(store, story.club, "ada") == ()


async def test_its_form_hands_in_to_it(store: Store) -> None:
    story = await while_the_second_day_goes_up(store)
    reply = await story.hears(AnswerRight, f"hand-in {TUESDAY}", fields={"answer": KEY})
    assert reply.date == TUESDAY


@pytest.mark.parametrize("text", [KEY, f"is it {KEY[:9]} {KEY[9:]}?", EASY_SOLUTION])
async def test_said_in_the_open_room_it_counts_and_is_taken_away(store: Store, text: str) -> None:
    story = await while_the_second_day_goes_up(store)
    reply = await story.hears(AnswerRight, text, in_open=True)
    assert (reply.date, reply.was_public) == (TUESDAY, True)


async def test_of_a_club_s_first_day_it_counts_too(store: Store) -> None:
    story = await open_story(easy_puzzle(), store=store, settings=settings_with(), is_sent=False)
    assert (await story.hears(AnswerRight, f"hand-in {KEY}")).date == MONDAY


async def test_what_is_no_answer_to_it_is_about_what_is_known_to_be_up(store: Store) -> None:
    story = await while_the_second_day_goes_up(store)
    wrong = KEY[1] + KEY[0] + KEY[2:]
    await story.hears(AnswerWrong, f"hand-in {wrong}")
    await story.hears(TalkHeard, "lovely weather", in_open=True)
    await story.hears(NoPuzzleOpen, "board")
    late = await story.hears(AnswerRight, f"hand-in {CROOK_SOLUTION}")
    assert (late.date, late.is_late) == (MONDAY, True)


async def test_a_button_under_it_is_about_it(store: Store) -> None:
    story = await while_the_second_day_goes_up(store)
    started = await story.hears(ClockStarted, f"start {TUESDAY}")
    assert started.board_of == TUESDAY
    wrong = KEY[1] + KEY[0] + KEY[2:]
    reply = await story.hears(AnswerWrong, f"hand-in {TUESDAY}", fields={"answer": wrong})
    assert reply.board_of == TUESDAY


async def test_nobody_has_seen_it_before_it_was_due(store: Store) -> None:
    story = await while_the_second_day_goes_up(store)
    story.later(minutes=-10)
    await story.hears(DayUnknown, f"hand-in {TUESDAY}", fields={"answer": KEY})
    await story.hears(AnswerWrong, f"hand-in {KEY}")
