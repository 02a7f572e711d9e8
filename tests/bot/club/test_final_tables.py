"""The table of a week or month goes up by itself once it is over, and what comes later mends it."""

from __future__ import annotations

from datetime import date

import pytest

from bot import wording
from bot.club.facts import Praise
from bot.club.final_tables import praise_of
from bot.club.ports import Store
from bot.club.replies import AnswerRight, PeriodEnded, Reply
from bot.club.state import Result
from bot.club.table import sum_up, table_of
from tests.bot.club.stories import (
    CROOK_SOLUTION,
    DAY,
    EASY_SOLUTION,
    MINUTE,
    MONDAY,
    SEVENTEEN_SOLUTION,
    Story,
    crook_puzzle,
    easy_puzzle,
    open_story,
    seventeen_puzzle,
)

SUNDAY = MONDAY + 6 * DAY


async def on_sunday(store: Store) -> Story:
    """Return a club on Sunday noon: Ada and Ben solved Monday's puzzle, and Sunday's is up."""
    story = await open_story(easy_puzzle(), crook_puzzle(), seventeen_puzzle(), store=store)
    await story.say("start")
    await story.say("start", by="ben")
    await story.later(minutes=5).hears(AnswerRight, f"hand-in {EASY_SOLUTION}")
    await story.later(minutes=5).hears(AnswerRight, f"hand-in {EASY_SOLUTION}", by="ben")
    await story.later(days=6, minutes=-10).tick()
    return story


def tables_in(story: Story) -> list[tuple[str, str, PeriodEnded]]:
    posts: list[tuple[str, str, Reply]] = story.posts
    return [(key, way, reply) for key, way, reply in posts if isinstance(reply, PeriodEnded)]


def rows_of(reply: PeriodEnded) -> list[tuple[int, str, int]]:
    return [(row.rank, row.name, row.solved) for row in reply.table.rows]


async def test_the_weeks_table_goes_up_when_its_last_day_closes_and_only_once(store: Store) -> None:
    story = await on_sunday(store)
    await story.say("start")
    await story.later(minutes=9).hears(AnswerRight, f"hand-in {CROOK_SOLUTION}")
    assert tables_in(story) == []
    await story.later(days=1, minutes=-9).tick()
    ((key, way, week),) = tables_in(story)
    assert (key, way) == (f"week:{story.club.id}:2026-W48", "room")
    assert rows_of(week) == [(1, "Ada", 2), (2, "Ben", 1)]
    assert (week.table.first, week.table.last, week.is_mended) == (MONDAY, SUNDAY, False)
    kinds = [type(reply).__name__ for _, _, reply in story.posts[-5:]]
    assert kinds.index("PeriodEnded") > kinds.index("ResultsPosted")
    said = wording.phrase(week)
    assert said.text.startswith(
        "The week of 23 to 29 November 2026 is over. This is the final table.\n\n1. Ada: 2 solved, "
    )
    assert week.picture is not None
    await story.later(days=1).tick()
    await story.later(days=1).tick()
    keys = [key for key, _, _ in tables_in(story)]
    assert keys == [key, f"month:{story.club.id}:2026-11"]


async def test_the_months_table_goes_up_when_its_last_day_closes(store: Store) -> None:
    story = await on_sunday(store)
    await story.later(days=1).tick()  # Monday 30 November: the week is over, the month is not
    await story.say("start", by="ben")
    await story.later(minutes=5).hears(AnswerRight, f"hand-in {SEVENTEEN_SOLUTION}", by="ben")
    await story.later(days=1, minutes=-5).tick()
    (_, (key, _, month)) = tables_in(story)
    assert key == f"month:{story.club.id}:2026-11"
    assert rows_of(month) == [(1, "Ben", 2), (2, "Ada", 1)]
    assert wording.phrase(month).text.startswith("November 2026 is over. This is the final table.")


async def test_a_week_whose_last_dates_had_no_puzzle_is_told_when_the_next_one_goes_up(
    store: Store,
) -> None:
    story = await open_story(easy_puzzle(), store=store)
    await story.say("start")
    await story.later(minutes=5).hears(AnswerRight, f"hand-in {EASY_SOLUTION}")
    await story.later(days=1, minutes=-5).tick()  # Monday's closes, and the queue is empty
    await story.later(days=4).tick()
    assert tables_in(story) == []
    await story.later(days=1).tick()
    await story.say(f"club queue {crook_puzzle().givens}", leads=True)
    await story.later(days=1).tick()
    ((_, _, week),) = tables_in(story)
    assert rows_of(week) == [(1, "Ada", 1)]


async def test_a_week_without_any_result_is_passed_over(store: Store) -> None:
    story = await open_story(easy_puzzle(), crook_puzzle(), store=store)
    await story.later(days=6).tick()
    await story.later(days=1).tick()
    await story.later(days=1).tick()
    assert tables_in(story) == []


async def test_an_answer_of_before_the_closing_that_comes_after_it_mends_the_table(
    store: Store,
) -> None:
    story = await on_sunday(store)
    await story.say("start", by="ben")
    await story.later(days=1).tick()
    await story.later(minutes=1).hears(
        AnswerRight, f"hand-in {CROOK_SOLUTION}", by="ben", at=story.now - 2 * MINUTE
    )
    await story.tick()
    (first, (key, way, mended)) = tables_in(story)
    assert (key, way, mended.is_mended) == (first[0], "mend", True)
    assert rows_of(mended) == [(1, "Ben", 2), (2, "Ada", 1)]
    assert mended.table.rows[0].streak == 2
    assert "It has changed since it first went up." in wording.phrase(mended).text


