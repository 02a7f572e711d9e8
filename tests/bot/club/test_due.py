"""What is due now: posting once per date, late the same day, skipping, closing, pausing."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest
from msgspec.structs import replace

from bot.club.clock import closing_of, scheduled_at
from bot.club.due import ClosingDue, PuzzleDue, days_ahead, early_puzzle, find_due, next_post_of
from bot.club.state import Club, Day
from tests.bot.club.stories import DAY, MINUTE, MONDAY, NOON, easy_puzzle, settings_with


def club_with(**changes: object) -> Club:
    return Club(1, "web", "maple", settings_with(**changes))


CLUB = club_with()


def day_of(club: Club, day: date, **changes: object) -> Day:
    settings = club.settings
    plain = Day(
        1,
        club.id,
        day,
        easy_puzzle(),
        ("row 1", "row 2"),
        False,
        scheduled_at(day, settings.post_time, settings.zone),
        closing_of(day, settings.post_time, settings.zone),
    )
    return replace(plain, **changes)


def dates_due(club: Club, days: list[Day], now: datetime) -> list[date]:
    return [due.date for due in find_due(club, days, now) if isinstance(due, PuzzleDue)]


def test_the_puzzle_is_due_from_its_time_on_and_once() -> None:
    assert dates_due(CLUB, [], NOON - timedelta(seconds=1)) == []
    assert dates_due(CLUB, [], NOON) == [MONDAY]
    assert dates_due(CLUB, [], NOON + 11 * 60 * MINUTE) == [MONDAY]
    assert dates_due(CLUB, [day_of(CLUB, MONDAY)], NOON + MINUTE) == []


def test_a_day_that_has_passed_is_skipped() -> None:
    # Down from before Monday noon until Tuesday at one in the night, and until Tuesday afternoon.
    assert dates_due(CLUB, [], NOON + timedelta(hours=13)) == []
    assert dates_due(CLUB, [], NOON + DAY + 3 * MINUTE) == [MONDAY + DAY]


def test_what_is_due_carries_the_schedules_times_not_the_moment_of_posting() -> None:
    (due,) = find_due(CLUB, [], NOON + 47 * MINUTE)
    assert due == PuzzleDue(CLUB, MONDAY, due_at=NOON, closes_at=NOON + DAY)


def test_a_day_closes_at_the_next_post_time_posted_or_not_and_before_the_next_goes_up() -> None:
    monday = day_of(CLUB, MONDAY)
    assert find_due(CLUB, [monday], NOON + DAY - timedelta(seconds=1)) == ()
    closing, puzzle = find_due(CLUB, [monday], NOON + DAY)
    assert closing == ClosingDue(CLUB, monday)
    assert isinstance(puzzle, PuzzleDue)
    assert dates_due(CLUB, [replace(monday, is_closed=True)], NOON + DAY) == [MONDAY + DAY]


def test_several_days_left_open_while_the_bot_was_down_all_close() -> None:
    days = [day_of(CLUB, MONDAY, id=1), day_of(CLUB, MONDAY + DAY, id=2)]
    due = find_due(CLUB, days, NOON + 5 * DAY)
    assert [each.day.id for each in due if isinstance(each, ClosingDue)] == [1, 2]


def test_a_paused_club_closes_but_does_not_post() -> None:
    paused = replace(CLUB, paused=True)
    due = find_due(paused, [day_of(CLUB, MONDAY)], NOON + DAY)
    assert [type(each) for each in due] == [ClosingDue]
    assert next_post_of(paused, [], NOON) is None


# Gaps and overlaps: IANA time zone database, as facts.md lists them.
@pytest.mark.parametrize(
    ("zone", "post_time", "day"),
    [
        ("Europe/London", "01:30", "2026-03-29"),
        ("Europe/London", "01:30", "2026-10-25"),
        ("Australia/Lord_Howe", "02:15", "2026-10-04"),
        ("Australia/Lord_Howe", "01:45", "2026-04-05"),
        ("America/Havana", "00:00", "2026-03-08"),
        ("America/Santiago", "00:00", "2026-09-06"),
        ("Asia/Kathmandu", "00:00", "2026-03-29"),
    ],
)
def test_each_date_is_posted_once_over_daylight_saving(zone: str, post_time: str, day: str) -> None:
    club = club_with(zone=zone, post_time=post_time)
    middle = date.fromisoformat(day)
    now = datetime(middle.year, middle.month, middle.day, tzinfo=UTC) - 2 * DAY
    days: list[Day] = []
    posted: list[date] = []
    for _ in range(4 * 24 * 4):
        for due in find_due(club, days, now):
            if isinstance(due, PuzzleDue):
                assert due.due_at <= now < due.closes_at
                posted.append(due.date)
                days.append(day_of(club, due.date))
            else:
                days = [replace(each, is_closed=each == due.day) for each in days]
                days = [each for each in days if not each.is_closed]
        now += 15 * MINUTE
    assert middle in posted
    assert posted == sorted(set(posted))
    assert posted == [posted[0] + number * DAY for number in range(len(posted))]


def test_posting_early_posts_todays_date_and_keeps_its_closing() -> None:
    morning = NOON - timedelta(hours=3)
    early = early_puzzle(CLUB, [], morning)
    assert early == PuzzleDue(CLUB, MONDAY, due_at=morning, closes_at=NOON + DAY)
    after = early_puzzle(CLUB, [], NOON + MINUTE)
    assert isinstance(after, PuzzleDue)
    assert after.due_at == NOON
    monday = day_of(CLUB, MONDAY)
    assert early_puzzle(CLUB, [monday], NOON + MINUTE) == monday
    # A later date that has its puzzle already says nothing of today's.
    later = day_of(CLUB, date(2036, 5, 1))
    assert early_puzzle(CLUB, [later], NOON + MINUTE) == after


def test_a_day_is_ahead_that_has_a_puzzle_before_its_time() -> None:
    days = [day_of(CLUB, MONDAY), day_of(CLUB, MONDAY + DAY), day_of(CLUB, date(2036, 5, 1))]
    assert days_ahead(CLUB, days, NOON - MINUTE) == tuple(days)
    assert days_ahead(CLUB, days, NOON) == tuple(days[1:])
    assert next_post_of(CLUB, days, NOON) == datetime(2036, 5, 2, 12, tzinfo=UTC)


def test_the_next_post_is_the_next_date_without_a_puzzle() -> None:
    assert next_post_of(CLUB, [], NOON - MINUTE) == NOON
    assert next_post_of(CLUB, [], NOON + MINUTE) == NOON + MINUTE
    assert next_post_of(CLUB, [day_of(CLUB, MONDAY)], NOON + MINUTE) == NOON + DAY
    posted_early = [day_of(CLUB, MONDAY, due_at=NOON - 60 * MINUTE)]
    assert next_post_of(CLUB, posted_early, NOON - 30 * MINUTE) == NOON + DAY
