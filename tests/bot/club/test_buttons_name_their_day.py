"""The buttons of a day's puzzle are for that puzzle, also when pressed after it has closed."""

from __future__ import annotations

import pytest

from bot.club.ports import Store
from bot.club.replies import (
    AnswerUnfinished,
    AnswerWrong,
    BoardShown,
    ClockNotStarted,
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
from tests.bot.storage.samples import entries_of


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
    assert await entries_of(story.store, story.club, "ada") == ()
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


async def test_a_clock_begins_when_its_answer_can_reach_the_member() -> None:
    """A room where they can be answered may take minutes to be opened."""
    story = await open_story(easy_puzzle())
    asked, reached = story.now, story.now + 5 * MINUTE
    started = await story.hears(ClockStarted, "start", at=asked, reached_at=reached)
    assert started.started_at == reached
    again = await story.hears(ClockStarted, "start", by="ben", at=reached, reached_at=asked)
    assert again.started_at == reached


async def test_a_day_that_has_not_come_has_no_board() -> None:
    story = await open_story(easy_puzzle())
    assert (await story.hears(DayUnknown, f"start {MONDAY + DAY}")).date == MONDAY + DAY


@pytest.mark.parametrize(
    "line",
    [
        "start", "today", "board", "help", "hint", "hint board sure", "hint paper", "paste",
        "check", "hint known", "hint for 4", "undo", "place r1c1 1", "rule-out r1c1 1",
        "hand-in", f"hand-in {'1' * 18}", "hand-in 12", "hint nonsense", "hint paste 12",
        f"paste {'1' * 81}",
    ],
)  # fmt: skip
async def test_every_reply_while_a_puzzle_is_open_names_its_day(line: str) -> None:
    story = await open_story(easy_puzzle())
    for _ in range(2):
        reply = await story.say(line)
        assert reply.board_of == MONDAY, reply
        await story.say("start")


async def test_the_buttons_under_yesterdays_replies_do_nothing_to_todays_board(
    store: Store,
) -> None:
    story = await open_story(easy_puzzle(), crook_puzzle(), store=store)
    await story.say("start")
    said = [
        phrase(await story.say(line))
        for line in ("hint", "hint board sure", "place r1c1 1", "check", "hint paper", "help")
    ]
    await story.later(days=1).tick()
    await story.say("start")
    before = await story.hears(BoardShown, "board")
    pressed: list[tuple[str, dict[str, str]]] = []
    for message in said:
        pressed += [(button.command, {}) for button in message.buttons]
        if message.form is not None:
            pressed.append((message.form.command, {"grid": "." * 80 + "1"}))
    assert len(pressed) > 8
    for command, fields in pressed:
        if command.partition(" ")[0] in ("hint", "undo", "board", "start", "paste"):
            over = await story.hears(PuzzleOver, command, fields=fields)
            assert over.date == MONDAY
    assert await story.hears(BoardShown, "board") == before
    entries = await entries_of(story.store, story.club, "ada")
    assert [entry.added_seconds for entry in entries if entry.day_id != entries[0].day_id] == [0]


async def test_an_answer_matched_to_an_older_open_day_has_that_days_buttons() -> None:
    story = await open_story(easy_puzzle(), crook_puzzle(), seventeen_puzzle())
    await story.later(minutes=20 * 60).say("club post-now", leads=True)
    await story.tick()
    older = await story.hears(AnswerWrong, f"hand-in {MONDAY} {'1' * 18}")
    assert older.board_of == MONDAY
    assert (await story.hears(AnswerWrong, f"hand-in {'1' * 18}")).board_of == MONDAY + DAY
    assert (await story.hears(ClockNotStarted, f"hint {MONDAY}")).board_of == MONDAY
