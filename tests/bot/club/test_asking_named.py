"""Who saw the find of a question is named where it is shown, if they wish it, and nobody else."""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path

import pytest

from bot import wording
from bot.club.asking import FindJudged, NamingTold, NoQuestion, QuestionRevealed, RevealTold
from tests.bot.club.stories import Story, crook_puzzle, open_story
from tests.bot.club.test_asking import ALL
from tests.bot.storage.kinds import KINDS, open_kind


@pytest.fixture(params=KINDS)
async def story(request: pytest.FixtureRequest, tmp_path: Path) -> AsyncIterator[Story]:
    """A club with a question that Ada and Ben have seen, and that Cy has not."""
    async with open_kind(request.param, tmp_path) as store:
        story = await open_story(crook_puzzle(), store=store)
        await story.say("club ask naked-triple", leads=True)
        for member in ("ada", "ben"):
            await story.hears(FindJudged, ALL, by=member)
        await story.hears(FindJudged, "see r2c6-4", by="cy")
        yield story


async def _told(story: Story) -> str:
    await story.tick()
    return wording.phrase(story.post_with(QuestionRevealed)).text


async def test_nobody_is_named_who_does_not_wish_it(story: Story) -> None:
    await story.hears(RevealTold, "club reveal", leads=True)
    text = await _told(story)
    assert "Three members tried, and two saw it." in text
    for name in ("Ada", "Ben", "Cy"):
        assert name not in text


async def test_who_wishes_it_is_named_if_they_saw_it(story: Story) -> None:
    offered = wording.phrase(await story.hears(FindJudged, ALL)).buttons
    assert "see named" in [button.command for button in offered]
    assert (await story.hears(NamingTold, "see named")).is_named
    await story.hears(NamingTold, "see named", by="cy")
    assert (await story.hears(FindJudged, ALL)).is_named
    await story.hears(RevealTold, "club reveal", leads=True)
    text = await _told(story)
    assert "two saw it, Ada among them." in text
    assert "Cy" not in text


async def test_a_wish_is_taken_back_and_comes_late_all_the_same(story: Story) -> None:
    await story.hears(NamingTold, "see named")
    assert not (await story.hears(NamingTold, "see unnamed")).is_named
    await story.hears(RevealTold, "club reveal", leads=True)
    assert "Ada" not in await _told(story)
    for member in ("ada", "ben"):
        await story.hears(NamingTold, "see named", by=member)
    assert "two saw it: Ada and Ben." in await _told(story)
    await story.hears(NamingTold, "see unnamed", by="ben")
    assert "two saw it, Ada among them." in await _told(story)


async def test_who_wished_it_is_named_where_what_they_saw_in_time_comes_in_late(
    story: Story,
) -> None:
    await story.hears(NamingTold, "see named", by="cy")
    seen_at = story.now
    await story.later(minutes=1).hears(RevealTold, "club reveal", leads=True)
    assert "Cy" not in await _told(story)
    judged = await story.hears(FindJudged, ALL, by="cy", at=seen_at)
    assert judged.is_named
    assert not judged.is_late
    assert "Three members tried, and all of them saw it, Cy among them." in await _told(story)
    await story.hears(NamingTold, "see unnamed", by="cy")
    assert "Cy" not in await _told(story)


async def test_who_has_not_tried_has_nothing_to_be_named_for(story: Story) -> None:
    told = await story.hears(NamingTold, "see named", by="dee")
    assert not told.has_tried
    assert "first" in wording.phrase(told).text
    lonely = await open_story(crook_puzzle())
    assert await lonely.hears(NoQuestion, "see named")


async def test_names_stand_until_the_next_question_goes_up(story: Story) -> None:
    await story.hears(NamingTold, "see named")
    await story.hears(RevealTold, "club reveal", leads=True)
    assert "Ada" in await _told(story)
    await story.say("club ask naked-pair", leads=True)
    text = await _told(story)
    assert "Question 1" in text
    assert "two saw it." in text
    assert "Ada" not in text
    await story.hears(FindJudged, "see r2c6-4")
    await story.say("privacy erase sure")
    assert "Ada" not in await _told(story)


async def test_the_wish_is_exported_and_goes_with_what_is_erased(story: Story) -> None:
    await story.hears(NamingTold, "see named")
    kept = await story.store.export_member(story.club.id, "ada")
    assert kept["questions"] == [{"question": 1, "tries": 1, "saw": True, "named": True}]
    await story.hears(RevealTold, "club reveal", leads=True)
    await story.say("privacy erase sure")
    text = await _told(story)
    assert "Ada" not in text
    asked = await story.store.load_question(story.club.id, "ben")
    assert asked is not None
    assert asked.names == ()
