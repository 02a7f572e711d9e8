"""A question to the club: put up, answered rightly, nearly, wrongly and late, and revealed."""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path

import pytest

from bot import wording
from bot.club.asking import (
    FindJudged,
    FindWanted,
    NoQuestion,
    QuestionRevealed,
    QuestionUp,
    RevealTold,
)
from bot.club.facts import GridPicture
from bot.club.problems import Problem
from bot.club.putting_questions import QuestionPut
from bot.club.replies import InputRefused, LeadersOnly, decode_reply
from engine.claims import Condition, Judgement
from tests.bot.club.stories import MONDAY, Story, crook_puzzle, easy_puzzle, open_story
from tests.bot.storage.kinds import KINDS, open_kind

ALL = "see r3c6-1 r5c6-1 r4c6-124 r6c6-4"
"""All that goes by the naked triple of its lesson: 124 in r2c6, r7c6 and r9c6."""


@pytest.fixture(params=KINDS)
async def story(request: pytest.FixtureRequest, tmp_path: Path) -> AsyncIterator[Story]:
    async with open_kind(request.param, tmp_path) as store:
        yield await open_story(crook_puzzle(), easy_puzzle(), store=store)


async def _asked(story: Story) -> QuestionUp:
    assert await story.hears(QuestionPut, "club ask naked triple", leads=True)
    await story.tick()
    return story.post_with(QuestionUp)


async def test_a_question_goes_up_with_where_to_look_and_without_the_find(story: Story) -> None:
    question = await _asked(story)
    assert isinstance(question.picture, GridPicture)
    assert question.picture.with_candidates
    message = wording.phrase(question)
    assert [button.command for button in message.buttons] == ["see question"]
    assert "column 6" in message.text
    for secret in ("triple", "r2c6", "1, 2 and 4"):
        assert secret not in message.text


JUDGED = (
    (ALL, Judgement.RIGHT, None),
    ("see 124 in r2c6 r7c6 r9c6 so r3c6-1 r5c6-1", Judgement.RIGHT_AND_MORE, None),
    ("see r3c6 not 1", Judgement.RIGHT_AND_MORE, None),
    ("see naked triple col 6", Judgement.RIGHT_AND_MORE, None),
    ("see 124 in r2c6 r7c6 r3c6", Judgement.FAILS, Condition.HOLDS_MORE),
    ("see r2c6-1", Judgement.FAILS, Condition.LACKS),
    ("see r2c6-4", Judgement.FAILS, Condition.STILL_POSSIBLE),
    ("see r3c6=6", Judgement.FAILS, Condition.STILL_POSSIBLE),
    ("see r1c1-2", Judgement.FAILS, Condition.FILLED),
)


async def test_a_find_is_judged_right_nearly_or_with_what_fails() -> None:
    story = await open_story(crook_puzzle())
    await _asked(story)
    for number, (line, judgement, condition) in enumerate(JUDGED, start=1):
        judged = await story.hears(FindJudged, line)
        told = (judged.judgement, judged.condition, judged.tries)
        assert told == (judgement, condition, number), line


async def test_tries_are_counted_and_the_reveal_tells_how_many_saw_it(story: Story) -> None:
    await _asked(story)
    assert (await story.hears(FindJudged, "see r2c6-1")).tries == 1
    assert (await story.hears(FindJudged, ALL)).tries == 2
    assert (await story.hears(FindJudged, "see r2c6-1")).tries == 3  # and it was seen before
    await story.hears(FindJudged, "see r1c1-2", by="ben")
    await story.hears(RevealTold, "club reveal", leads=True)
    await story.tick()
    revealed = story.post_with(QuestionRevealed)
    assert (revealed.tried, revealed.seen) == (2, 1)
    text = wording.phrase(revealed).text
    assert "column 6" in text
    assert "Ada" not in text


@pytest.mark.parametrize("technique", ["alternating-inference-chain", "avoidable-rectangle"])
async def test_a_question_can_be_of_a_lesson_that_needs_more_than_digits(technique: str) -> None:
    story = await open_story(crook_puzzle())
    await story.hears(QuestionPut, f"club ask {technique}", leads=True)
    await story.tick()
    question = story.post_with(QuestionUp)
    assert question.step.technique == technique
    assert question.picture.position.removed or question.picture.position.own


