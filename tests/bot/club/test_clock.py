"""The club's calendar: post times over daylight saving, closings, ISO weeks, months."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.club.clock import (
    closing_of,
    is_date_of_zone,
    next_date,
    next_post_after,
    parse_post_time,
    period_of,
    puzzle_date_at,
    scheduled_at,
    whole_seconds,
)


def utc(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


# Source of the gaps and overlaps: the IANA time zone database, as facts.md lists them.
@pytest.mark.parametrize(
    ("day", "post_time", "zone", "expected"),
    [
        ("2026-03-28", "01:30", "Europe/London", "2026-03-28 01:30"),
        ("2026-03-29", "01:30", "Europe/London", "2026-03-29 01:30"),  # missing: 02:30 there
        ("2026-03-29", "18:00", "Europe/London", "2026-03-29 17:00"),
        ("2026-10-25", "01:30", "Europe/London", "2026-10-25 00:30"),  # twice: the first
        ("2026-10-25", "18:00", "Europe/London", "2026-10-25 18:00"),
        ("2026-10-04", "02:15", "Australia/Lord_Howe", "2026-10-03 15:45"),  # half an hour is gone
        ("2026-04-05", "01:45", "Australia/Lord_Howe", "2026-04-04 14:45"),  # twice: the first
        ("2026-03-08", "00:00", "America/Havana", "2026-03-08 05:00"),  # midnight is missing
        ("2026-09-06", "00:00", "America/Santiago", "2026-09-06 04:00"),
        ("2026-03-28", "23:30", "America/Nuuk", "2026-03-29 00:30"),  # the hour to midnight is
        ("2026-03-28", "22:59", "America/Nuuk", "2026-03-29 00:59"),  # missing: 22:30 there
        ("2026-03-29", "00:00", "America/Nuuk", "2026-03-29 01:00"),
        ("2026-03-29", "00:30", "Asia/Kathmandu", "2026-03-28 18:45"),
    ],
)
def test_a_post_time_comes_once_on_each_date(
    day: str, post_time: str, zone: str, expected: str
) -> None:
    found = scheduled_at(date.fromisoformat(day), post_time, zone)
    assert found == utc(expected)
    assert puzzle_date_at(found, post_time, zone) == date.fromisoformat(day)


ZONES = (
    "Europe/London",
    "Australia/Lord_Howe",
    "America/Havana",
    "America/Santiago",
    "America/Nuuk",
    "Asia/Kathmandu",
    "Pacific/Apia",
)


@given(
    st.dates(date(2011, 12, 20), date(2027, 1, 5)),
    st.sampled_from(ZONES),
    st.integers(0, 24 * 60 - 1),
)
def test_a_day_is_open_from_its_post_to_the_next_and_no_moment_is_left_out(
    day: date, zone: str, minute: int
) -> None:
    post_time = f"{minute // 60:02}:{minute % 60:02}"
    if not is_date_of_zone(day, zone):
        return
    opens, closes = scheduled_at(day, post_time, zone), closing_of(day, post_time, zone)
    assert timedelta(hours=22) <= closes - opens <= timedelta(hours=26)
    assert puzzle_date_at(opens, post_time, zone) == day
    assert puzzle_date_at(closes - timedelta(seconds=1), post_time, zone) == day
    assert puzzle_date_at(closes, post_time, zone) == next_date(day, zone)
    assert next_post_after(opens, post_time, zone) == closes


def test_the_date_that_samoa_left_out_has_no_puzzle() -> None:
    # IANA time zone database: Pacific/Apia has no 2011-12-30.
    assert not is_date_of_zone(date(2011, 12, 30), "Pacific/Apia")
    assert next_date(date(2011, 12, 29), "Pacific/Apia") == date(2011, 12, 31)
    opens = scheduled_at(date(2011, 12, 29), "18:00", "Pacific/Apia")
    assert closing_of(date(2011, 12, 29), "18:00", "Pacific/Apia") - opens == timedelta(days=1)


# ISO 8601 weeks, as facts.md lists them.
@pytest.mark.parametrize(
    ("day", "week", "weekday"),
    [
        ("2005-01-01", "2004-W53", 6),
        ("2008-12-29", "2009-W01", 1),
        ("2010-01-03", "2009-W53", 7),
        ("2026-12-31", "2026-W53", 4),
        ("2027-01-04", "2027-W01", 1),
    ],
)
def test_a_week_runs_from_its_iso_monday_to_its_sunday(day: str, week: str, weekday: int) -> None:
    wanted = date.fromisoformat(day)
    first, last = period_of("week", wanted)
    assert first is not None
    assert last is not None
    assert first == wanted - timedelta(days=weekday - 1)
    assert last - first == timedelta(days=6)
    for each in (first, wanted, last):
        year, number, _ = each.isocalendar()
        assert f"{year}-W{number:02}" == week


def test_years_with_53_weeks_are_those_of_the_standard() -> None:
    # ISO 8601: 53-week years 2000 to 2040.
    long_years = [
        year
        for year in range(2000, 2041)
        if period_of("week", date(year, 12, 28))[0] == date.fromisocalendar(year, 52, 1) + WEEK
    ]
    assert long_years == [2004, 2009, 2015, 2020, 2026, 2032, 2037]


WEEK = timedelta(days=7)


def test_a_month_runs_from_its_first_to_its_last_day() -> None:
    assert period_of("month", date(2026, 2, 14)) == (date(2026, 2, 1), date(2026, 2, 28))
    assert period_of("month", date(2028, 2, 29)) == (date(2028, 2, 1), date(2028, 2, 29))
    assert period_of("month", date(2026, 12, 31)) == (date(2026, 12, 1), date(2026, 12, 31))
    assert period_of("all", date(2026, 12, 31)) == (None, None)


@pytest.mark.parametrize(
    "text", ["18", "25:00", "18:60", "6 pm", "18:0", "", ":", "-1:00", "1²:00"]
)
def test_what_is_no_time_of_day_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match=r"."):
        parse_post_time(text)


def test_seconds_are_whole_and_never_negative() -> None:
    noon = utc("2026-11-23 12:00")
    assert whole_seconds(noon, noon + timedelta(seconds=61, milliseconds=999)) == 61
    assert whole_seconds(noon, noon - timedelta(seconds=5)) == 0
