"""A moved post time moves the open day's closing: no day overlaps another, and none is skipped."""

from __future__ import annotations

import asyncio
from collections import Counter
from datetime import date, datetime, timedelta
from itertools import pairwise

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from bot.club.ports import SavePuzzle, Store
from bot.club.replies import AnswerRight, ClubShown, DayPosted, TableShown
from bot.club.state import Day
from tests.bot.club.stories import (
    CROOK_SOLUTION,
    DAY,
    EASY_SOLUTION,
    MONDAY,
    NOON,
    Story,
    crook_puzzle,
    easy_puzzle,
    open_story,
    settings_with,
    seventeen_puzzle,
)
from tests.bot.test_schedule_days import puzzles

TUESDAY = MONDAY + DAY
HOUR = timedelta(hours=1)


async def day_on(story: Story, date_: date) -> Day:
    day = await story.store.load_day(story.club.id, date_)
    assert day is not None
    return day


@pytest.mark.parametrize(
    ("at", "setting", "closes_at"),
    [
        (NOON + 3 * HOUR, "post-time=18:00", NOON + 30 * HOUR),
        (NOON + 3 * HOUR, "post-time=09:00", NOON + 21 * HOUR),
        (NOON + 22 * HOUR, "post-time=09:00", NOON + 22 * HOUR),
        (NOON + 23 * HOUR, "post-time=23:00", NOON + 35 * HOUR),
        (NOON + 3 * HOUR, "zone=America/New_York", NOON + 29 * HOUR),
    ],
)
async def test_the_open_day_closes_as_the_next_puzzle_goes_up(
    store: Store, at: datetime, setting: str, closes_at: datetime
) -> None:
    story = await open_story(easy_puzzle(), crook_puzzle(), store=store)
    story.now = at
    shown = await story.hears(ClubShown, f"club setup {setting}", leads=True)
    assert shown.closing_moved == closes_at
    assert shown.next_at == closes_at
    assert (await day_on(story, MONDAY)).closes_at == closes_at
    await story.tick()
    key, _, mended = next(each for each in story.posts if each[1] == "mend")
    assert isinstance(mended, DayPosted)
    assert key == story.posts[0][0]
    assert (mended.day.date, mended.day.closes_at) == (MONDAY, closes_at)
    story.now = closes_at
    await story.tick()
    tuesday = await day_on(story, TUESDAY)
    assert (tuesday.due_at, (await day_on(story, MONDAY)).is_closed) == (closes_at, True)


async def test_a_post_time_moved_after_the_day_was_over_leaves_no_hole() -> None:
    story = await open_story(easy_puzzle(), crook_puzzle())
    story.now = NOON + DAY + HOUR / 60
    shown = await story.hears(ClubShown, "club setup post-time=18:00", leads=True)
    assert (shown.closing_moved, shown.next_at) == (None, story.now)
    closing, puzzle = await story.service.due(story.club, story.now)
    # The bot died between the two; once it is up again the second is still to be done.
    await story.service.carry_out(closing)
    assert await story.service.due(story.club, story.now) == (puzzle,)
    await story.later(minutes=5).tick()
    monday, tuesday = await day_on(story, MONDAY), await day_on(story, TUESDAY)
    assert monday.closes_at == tuesday.due_at == NOON + DAY
    assert tuesday.closes_at == NOON + 2 * DAY + 6 * HOUR


async def test_what_was_done_before_a_day_was_closed_at_once_is_for_that_day() -> None:
    story = await open_story(easy_puzzle(), crook_puzzle())
    story.now = NOON + 22 * HOUR
    await story.say("club setup post-time=09:00", leads=True)
    await story.tick()
    answer = EASY_SOLUTION[2::9] + EASY_SOLUTION[6::9]
    reply = await story.hears(AnswerRight, f"hand-in {answer}", at=NOON + 21.5 * HOUR)
    assert (reply.date, reply.is_late) == (MONDAY, False)


async def test_a_setting_that_moves_no_post_mends_nothing() -> None:
    story = await open_story(easy_puzzle())
    shown = await story.hears(ClubShown, "club setup wrong=90", leads=True)
    assert shown.closing_moved is None
    await story.tick()
    assert [audience for _, audience, _ in story.posts] == ["room"]


async def test_an_older_day_still_open_breaks_no_streak() -> None:
    story = await open_story(easy_puzzle(), crook_puzzle(), seventeen_puzzle())
    easy = EASY_SOLUTION[2::9] + EASY_SOLUTION[6::9]
    await story.hears(AnswerRight, f"hand-in {easy}")
    await story.later(days=1).tick()
    # Wednesday's goes up early, while Tuesday's is open for four hours more.
    await story.later(minutes=20 * 60).say("club post-now", leads=True)
    await story.tick()
    (row,) = (await story.hears(TableShown, "leaderboard")).table.rows
    assert row.streak == 1
    crook = CROOK_SOLUTION[9:18] + CROOK_SOLUTION[36:45]
    await story.hears(AnswerRight, f"hand-in {crook}")
    (row,) = (await story.hears(TableShown, "leaderboard")).table.rows
    assert row.streak == 2


WEEKS, MANY = 20, 200
SEEN: Counter[str] = Counter()


def law_of(examples: int) -> None:
    async def live(moves: dict[int, int]) -> None:
        story = await open_story(settings=settings_with(levels=(1,) * 7))
        for puzzle in puzzles():
            await story.store.save([SavePuzzle(puzzle, club_id=story.club.id, is_queued=True)])
        for hour in range(120):
            story.now = NOON + hour * HOUR
            if hour in moves:
                await story.say(f"club setup post-time={moves[hour]:02}:00", leads=True)
                SEEN["moved"] += 1
            await story.tick()
        days = await story.store.load_days(story.club.id)
        SEEN["days"] += len(days)
        first = days[0].date
        assert [day.date for day in days] == [first + number * DAY for number in range(len(days))]
        assert days[-1].date >= (NOON + 118 * HOUR).date() - DAY
        for before, after in pairwise(days):
            assert before.closes_at == after.due_at
            assert after.posted_at == after.due_at

    @settings(
        max_examples=examples,
        deadline=None,
        derandomize=True,
        database=None,
        suppress_health_check=list(HealthCheck),
    )
    # At the moment at which a day closes, before the next one is up; and back again.
    @example({1: 0, 108: 1})
    @example({1: 0, 108: 1, 109: 0})
    @given(st.dictionaries(st.integers(1, 118), st.integers(0, 23), min_size=1, max_size=5))
    def holds(moves: dict[int, int]) -> None:
        asyncio.run(live(moves))

    SEEN.clear()
    holds()
    print(f"\nmoved post times, {examples} weeks: {dict(SEEN)}")  # noqa: T201


def test_however_the_post_time_moves_days_follow_each_other_without_gap_or_overlap() -> None:
    law_of(WEEKS)
    assert SEEN["moved"] >= WEEKS, SEEN
    assert SEEN["days"] >= 4 * WEEKS, SEEN


@pytest.mark.long
def test_however_often_the_post_time_moves_days_follow_each_other() -> None:
    law_of(MANY)
    assert SEEN["days"] >= 4 * MANY, SEEN
