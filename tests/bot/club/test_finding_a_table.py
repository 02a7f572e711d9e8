"""A table can be found again once its week or month is over: by name, by `last`, step by step."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot import wording
from bot.club.clock import Period, period_of
from bot.club.facts import Table
from bot.club.periods import beside, format_period, parse_period, span_of
from bot.club.ports import Store
from bot.club.replies import AnswerRight, DayUnknown, ResultsPosted, TableShown
from bot.club.table import sum_up
from bot.platforms.message import Message
from tests.bot.club.stories import (
    CROOK_SOLUTION,
    DAY,
    EASY_SOLUTION,
    MONDAY,
    Story,
    crook_puzzle,
    easy_puzzle,
    open_story,
    seventeen_puzzle,
)


async def two_weeks(store: Store) -> Story:
    """Return a club on the Monday after a week in which Ada solved Monday's puzzle."""
    story = await open_story(easy_puzzle(), crook_puzzle(), seventeen_puzzle(), store=store)
    await story.say("start")
    await story.later(minutes=5).hears(AnswerRight, f"hand-in {EASY_SOLUTION}")
    await story.later(days=7, minutes=-5).tick()
    return story


def names_of(table: Table) -> list[tuple[str, int]]:
    return [(row.name, row.solved) for row in table.rows]


def commands_of(message: Message) -> dict[str, str]:
    return {button.label: button.command for button in message.buttons}


async def test_on_monday_last_weeks_table_is_found_in_every_way(store: Store) -> None:
    story = await two_weeks(store)
    empty = await story.hears(TableShown, "leaderboard week")
    assert (empty.table.first, empty.table.rows) == (MONDAY + 7 * DAY, ())
    step = commands_of(wording.phrase(empty))["Earlier"]
    results = wording.phrase(story.post_with(ResultsPosted))
    ways = ("leaderboard last", "leaderboard last week", "leaderboard 2026-W48", "table 2026-w48")
    for line in (*ways, step, commands_of(results)["The week's table"]):
        table = (await story.hears(TableShown, line)).table
        assert (table.period, table.first, names_of(table)) == ("week", MONDAY, [("Ada", 1)]), line


async def test_december_is_found_in_january(store: Store) -> None:
    story = await two_weeks(store)
    await story.say("start")
    await story.later(minutes=5).hears(AnswerRight, f"hand-in {CROOK_SOLUTION}")
    await story.later(days=32).tick()
    assert story.now.date() == date(2027, 1, 1)
    december = (await story.hears(TableShown, "leaderboard last month")).table
    assert (december.first, december.rows) == (date(2026, 12, 1), ())
    for line in ("leaderboard 2026-11", "leaderboard 2026-W48"):
        assert names_of((await story.hears(TableShown, line)).table)[0][0] == "Ada"
    november = await story.hears(TableShown, "leaderboard 2026-11")
    assert names_of(november.table) == [("Ada", 2)]
    assert commands_of(wording.phrase(november)) == {
        "Later": "leaderboard 2027-01",
        "This week": "leaderboard 2026-W53",
        "This month": "leaderboard 2027-01",
        "All time": "leaderboard all",
    }


async def test_a_date_is_that_days_table(store: Store) -> None:
    story = await two_weeks(store)
    shown = await story.hears(TableShown, "leaderboard 2026-11-23")
    assert (shown.table.period, shown.table.first) == ("day", MONDAY)
    assert names_of(shown.table) == [("Ada", 1)]
    assert commands_of(wording.phrase(shown))["Later"] == "leaderboard 2026-11-30"
    today = await story.hears(TableShown, "leaderboard today")
    assert (today.table.first, today.earlier, today.later) == (MONDAY + 7 * DAY, MONDAY, None)
    assert (await story.hears(DayUnknown, "leaderboard 2026-11-24")).date == MONDAY + DAY
    assert (await story.hears(DayUnknown, "leaderboard yesterday")).date == MONDAY + 6 * DAY


async def test_only_a_period_that_is_not_over_has_no_results_yet(store: Store) -> None:
    story = await two_weeks(store)
    for line, words in (
        ("leaderboard week", "The week of 30 November to 6 December 2026: no results yet."),
        ("leaderboard 2026-W47", "The week of 16 to 22 November 2026: no results."),
        ("leaderboard 2026-10", "The table for October 2026: no results."),
    ):
        assert wording.phrase(await story.hears(TableShown, line)).text == words


def test_steps_skip_what_has_no_puzzle_and_end_where_there_is_none() -> None:
    dates = [MONDAY - 40 * DAY, MONDAY, MONDAY + DAY, MONDAY + 50 * DAY]

    def found(
        period: Period, first: date | None, last: date | None
    ) -> tuple[date | None, date | None]:
        return beside(period, sum_up((), first, last, puzzle_dates=dates).dates)

    week = (date(2026, 10, 12), date(2027, 1, 11))
    assert found("week", MONDAY, MONDAY + 6 * DAY) == week
    assert found("day", MONDAY, MONDAY) == (MONDAY - 40 * DAY, MONDAY + DAY)
    assert found("month", date(2027, 1, 1), date(2027, 1, 31)) == (date(2026, 11, 1), None)
    assert found("all", None, None) == (None, None)


_PERIODS: st.SearchStrategy[Period] = st.sampled_from(["day", "week", "month"])
_DATES = st.dates(date(2000, 1, 3), date(2099, 12, 27))


@given(_PERIODS, _DATES)
def test_a_periods_name_is_read_as_that_period(period: Period, day: date) -> None:
    assert parse_period(format_period(period, day)) == (period, period_of(period, day)[0])


@given(_PERIODS, _DATES)
def test_the_period_before_ends_a_day_before_this_one(period: Period, day: date) -> None:
    assert span_of(period, day, ago=1)[1] == (span_of(period, day)[0] or day) - timedelta(days=1)


@pytest.mark.parametrize(
    "text", ["2026-W54", "2025-W53", "2026-W00", "2026-13", "2026-00", "2026-02-30", "26-12", "W48"]
)
def test_what_no_calendar_has_is_no_period(text: str) -> None:
    # ISO 8601: 2026 has 53 weeks, 2025 has 52 (facts.md lists the long years).
    with pytest.raises(ValueError, match=r"is no week|week|month|day"):
        parse_period(text)


def test_the_last_week_of_a_long_year_has_its_name() -> None:
    # ISO 8601: 1 January 2027 is in 2026-W53.
    assert format_period("week", date(2027, 1, 1)) == "2026-W53"
