"""Which dates the leader's queue takes: free ones to come, one after another."""

from __future__ import annotations

from datetime import timedelta

import pytest

from bot.club.replies import InputRefused, PuzzleQueued, PuzzlesQueued, TodayShown
from tests.bot.club.stories import (
    CROOK,
    DAY,
    MONDAY,
    SEVENTEEN,
    Story,
    easy_puzzle,
    open_story,
    settings_with,
)
from tests.bot.club.test_uniqueness import RECTANGLES


async def queue_all(story: Story, *givens: str, date: str) -> PuzzlesQueued:
    fields = {"grid": "\n".join(givens), "date": date}
    return await story.hears(PuzzlesQueued, "club queue", leads=True, fields=fields)


async def test_several_puzzles_from_a_date_pass_over_the_dates_that_are_taken() -> None:
    story = await open_story(easy_puzzle())
    await story.hears(PuzzleQueued, f"club queue {RECTANGLES} 2026-11-25", leads=True)
    reply = await queue_all(story, CROOK, SEVENTEEN, date="2026-11-24")
    days = [each.day for each in reply.outcomes if isinstance(each, PuzzleQueued)]
    assert days == [MONDAY + DAY, MONDAY + 3 * DAY]


async def test_several_puzzles_from_a_date_that_is_taken_begin_at_the_next_free_one() -> None:
    story = await open_story(easy_puzzle())
    reply = await queue_all(story, CROOK, SEVENTEEN, date="2026-11-23")
    days = [each.day for each in reply.outcomes if isinstance(each, PuzzleQueued)]
    assert days == [MONDAY + DAY, MONDAY + 2 * DAY]


async def test_one_puzzle_for_a_date_that_is_taken_is_refused() -> None:
    story = await open_story(easy_puzzle())
    refused = await story.hears(InputRefused, f"club queue {CROOK} 2026-11-23", leads=True)
    assert (refused.problem, refused.text) == ("day-taken", "2026-11-23")


@pytest.mark.parametrize("hours", [-1, 1], ids=["before post time", "after post time"])
async def test_yesterdays_date_is_refused_before_and_after_post_time(hours: int) -> None:
    # The club met on Sunday for the first time, and had no puzzle that day.
    story = await open_story(settings=settings_with(post_time="12:00"))
    story.now += timedelta(hours=hours)
    refused = await story.hears(InputRefused, f"club queue {CROOK} 2026-11-22", leads=True)
    assert (refused.problem, refused.text) == ("day-taken", "2026-11-22")
    several = await queue_all(story, CROOK, SEVENTEEN, date="2026-11-22")
    assert [type(each) for each in several.outcomes] == [InputRefused, InputRefused]
    queued = await story.hears(PuzzleQueued, f"club queue {CROOK} 2026-11-23", leads=True)
    assert queued.day == MONDAY


async def test_a_posted_day_keeps_the_theme_that_it_was_posted_with() -> None:
    story = await open_story(settings=settings_with(theme="naked-pair", levels=(3,) * 7))
    await story.say(f"club queue {CROOK}", leads=True)
    await story.tick()
    assert (await story.hears(TodayShown, "today")).day.theme == "naked-pair"
    await story.say("club plan week theme=pointing", leads=True)
    assert (await story.hears(TodayShown, "today")).day.theme == "naked-pair"
    await story.say("club setup theme=none", leads=True)
    assert (await story.hears(TodayShown, "today")).day.theme == "naked-pair"


async def test_a_day_posted_without_a_theme_gets_none_later() -> None:
    story = await open_story(settings=settings_with(levels=(3,) * 7))
    await story.say(f"club queue {CROOK}", leads=True)
    await story.tick()
    await story.say("club setup theme=naked-pair", leads=True)
    assert (await story.hears(TodayShown, "today")).day.theme is None
