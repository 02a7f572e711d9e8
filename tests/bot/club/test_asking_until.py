"""The find of a question is shown at its own time, whatever happens meanwhile."""

from __future__ import annotations

from collections.abc import AsyncIterator
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from bot import wording
from bot.club.asking import FindJudged, QuestionRevealed, QuestionUp, RevealTold
from bot.club.problems import Problem
from bot.club.putting_questions import QuestionPut
from bot.club.replies import InputRefused
from bot.club.service import ClubService
from bot.commands import table as commands
from tests.bot.club.stories import NOON, Story, crook_puzzle, easy_puzzle, open_story
from tests.bot.club.test_asking import ALL
from tests.bot.storage.kinds import KINDS, open_kind

HOUR = timedelta(hours=1)


@pytest.fixture(params=KINDS)
async def story(request: pytest.FixtureRequest, tmp_path: Path) -> AsyncIterator[Story]:
    async with open_kind(request.param, tmp_path) as store:
        yield await open_story(crook_puzzle(), easy_puzzle(), store=store)


def reveals_of(story: Story) -> list[QuestionRevealed]:
    """Return the finds that were shown in the room."""
    return [reply for _, _, reply in story.posts if isinstance(reply, QuestionRevealed)]


async def _ask(story: Story, line: str) -> QuestionPut:
    put = await story.hears(QuestionPut, line, leads=True)
    await story.tick()
    return put


async def test_the_find_is_shown_at_its_time_once_and_the_room_knows_when(story: Story) -> None:
    put = await _ask(story, "club ask naked-triple until=20:00")
    assert put.until == NOON + 8 * HOUR
    told = wording.phrase(story.post_with(QuestionUp)).text
    assert "Monday 23 November, 20:00" in told
    await story.later(minutes=8 * 60 - 1).tick()
    assert not reveals_of(story)
    await story.hears(FindJudged, ALL)
    await story.later(minutes=1).tick()
    assert [(each.tried, each.seen) for each in reveals_of(story)] == [(1, 1)]
    await story.later(days=1).tick()
    assert len(reveals_of(story)) == 1


async def test_a_bot_that_was_down_at_the_time_shows_it_when_it_is_back(story: Story) -> None:
    await _ask(story, "club ask naked-triple until=20:00")
    story.later(days=2)
    story.service = ClubService(store=story.store, courses=commands.COURSES)
    judged = await story.hears(FindJudged, ALL)
    assert judged.is_late
    await story.tick()
    assert [(each.tried, each.seen) for each in reveals_of(story)] == [(0, 0)]


async def test_an_answer_made_in_time_counts_though_it_comes_in_afterwards(story: Story) -> None:
    await _ask(story, "club ask naked-triple until=20:00")
    await story.later(minutes=8 * 60).tick()
    judged = await story.hears(FindJudged, ALL, at=NOON + 7 * HOUR)
    assert not judged.is_late
    assert (await story.hears(FindJudged, ALL, by="ben")).is_late
    await story.tick()
    assert [(each.tried, each.seen) for each in reveals_of(story)] == [(0, 0), (1, 1)]
    assert len({key for key, _, reply in story.posts if isinstance(reply, QuestionRevealed)}) == 1


async def test_a_leader_may_show_it_sooner_and_then_it_is_not_shown_again(story: Story) -> None:
    await _ask(story, "club ask naked-triple until=20:00")
    await story.later(minutes=60).hears(RevealTold, "club reveal", leads=True)
    assert (await story.later(minutes=1).hears(FindJudged, ALL)).is_late
    await story.later(days=1).tick()
    assert len(reveals_of(story)) == 1


async def test_a_question_that_took_its_place_keeps_its_own_time(story: Story) -> None:
    await _ask(story, "club ask naked-triple until=20:00")
    await _ask(story, "club ask x-wing until=tomorrow")
    await story.later(minutes=8 * 60).tick()
    assert not reveals_of(story)
    await story.later(minutes=16 * 60).tick()
    assert [each.number for each in reveals_of(story)] == [2]


MONDAY_NOON_UTC = (
    ("20:00", NOON + 8 * HOUR),
    ("9:30", NOON + timedelta(hours=21, minutes=30)),
    ("daily", NOON + 24 * HOUR),
    ("tomorrow", NOON + 24 * HOUR),
    ("friday", NOON + 96 * HOUR),
    ("Fri 20:00", NOON + 104 * HOUR),
    ("monday", NOON + 168 * HOUR),
    ("monday at 18:00", NOON + 6 * HOUR),
    ("2026-11-29", NOON + 144 * HOUR),
    ("20:00 on 2026-11-29", NOON + 152 * HOUR),
)


@pytest.mark.parametrize(("said", "at"), MONDAY_NOON_UTC)
async def test_a_time_is_read_as_people_say_it(said: str, at: datetime) -> None:
    story = await open_story(crook_puzzle())
    for line in (f"club ask naked-triple until={said}", f"club ask until={said} naked-triple"):
        assert (await story.hears(QuestionPut, line, leads=True)).until == at


@pytest.mark.parametrize("said", ["whenever", "", "25:00", "2026-11-22", "today 11:00", "9" * 999])
async def test_a_time_that_is_past_or_none_is_told_with_examples(said: str) -> None:
    story = await open_story(crook_puzzle())
    line = f"club ask naked-triple until={said}"
    refused = await story.hears(InputRefused, line, leads=True)
    assert refused.problem is Problem.UNTIL
    assert "until=friday" in wording.phrase(refused).text
    assert await story.store.load_question(story.club.id, "ada") is None