async def test_what_comes_late_is_judged_and_not_counted(story: Story) -> None:
    await _asked(story)
    await story.hears(RevealTold, "club reveal", leads=True)
    judged = await story.hears(FindJudged, ALL, by="ben")
    assert (judged.judgement, judged.is_late, judged.tries) == (Judgement.RIGHT, True, 0)
    asked = await story.store.load_question(story.club.id, "ben")
    assert asked is not None
    assert (asked.tried, asked.seen) == (0, 0)
    assert await story.hears(NoQuestion, "club reveal", leads=True)


async def test_a_new_question_forgets_the_tries_of_the_one_before(story: Story) -> None:
    await _asked(story)
    await story.hears(FindJudged, ALL)
    put = await story.hears(QuestionPut, "club ask x-wing", leads=True)
    assert (put.number, put.ended) == (2, True)
    asked = await story.store.load_question(story.club.id, "ada")
    assert asked is not None
    assert (asked.number, asked.tries, asked.saw, asked.tried) == (2, 0, False, 0)


async def test_a_question_is_about_a_day_that_is_over_and_never_an_open_one(story: Story) -> None:
    await story.tick()
    refused = await story.hears(InputRefused, "club ask", leads=True)
    assert refused.problem is Problem.NO_FIND
    named = await story.hears(InputRefused, f"club ask {MONDAY.isoformat()}", leads=True)
    assert named.problem is Problem.STILL_OPEN
    await story.later(days=1).tick()
    await story.hears(QuestionPut, "club ask", leads=True)
    await story.tick()
    question = story.post_with(QuestionUp)
    assert question.step.level > 1
    (cell, digit), *_ = question.step.removes
    judged = await story.hears(FindJudged, f"see {cell}-{digit}")
    assert judged.judgement in (Judgement.RIGHT, Judgement.RIGHT_AND_MORE)


async def test_without_a_question_or_a_find_the_member_is_told_what_to_do(story: Story) -> None:
    assert await story.hears(NoQuestion, ALL)
    await _asked(story)
    assert await story.hears(FindWanted, "see")
    assert (await story.hears(InputRefused, "see a wombat")).problem is Problem.CLAIM
    assert (await story.hears(InputRefused, "club ask wombat", leads=True)).problem is (
        Problem.NO_FIND
    )
    assert await story.hears(LeadersOnly, "club ask naked-triple")
    assert await story.hears(LeadersOnly, "club reveal")


async def test_tries_are_in_what_a_member_is_given_and_go_with_what_they_erase(
    story: Story,
) -> None:
    await _asked(story)
    await story.hears(FindJudged, ALL)
    kept = await story.store.export_member(story.club.id, "ada")
    assert kept["questions"] == [{"question": 1, "tries": 1, "saw": True, "named": False}]
    await story.say("privacy erase sure")
    asked = await story.store.load_question(story.club.id, "ada")
    assert asked is not None
    assert (asked.tried, asked.tries, asked.saw) == (0, 0, False)
    assert isinstance(decode_reply(asked.reply), QuestionUp)


MARKED: tuple[tuple[str, tuple[str, ...], tuple[str, ...], str], ...] = (
    ("none", (), (), "what follows here?"),
    ("house", ("column 6",), (), "Have a good look at column 6."),
    ("pattern", (), ("r2c6", "r7c6", "r9c6"), "what follows from the marked cells?"),
)


@pytest.mark.parametrize(("mark", "houses", "cells", "asked"), MARKED)
async def test_the_leader_chooses_what_is_marked_and_no_more_is_told(
    mark: str, houses: tuple[str, ...], cells: tuple[str, ...], asked: str
) -> None:
    story = await open_story(crook_puzzle())
    await story.hears(QuestionPut, f"club ask naked-triple mark={mark}", leads=True)
    await story.tick()
    question = story.post_with(QuestionUp)
    assert isinstance(question.picture, GridPicture)
    assert (question.picture.houses, question.picture.cells) == (houses, cells)
    message = wording.phrase(question)
    assert asked in message.text
    assert ("column 6" in message.text) is (mark == "house")
    described = wording.describe(question.picture)
    for name in ("column 6", "r7c6"):
        is_named = name in (*houses, *cells)
        assert (name in described.partition("Row 1")[0].partition("row 1")[0]) is is_named
    assert (await story.hears(FindJudged, ALL)).judgement is Judgement.RIGHT


async def test_what_cannot_be_marked_is_told_with_what_can(story: Story) -> None:
    refused = await story.hears(InputRefused, "club ask naked-triple mark=wombat", leads=True)
    assert refused.problem is Problem.MARKING
    assert "mark=pattern" in wording.phrase(refused).text
