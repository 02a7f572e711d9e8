"""Which dates the leader's queue takes: free ones to come, one after another."""

from __future__ import annotations

from datetime import timedelta

import pytest

from bot import wording
from bot.club.ports import SavePuzzle, Store
from bot.club.replies import (
    DaysPreviewed,
    InputRefused,
    PlanShown,
    PuzzleQueued,
    PuzzlesQueued,
    PuzzleUnqueued,
    QueueAsked,
    QueueShown,
    TodayShown,
)
from bot.club.state import DayWish
from tests.bot.club.stories import (
    CROOK,
    DAY,
    EASY,
    MONDAY,
    SEVENTEEN,
    Story,
    easy_puzzle,
    open_story,
    settings_with,
)
from tests.bot.club.test_leading_puzzles import stocked
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


WARM_UP = settings_with(
    levels=(2, 3, 3, 3, 3, 3, 3), wishes=(DayWish(theme="claiming"), *(DayWish(),) * 6)
)
"""Claiming at level 2 on Mondays, to warm up."""
NEXT_MONDAY = MONDAY + 7 * DAY


async def warm_up_story(store: Store) -> Story:
    """Return a club that has seen what it gets next Monday: a puzzle of level 2 with claiming."""
    story = await open_story(settings=WARM_UP, store=store)
    story.later(days=1)
    fitting = stocked(1, 2, "claiming")
    for each in (fitting, *(stocked(number, 3) for number in range(2, 9))):
        await store.save([SavePuzzle(each)])
    shown = await story.hears(DaysPreviewed, "club preview", leads=True)
    assert shown.days[-1].date == NEXT_MONDAY
    assert shown.days[-1].needs == ("claiming",)
    return story


async def test_a_puzzle_of_another_level_than_its_day_is_asked_about_first(store: Store) -> None:
    story = await warm_up_story(store)
    asked = await story.hears(QueueAsked, f"club queue {EASY} level=2 credit=Wren", leads=True)
    assert (asked.level, asked.wait_level, asked.landing.date) == (1, 2, NEXT_MONDAY)
    assert asked.landing.instead == (2, ("claiming",))
    told = wording.phrase(asked)
    for words in ("level 1", "Monday 30 November 2026", "level 2 and claiming", "(needs claiming)"):
        assert words in told.text
    assert (await story.hears(QueueShown, "club queue", leads=True)).waiting == ()
    shown = await story.hears(DaysPreviewed, "club preview", leads=True)
    assert shown.days[-1].needs == ("claiming",)
    # A press is the answer, and what was typed with the puzzle stays with it.
    line = told.buttons[0].command
    queued = await story.hears(PuzzleQueued, line, leads=True)
    assert (queued.wait_level, queued.credit, queued.place) == (2, "Wren", 1)
    assert (await story.hears(InputRefused, line, leads=True)).problem == "repeat-puzzle"
    shown = await story.hears(DaysPreviewed, "club preview", leads=True)
    assert (shown.days[-1].level, shown.days[-1].credit) == (1, "Wren")


async def test_a_level_that_only_a_plan_about_to_end_has_is_refused(store: Store) -> None:
    story = await open_story(settings=settings_with(levels=(3, 3, 3, 3, 3, 3, 2)), store=store)
    story.later(days=5)
    await story.hears(PlanShown, "club plan next level=4", leads=True)
    queued = await story.hears(PuzzleQueued, f"club queue {CROOK} level=2 sure", leads=True)
    assert queued.landing is not None
    await story.later(days=1).tick()  # Sunday, the last day of level 2
    refused = await story.hears(InputRefused, f"club queue {SEVENTEEN} level=2", leads=True)
    assert refused.problem == "no-day"


async def test_where_the_queue_has_all_days_of_the_level_it_is_asked_about_too(
    store: Store,
) -> None:
    settings = settings_with(levels=(2, 3, 3, 3, 3, 3, 3))
    story = await open_story(settings=settings, store=store)
    for number in range(1, 10):
        puzzle = stocked(number, 2)
        await store.save([SavePuzzle(puzzle, story.club.id, is_queued=True, level=2)])
    asked = await story.hears(QueueAsked, f"club queue {CROOK} level=2", leads=True)
    assert asked.landing is None


async def test_the_word_sure_in_the_line_queues_it_at_once(store: Store) -> None:
    story = await warm_up_story(store)
    line = f"club queue {EASY} level=2 sure credit=Not sure"
    assert (await story.hears(PuzzleQueued, line, leads=True)).credit == "Not sure"


async def test_of_several_those_of_another_level_wait_for_an_answer(store: Store) -> None:
    story = await warm_up_story(store)
    fields = {"grid": f"{EASY}\n{SEVENTEEN}", "date": "2", "credit": "Wren"}
    reply = await story.hears(PuzzlesQueued, "club queue", leads=True, fields=fields)
    assert [type(each) for each in reply.outcomes] == [QueueAsked, QueueAsked]
    told = wording.phrase(reply)
    lines = [each.command for each in told.buttons if each.command.endswith(" sure")]
    assert len(lines) == 2
    for line in lines:
        assert (await story.hears(PuzzleQueued, line, leads=True)).credit == "Wren"


async def test_a_queued_puzzle_tells_its_day_and_what_it_is_not_of_the_plan(store: Store) -> None:
    story = await warm_up_story(store)
    queued = await story.hears(PuzzleQueued, f"club queue {CROOK} 2026-11-30", leads=True)
    assert queued.landing is not None
    assert queued.landing.misses == ("level", "theme")
    assert queued.landing.instead == (2, ("claiming",))
    assert "The plan for that day is level 2 and claiming." in wording.phrase(queued).text
    fitting = await story.hears(PuzzleQueued, f"club queue {SEVENTEEN}", leads=True)
    assert fitting.landing is not None
    assert fitting.landing.date == MONDAY + DAY


async def test_a_credit_is_kept_when_a_puzzle_is_taken_out_and_queued_again(store: Store) -> None:
    story = await open_story(settings=settings_with(levels=(3,) * 7), store=store)

    async def queue(line: str) -> str:
        queued = await story.hears(PuzzleQueued, f"club queue {CROOK} {line}", leads=True)
        (shown,) = (await story.hears(QueueShown, "club queue", leads=True)).waiting
        assert shown.credit == queued.credit
        await story.hears(PuzzleUnqueued, "club queue remove 1", leads=True)
        return queued.credit

    assert await queue("") == ""
    assert await queue("credit=J. F. Crook") == "J. F. Crook"
    assert await queue("") == "J. F. Crook"
    assert await queue("credit=Wren") == "Wren"
