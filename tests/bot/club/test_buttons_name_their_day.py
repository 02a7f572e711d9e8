"""The buttons of a day's puzzle are for that puzzle, also when pressed after it has closed."""

from __future__ import annotations

import pytest

from bot.club.ports import Store
from bot.club.replies import (
    AnswerUnfinished,
    BoardShown,
    ClockStarted,
    DayPosted,
    DayUnknown,
    HintOffered,
    PuzzleOver,
    TodayShown,
)
from bot.platforms.message import Message
from bot.wording import phrase
from tests.bot.club.stories import (
    DAY,
    MINUTE,
    MONDAY,
    crook_puzzle,
    easy_puzzle,
    open_story,
    seventeen_puzzle,
)


def command_of(message: Message, label: str) -> str:
    return next(button.command for button in message.buttons if button.label == label)


async def test_the_buttons_of_a_post_start_no_other_days_clock(store: Store) -> None:
    story = await open_story(easy_puzzle(), crook_puzzle(), store=store)
    post = phrase(story.post_with(DayPosted))
    await story.later(days=1).tick()
    for label in ("Start my clock", "Hint"):
        over = await story.hears(PuzzleOver, command_of(post, label))
        assert over.date == MONDAY
        assert "Monday 23 November has closed" in phrase(over).text
    assert await story.store.load_member_entries(story.club.id, "ada") == ()
    # By the stamp of the press, however late it reached us.
    started = await story.hears(
        ClockStarted, command_of(post, "Start my clock"), at=story.now - MINUTE
    )
    assert started.day.date == MONDAY


async def test_an_answer_form_opened_before_the_closing_hands_in_to_its_day() -> None:
    story = await open_story(easy_puzzle(), crook_puzzle())
    post = phrase(story.post_with(DayPosted))
    opened = phrase(await story.hears(AnswerUnfinished, command_of(post, "Hand in")))
    assert opened.form is not None
    assert opened.form.command == f"hand-in {MONDAY}"


async def test_the_buttons_of_an_older_day_still_open_are_for_that_day() -> None:
    story = await open_story(easy_puzzle(), crook_puzzle(), seventeen_puzzle())
    await story.later(minutes=20 * 60).say("club post-now", leads=True)
    await story.tick()
    older = await story.hears(ClockStarted, f"start {MONDAY}")
    newer = await story.hears(ClockStarted, f"start {MONDAY + DAY}")
    assert (older.day.date, newer.day.date) == (MONDAY, MONDAY + DAY)
    assert not newer.was_running
    assert (await story.hears(BoardShown, f"board {MONDAY}")).day.date == MONDAY
    assert (await story.hears(TodayShown, "today")).day.date == MONDAY + DAY
    await story.hears(HintOffered, f"hint {MONDAY}")


async def test_a_day_that_has_not_come_has_no_board() -> None:
    story = await open_story(easy_puzzle())
    assert (await story.hears(DayUnknown, f"start {MONDAY + DAY}")).date == MONDAY + DAY


@pytest.mark.parametrize("line", ["start", "today", "board"])
async def test_every_button_of_a_reply_about_a_day_names_it(line: str) -> None:
    story = await open_story(easy_puzzle())
    await story.say("start")
    for button in phrase(await story.say(line)).buttons:
        assert button.command.endswith(str(MONDAY)), button
