"""A question about a puzzle that members have still to meet is put only by a leader who is sure."""

from __future__ import annotations

from datetime import timedelta

import pytest

from bot import wording
from bot.club.asking import QuestionRevealed, QuestionUp
from bot.club.planning_questions import QuestionPlanned
from bot.club.problems import Problem
from bot.club.putting_questions import QuestionAhead, QuestionPut
from bot.club.replies import DayPosted, InputRefused
from tests.bot.club.stories import (
    CROOK_AFTER_SINGLES,
    NOON,
    Story,
    crook_puzzle,
    easy_puzzle,
    open_story,
)

TOMORROW = "2026-11-24"
DAY = timedelta(days=1)


async def _story() -> Story:
    """Monday noon: an easy puzzle is open, and Crook's, which turns once, comes on Tuesday noon."""
    return await open_story(easy_puzzle(), crook_puzzle())


async def test_the_leader_is_told_that_members_have_still_to_meet_it() -> None:
    story = await _story()
    asked = await story.hears(QuestionAhead, f"club ask {TOMORROW}", leads=True)
    message = wording.phrase(asked)
    assert "still to meet" in message.text
    assert [button.command for button in message.buttons] == [f"club ask {TOMORROW} sure"]
    assert await story.store.load_question(story.club.id, "ada") is None


async def test_its_find_is_shown_before_the_puzzle_goes_up_whatever_the_leader_says() -> None:
    for until in ("", " until=friday"):
        story = await _story()
        put = await story.hears(QuestionPut, f"club ask {TOMORROW} sure{until}", leads=True)
        assert put.until == NOON + DAY
        await story.tick()
        assert story.post_with(QuestionUp).step.level > 1
        await story.later(days=1).tick()
        assert story.post_with(QuestionRevealed).number == 1
    soon = await (await _story()).hears(
        QuestionPut, f"club ask {TOMORROW} sure until=20:00", leads=True
    )
    assert soon.until == NOON + timedelta(hours=8)


@pytest.mark.parametrize("what", [f"{TOMORROW} sure", f"sure {CROOK_AFTER_SINGLES}"])
@pytest.mark.parametrize(("hours", "line"), [(24, "today"), (18, "club post-now")])
async def test_its_find_is_out_before_the_puzzle_though_that_goes_up_early(
    what: str, hours: int, line: str
) -> None:
    story = await _story()
    await story.hears(QuestionPut, f"club ask {what}", leads=True)
    await story.tick()
    await story.later(minutes=60 * hours).say(line, leads=True)
    await story.tick()
    said = [type(reply) for _, _, reply in story.posts]
    assert said.count(QuestionRevealed) == 1
    assert said.index(QuestionRevealed) < len(said) - 1 - said[::-1].index(DayPosted)


async def test_another_question_stays_open_when_a_puzzle_goes_up() -> None:
    story = await _story()
    await story.hears(QuestionPut, "club ask naked-triple", leads=True)
    await story.later(days=1).tick()
    assert QuestionRevealed not in [type(reply) for _, _, reply in story.posts]


async def test_a_pasted_position_of_a_queued_puzzle_is_known_for_what_it_is() -> None:
    story = await _story()
    for line in (f"club ask {CROOK_AFTER_SINGLES}", f"club ask on=friday {CROOK_AFTER_SINGLES}"):
        asked = await story.hears(QuestionAhead, line, leads=True)
        assert asked.is_pasted
        assert "club ask sure" in wording.phrase(asked).text
    put = await story.hears(QuestionPut, f"club ask sure {CROOK_AFTER_SINGLES}", leads=True)
    assert put.until == NOON + DAY
    line = f"club ask sure on=2026-11-29 {CROOK_AFTER_SINGLES}"
    assert await story.hears(QuestionPlanned, line, leads=True)


async def test_the_open_puzzle_is_not_asked_about_by_a_leader_who_is_sure_either() -> None:
    story = await _story()
    refused = await story.hears(InputRefused, "club ask 2026-11-23 sure", leads=True)
    assert refused.problem is Problem.STILL_OPEN
    past = await story.hears(InputRefused, "club ask 2026-11-01 sure", leads=True)
    assert past.problem is Problem.NO_FIND