async def test_an_answer_of_after_the_closing_changes_no_final_table(store: Store) -> None:
    story = await on_sunday(store)
    await story.say("start", by="ben")
    await story.later(days=1).tick()
    late = await story.later(minutes=1).hears(
        AnswerRight, f"hand-in {CROOK_SOLUTION} {SUNDAY}", by="ben"
    )
    assert late.is_late
    await story.tick()
    assert len(tables_in(story)) == 1


async def test_a_hint_of_before_the_answer_that_comes_after_the_closing_mends_the_table(
    store: Store,
) -> None:
    story = await on_sunday(store)
    await story.say("start")
    hinted = story.now + MINUTE
    await story.later(minutes=9).hears(AnswerRight, f"hand-in {CROOK_SOLUTION}")
    await story.later(days=1, minutes=-9).tick()
    await story.say(f"hint board {SUNDAY}", at=hinted)
    await story.tick()
    (_, _, before), (_, _, after) = tables_in(story)
    assert [row.hints for row in before.table.rows] == [0, 0]
    assert [row.hints for row in after.table.rows] == [1, 0]


async def test_a_ruling_mends_the_final_table(store: Store) -> None:
    story = await on_sunday(store)
    await story.later(days=1).tick()
    await story.say("club result ada unrank 2026-11-23 pasted", leads=True)
    await story.tick()
    assert [rows_of(reply) for _, _, reply in tables_in(story)] == [
        [(1, "Ada", 1), (2, "Ben", 1)],
        [(1, "Ben", 1)],
    ]


async def test_an_erased_member_is_named_in_no_final_table(store: Store) -> None:
    story = await on_sunday(store)
    await story.later(days=1).tick()
    await story.say("privacy erase sure")
    await story.tick()
    (_, (_, way, mended)) = tables_in(story)
    assert way == "mend"
    assert [row.name for row in mended.table.rows] == ["", "Ben"]
    assert "Ada" not in wording.phrase(mended).text


async def test_a_week_in_which_all_is_taken_out_says_that_nothing_is_left(store: Store) -> None:
    story = await on_sunday(store)
    await story.later(days=1).tick()
    for who in ("ada", "ben"):
        await story.say(f"club result {who} unrank 2026-11-23 pasted", leads=True)
    await story.tick()
    (_, (_, _, mended)) = tables_in(story)
    assert (mended.table.rows, mended.picture) == ((), None)
    assert "There are no results left." in wording.phrase(mended).text


async def test_the_table_and_the_closing_are_one_save(store: Store) -> None:
    story = await on_sunday(store)
    story.later(days=1)
    (closing, opening) = await story.service.due(story.club, story.now)
    await story.service.carry_out(closing)
    sunday = await store.load_day(story.club.id, SUNDAY)
    assert sunday is not None
    assert sunday.is_closed
    keys = [notice.key for notice in await store.load_notices()]
    assert keys.count(f"week:{story.club.id}:2026-W48") == 1
    await story.service.carry_out(closing)  # done again, as after a crash: nothing is said twice
    await story.service.carry_out(opening)
    await story.tick()
    assert len(tables_in(story)) == 1


def result(
    name: str, number: int, *, level: int = 1, hints: int = 0, adjusted: int = 100
) -> Result:
    day = MONDAY + number * DAY
    return Result(ord(name[0]), name, day, level, adjusted, 0, hints, 0, False, "ranked")


@pytest.mark.parametrize(
    ("results", "praise"),
    [
        ([], None),
        # Against the average of the five before: 300, then 240.
        ([*(result("Ada", number, adjusted=300) for number in range(-5, 0)),
          *(result("Ada", number, adjusted=240) for number in range(3)),
          result("Ben", -1), result("Ben", 1, level=3)], Praise("improved", ("Ada",))),
        ([result("Ada", -1), result("Ada", 1, level=2), result("Ben", -1, level=2),
          result("Ben", 2, level=3), result("Cat", 1, level=3)],
         Praise("level", ("Ben",), level=3)),
        ([result("Ada", -1), result("Ada", 1), result("Ben", 1)], Praise("new", ("Ben",))),
        # In a club's first week all are new, so that says nothing.
        ([result("Ada", 0, hints=3), result("Ada", 1), result("Ben", 0, hints=1),
          result("Ben", 1)], Praise("hints", ("Ben",), hints=1, solved=2)),
        # One puzzle of four without a hint is less than four with one.
        ([*(result("Ada", number, hints=number // 3) for number in range(4)), result("Ben", 0)],
         Praise("hints", ("Ada",), hints=1, solved=4)),
        ([result(name, 0) for name in ("Ada", "Ben", "Cat", "Dan")], None),
    ],
)  # fmt: skip
def test_the_best_of_a_week_is_said_of_whom_it_is_true(
    results: list[Result], praise: Praise | None
) -> None:
    standing = sum_up(results, MONDAY, SUNDAY)
    assert praise_of(table_of("Maple", "week", standing), standing) == praise


def test_what_comes_after_a_week_is_no_part_of_its_praise() -> None:
    week = [result("Ada", -1), result("Ada", 1, level=2)]
    later = [result("Ada", 8, level=4), result("Eve", 9)]
    standing = sum_up(week + later, MONDAY, SUNDAY)
    table = table_of("Maple", "week", standing)
    assert praise_of(table, standing) == Praise("level", ("Ada",), level=2)
    assert table.last == date(2026, 11, 29)
