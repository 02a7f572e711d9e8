"""Taking back a day that went up before its time, through the service, on the fake store and on
SQLite.
"""

from __future__ import annotations

from collections.abc import AsyncIterator
from datetime import date, timedelta
from pathlib import Path

import pytest

from bot.club.due import PuzzleDue
from bot.club.plan import DayPlan
from bot.club.ports import SavePuzzle, Store
from bot.club.replies import (
    AnswerRight,
    ClockStarted,
    ClubShown,
    DayPosted,
    DayWithdrawn,
    InputRefused,
    LeadersOnly,
    MemberSolved,
    NoPuzzleOpen,
    PostAsked,
    PostWithdrawn,
    PuzzleQueued,
    ResultsPosted,
    TableShown,
    WalkthroughPosted,
    WithdrawalAsked,
)
from bot.club.state import Puzzle
from tests.bot.club.stories import (
    CROOK,
    DAY,
    EASY,
    EASY_SOLUTION,
    MINUTE,
    MONDAY,
    NOON,
    AtOnce,
    Story,
    crook_puzzle,
    easy_puzzle,
    open_story,
    seventeen_puzzle,
)
from tests.bot.storage.kinds import KINDS, open_kind
from tests.bot.storage.samples import entries_of

FAR_DAY = date(2036, 5, 1)


@pytest.fixture(params=KINDS)
async def store(request: pytest.FixtureRequest, tmp_path: Path) -> AsyncIterator[Store]:
    async with open_kind(request.param, tmp_path) as opened:
        yield opened


async def post_from_the_future(story: Story, day: date = FAR_DAY) -> None:
    """Let a clock that is years ahead post a day, as one did that stood for a while."""
    right, story.now = story.now, NOON + (day - MONDAY)
    for due in await story.service.due(story.club, story.now):
        if isinstance(due, PuzzleDue):
            await story.service.carry_out(due)
    story.now = right
    for notice in await story.store.load_notices():
        await story._send(notice)


async def test_a_day_that_a_wrong_clock_posted_is_taken_back_and_the_club_goes_on(
    store: Store,
) -> None:
    story = await open_story(easy_puzzle(), crook_puzzle(), seventeen_puzzle(), store=store)
    await post_from_the_future(story)
    await story.later(days=1).tick()
    assert [key for key, _, reply in story.posts if isinstance(reply, DayPosted)] == [
        f"day:{story.club.id}:2026-11-23",
        f"day:{story.club.id}:2036-05-01",
        f"day:{story.club.id}:2026-11-23",  # Monday's, mended when it closed
    ]
    shown = await story.hears(ClubShown, "club setup", leads=True)
    assert shown.ahead == FAR_DAY
    taken = await story.hears(DayWithdrawn, "club withdraw", leads=True)
    assert (taken.date, taken.members, taken.next_at) == (FAR_DAY, 0, story.now)
    await story.tick()
    key, way, said = next(post for post in story.posts if isinstance(post[2], PostWithdrawn))
    assert (key, way, said) == (
        f"day:{story.club.id}:2036-05-01",
        "mend",
        PostWithdrawn(date=FAR_DAY),
    )
    posted = story.post_with(DayPosted)
    assert (posted.day.date, posted.is_closed) == (MONDAY + DAY, False)
    assert (await story.hears(ClubShown, "club setup", leads=True)).ahead is None
    for number in (2, 3):
        await story.later(days=1).tick()
        assert await store.load_day(story.club.id, MONDAY + number * DAY) is None  # nothing left


async def test_post_now_posts_today_though_a_later_day_is_up_and_tells_of_it(store: Store) -> None:
    story = await open_story(easy_puzzle(), crook_puzzle(), seventeen_puzzle(), store=store)
    await post_from_the_future(story)
    story.later(days=1, minutes=5)
    assert await story.hears(PostAsked, "club post-now", leads=True) == PostAsked(
        date=MONDAY + DAY, already=False, ahead=FAR_DAY
    )
    await story.tick()
    assert await story.hears(PostAsked, "club post-now", leads=True) == PostAsked(
        date=MONDAY + DAY, already=True, ahead=FAR_DAY
    )


