"""A day whose post never went up gives its puzzle back, and what a leader was shown goes up."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from datetime import timedelta
from pathlib import Path

import pytest

from bot.club.due import PuzzleDue
from bot.club.ports import Store
from bot.club.replies import (
    DayPosted,
    InputRefused,
    PostAsked,
    PuzzlePreviewed,
    PuzzleQueued,
)
from bot.storage import SqliteStore, open_store
from tests.bot.club.stories import (
    CROOK,
    DAY,
    EASY,
    MONDAY,
    NOON,
    SEVENTEEN,
    crook_puzzle,
    easy_puzzle,
    open_story,
    settings_with,
    seventeen_puzzle,
)


@pytest.fixture
async def kept(tmp_path: Path) -> AsyncIterator[SqliteStore]:
    """The real store: the fake writes down no attempts."""
    async with open_store(tmp_path / "club.db") as opened:
        yield opened


async def test_a_queued_puzzle_that_never_went_up_is_queued_again(store: Store) -> None:
    story = await open_story(store=store)
    for line in (f"club queue {EASY} {MONDAY}", f"club queue {CROOK}"):
        await story.hears(PuzzleQueued, line, leads=True, at=NOON - timedelta(hours=1))
    await story.open_what_is_due()
    queue = await story.store.load_queue(story.club.id)
    assert [each.puzzle.givens for each in queue] == [CROOK]
    story.later(days=1)
    await story.open_what_is_due()
    queue = await story.store.load_queue(story.club.id)
    tuesday = await story.store.load_day(story.club.id, MONDAY + DAY)
    # In its place, ahead of what was queued later; Tuesday's was chosen as soon as it was back.
    assert tuesday is not None
    assert tuesday.puzzle.givens == EASY
    assert [each.puzzle.givens for each in queue] == [CROOK]
    await story.tick()
    assert story.post_with(DayPosted).day.givens == EASY


async def test_a_puzzle_of_the_stock_that_never_went_up_is_in_stock_and_can_be_queued(
    store: Store,
) -> None:
    story = await open_story(store=store, settings=settings_with(levels=(3,) * 7))
    await story.hears(PuzzleQueued, f"club queue {CROOK}", leads=True)
    await story.say("club queue remove 1", leads=True)
    await story.open_what_is_due()
    assert await story.store.load_stock(story.club.id) == ()
    await story.say("club pause", leads=True)
    story.club = (await story.store.load_clubs())[0]
    story.later(days=1)
    await story.open_what_is_due()
    assert [each.givens for each in await story.store.load_stock(story.club.id)] == [CROOK]
    await story.hears(PuzzleQueued, f"club queue {CROOK}", leads=True)


async def test_a_post_that_may_be_out_is_looked_for_before_its_puzzle_is_given_back(
    kept: SqliteStore,
) -> None:
    story = await open_story(store=kept)
    for givens in (EASY, CROOK, SEVENTEEN):
        await story.say(f"club queue {givens}", leads=True)
    await story.open_what_is_due()
    (monday,) = await kept.load_club_notices(story.club.id)
    assert await kept.begin_attempt(monday.id, story.now) is not None
    # The bot was down until Tuesday's puzzle was due: Monday's may have been seen.
    story.later(days=1)
    await story.open_what_is_due()
    days = await kept.load_days(story.club.id)
    assert [day.puzzle.givens for day in days] == [EASY, CROOK]
    assert not days[0].is_void
    again = await kept.begin_attempt(monday.id, story.now)
    assert again is not None
    assert (again.is_again, again.is_over) == (True, True)
    await kept.mark_sent(monday.id, "post 1", NOON)
    (found, _) = await kept.load_days(story.club.id)
    assert (found.posted_at, found.is_void) == (NOON, False)
    # There is something to say of it now: it is closed once more.
    await story.open_what_is_due()
    keys = [notice.key for notice in await kept.load_club_notices(story.club.id)]
    assert f"results:{story.club.id}:{MONDAY}" in keys


async def test_a_post_that_was_looked_for_in_vain_gives_its_puzzle_back(
    kept: SqliteStore,
) -> None:
    story = await open_story(store=kept)
    for givens in (EASY, CROOK, SEVENTEEN):
        await story.say(f"club queue {givens}", leads=True)
    await story.open_what_is_due()
    (monday,) = await kept.load_club_notices(story.club.id)
    await kept.begin_attempt(monday.id, story.now)
    await story.later(days=1).open_what_is_due()
    await kept.drop_notice(monday.id, story.now)
    queue = await kept.load_queue(story.club.id)
    assert [each.puzzle.givens for each in queue] == [EASY, SEVENTEEN]


async def test_post_now_that_reaches_us_on_the_next_date_is_refused() -> None:
    story = await open_story(settings=settings_with(post_time="18:00"))
    await story.say(f"club queue {EASY}", leads=True)
    evening = NOON + timedelta(hours=11, minutes=59)
    story.now = NOON + timedelta(hours=12, minutes=1)
    refused = await story.hears(InputRefused, "club post-now", leads=True, at=evening)
    assert (refused.problem, refused.text) == ("passed", MONDAY.isoformat())
    assert await story.store.load_days(story.club.id) == ()
    assert (await story.hears(PostAsked, "club post-now", leads=True)).date == MONDAY + DAY


@pytest.mark.parametrize("head_start", range(0, 24, 2))
async def test_a_swap_that_was_shown_is_what_goes_up(store: Store, head_start: int) -> None:
    story = await open_story(store=store, settings=settings_with(levels=(1,) * 7))
    for puzzle in (easy_puzzle(), seventeen_puzzle(), crook_puzzle()):
        await story.say(f"club queue {puzzle.givens}", leads=True)
    for _ in range(3):
        await story.say("club queue remove 1", leads=True)
    (due,) = await story.service.due(story.club, story.now)
    assert isinstance(due, PuzzleDue)

    async def swap() -> object:
        for _ in range(head_start):
            await asyncio.sleep(0)
        return await story.say("club swap", leads=True)

    _, shown = await asyncio.gather(story.service.carry_out(due), swap())
    await story.tick()
    assert isinstance(shown, PuzzlePreviewed), shown
    if shown.day.date == MONDAY:
        assert story.post_with(DayPosted).day.givens == shown.day.picture.givens