async def test_post_now_never_says_that_a_puzzle_is_up_that_only_waits_to_be_sent(
    store: Store,
) -> None:
    story = await open_story(easy_puzzle(), crook_puzzle(), store=store)
    story.later(days=1)
    for due in await story.service.due(story.club, story.now):
        await story.service.carry_out(due)
    asked = await story.hears(PostAsked, "club post-now", leads=True)
    assert (asked.already, asked.waiting) == (False, True)
    await story.tick()
    asked = await story.hears(PostAsked, "club post-now", leads=True)
    assert (asked.already, asked.waiting) == (True, False)


async def test_a_day_posted_by_hand_too_soon_is_taken_back_and_another_comes_at_its_time(
    store: Store,
) -> None:
    story = await open_story(easy_puzzle(), crook_puzzle(), seventeen_puzzle(), store=store)
    story.now = NOON + DAY - timedelta(hours=4)
    await story.hears(PostAsked, "club post-now", leads=True)
    await story.tick()
    assert story.post_with(DayPosted).day.givens == CROOK
    taken = await story.hears(DayWithdrawn, "club withdraw 2026-11-24", leads=True)
    assert (taken.date, taken.next_at) == (MONDAY + DAY, NOON + DAY)
    # Monday's puzzle is open again as it was.
    started = await story.hears(ClockStarted, "start")
    assert started.day.givens == EASY
    await story.tick()
    story.now = NOON + DAY
    await story.tick()
    posted = story.post_with(DayPosted)
    assert (posted.day.date, posted.day.givens) == (MONDAY + DAY, seventeen_puzzle().givens)
    key, way, _ = next(post for post in story.posts if post[2] is posted)
    assert (key, way) == (f"day:{story.club.id}:2026-11-24/2", "room")
    kept = await store.load_day(story.club.id, MONDAY + DAY)
    assert kept is not None
    assert (kept.posted_at, kept.edition) == (NOON + DAY, 2)
    # It closes as any other, each of its lines once.
    await story.later(days=1).tick()
    assert [reply.date for _, _, reply in story.posts if isinstance(reply, ResultsPosted)] == [
        MONDAY,
        MONDAY + DAY,
    ]
    assert story.post_with(WalkthroughPosted).givens == seventeen_puzzle().givens


async def test_what_members_did_is_asked_about_before_it_goes(store: Store) -> None:
    story = await open_story(easy_puzzle(), store=store)
    await story.store.save([SavePuzzle(crook_puzzle(), club_id=story.club.id, is_queued=True)])
    story.now = NOON + DAY - timedelta(hours=4)
    await story.hears(PostAsked, "club post-now", leads=True)
    await story.tick()
    await story.hears(ClockStarted, "start")
    await story.hears(ClockStarted, "start", by="ben")
    asked = await story.hears(WithdrawalAsked, "club withdraw", leads=True)
    assert (asked.date, asked.members) == (MONDAY + DAY, 2)
    assert await store.load_day(story.club.id, MONDAY + DAY) is not None
    taken = await story.hears(DayWithdrawn, "club withdraw 2026-11-24 sure", leads=True)
    assert taken.members == 2
    assert await store.load_day(story.club.id, MONDAY + DAY) is None
    assert await entries_of(store, story.club, "ada") == ()


async def test_results_of_other_days_stay(store: Store) -> None:
    story = await open_story(easy_puzzle(), crook_puzzle(), store=store)
    key = EASY_SOLUTION[2::9] + EASY_SOLUTION[6::9]
    await story.later(minutes=9).hears(AnswerRight, f"hand-in {key}")
    await story.tick()
    assert story.post_with(MemberSolved).rank == 1
    await post_from_the_future(story)
    await story.hears(DayWithdrawn, "club withdraw", leads=True)
    table = await story.hears(TableShown, "leaderboard all")
    assert [row.name for row in table.table.rows] == ["Ada"]


async def test_a_puzzle_taken_back_comes_again_only_if_a_leader_queues_it(store: Store) -> None:
    story = await open_story(easy_puzzle(), crook_puzzle(), store=store)
    await post_from_the_future(story)
    assert story.post_with(DayPosted).day.givens == CROOK
    await story.hears(DayWithdrawn, "club withdraw", leads=True)
    assert await store.load_stock(story.club.id) == ()
    story.later(days=1)
    await story.tick()
    assert await store.load_day(story.club.id, MONDAY + DAY) is None
    await story.hears(PuzzleQueued, f"club queue {CROOK}", leads=True)
    await story.tick()
    assert story.post_with(DayPosted).day.givens == CROOK


class Making(AtOnce):
    """Makes the same puzzle for every seed, but for the last one."""

    async def make_puzzle(self, entry: DayPlan, seed: int) -> Puzzle | None:
        return crook_puzzle()


async def test_what_was_taken_back_is_not_made_again_on_the_spot(store: Store) -> None:
    story = await open_story(easy_puzzle(), crook_puzzle(), store=store, source=Making())  # type: ignore[arg-type]
    await post_from_the_future(story)
    await story.hears(DayWithdrawn, "club withdraw", leads=True)
    await story.later(days=1).tick()
    assert await store.load_day(story.club.id, MONDAY + DAY) is None


@pytest.mark.parametrize(
    "line", ["club withdraw", "club withdraw 2026-11-23", "club withdraw sure"]
)
async def test_a_day_that_went_up_at_its_time_stays(line: str) -> None:
    story = await open_story(easy_puzzle())
    refused = await story.hears(InputRefused, line, leads=True)
    assert (refused.problem, refused.found) == ("not-early", 0)
    assert await story.store.load_day(story.club.id, MONDAY) is not None


async def test_where_several_are_up_too_early_the_date_is_asked_for() -> None:
    story = await open_story(easy_puzzle(), crook_puzzle(), seventeen_puzzle())
    await post_from_the_future(story)
    await post_from_the_future(story, FAR_DAY + DAY)
    refused = await story.hears(InputRefused, "club withdraw", leads=True)
    assert (refused.found, refused.text) == (2, "2036-05-01, 2036-05-02")
    await story.hears(DayWithdrawn, "club withdraw 2036-05-02", leads=True)
    await story.hears(DayWithdrawn, "club withdraw", leads=True)
    assert len(await story.store.load_days(story.club.id)) == 1


async def test_only_leaders_take_a_day_back() -> None:
    story = await open_story(easy_puzzle(), crook_puzzle())
    await post_from_the_future(story)
    assert await story.say("club withdraw") == LeadersOnly(command="club withdraw")
    assert await story.store.load_day(story.club.id, FAR_DAY) is not None


async def test_withdrawing_again_by_the_same_event_says_the_same(store: Store) -> None:
    story = await open_story(easy_puzzle(), crook_puzzle(), store=store)
    await post_from_the_future(story)
    first = await story.say("club withdraw", leads=True, event_id="once")
    assert isinstance(first, DayWithdrawn)
    assert await story.say("club withdraw", leads=True, event_id="once") == first


async def test_with_nothing_else_open_there_is_no_puzzle_after_a_withdrawal() -> None:
    story = await open_story()
    await story.store.save([SavePuzzle(easy_puzzle(), club_id=story.club.id, is_queued=True)])
    story.now = NOON - 5 * MINUTE
    await story.hears(PostAsked, "club post-now", leads=True)
    await story.tick()
    await story.hears(DayWithdrawn, "club withdraw", leads=True)
    assert (await story.hears(NoPuzzleOpen, "start")).next_at == NOON
