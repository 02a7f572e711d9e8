"""Every zone of the IANA database: one post on each local date, whatever the clocks do.

The zones come from the system's database or from the `tzdata` package; what is due is asked from
post to post, as the loop does. How many dates were asked is printed.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo, available_timezones

import pytest

from bot.club.clock import is_date_of_zone, local_date, next_post_after
from bot.club.due import PuzzleDue, find_due
from bot.club.state import Club, Day
from tests.bot.club.stories import DAY, easy_puzzle, settings_with

ZONES = sorted(available_timezones())
AROUND = 3
"""So many days on both sides of a change are asked in the default run."""


def changes(zone: str, year: int) -> Iterator[date]:
    """Yield the dates of a year on which the zone's offset changes."""
    tz = ZoneInfo(zone)
    before = datetime(year, 1, 1, tzinfo=tz).utcoffset()
    for number in range(1, 366):
        day = date(year, 1, 1) + number * DAY
        offset = datetime.combine(day, time(), tz).utcoffset()
        if offset != before:
            yield day - DAY
        before = offset


def dates_of(zone: str, first: date, last: date) -> list[date]:
    days = [first + number * DAY for number in range((last - first).days + 1)]
    return [day for day in days if is_date_of_zone(day, zone)]


def posts(zone: str, post_time: str, first: date, last: date) -> list[date]:
    """Go from post time to post time, do what is due, and return the dates that got a puzzle."""
    club = Club(1, "web", "maple", settings_with(zone=zone, post_time=post_time))
    posted: list[date] = []
    days: tuple[Day, ...] = ()
    at = next_post_after(datetime.combine(first, time(), UTC) - 2 * DAY, post_time, zone)
    while local_date(at, zone) <= last:
        for due in find_due(club, days, at):
            if isinstance(due, PuzzleDue):
                assert due.due_at <= at < due.closes_at
                assert due.date == local_date(at, zone)
                posted.append(due.date)
                days = (
                    Day(
                        1, 1, due.date, easy_puzzle(), ("row 1", "row 2"), False,
                        due.due_at, due.closes_at, is_closed=True,
                    ),
                )  # fmt: skip
        at = next_post_after(at, post_time, zone)
    return [day for day in posted if day >= first]


def check_zones(post_times: list[str], spans: dict[str, list[tuple[date, date]]]) -> int:
    """Check that every date of the spans gets exactly one post; return how many were asked."""
    asked, wrong = 0, {}
    for zone, each in spans.items():
        for first, last in each:
            expected = dates_of(zone, first, last)
            for post_time in post_times:
                asked += len(expected)
                got = posts(zone, post_time, first, last)
                if got != expected:
                    lacking = sorted(set(expected) - set(got))
                    wrong[zone, post_time] = (lacking, len(got) - len(set(got)))
    assert wrong == {}
    return asked


def test_every_zone_gets_one_post_a_date_around_each_change_of_its_clocks() -> None:
    spans = {
        zone: [(day - AROUND * DAY, day + AROUND * DAY) for day in changes(zone, 2026)]
        for zone in ZONES
    }
    times = ["00:00", "02:30", "22:59", "23:00", "23:59"]
    asked = check_zones(times, spans)
    print(f"\n{len(ZONES)} zones, {len(times)} post times: {asked} dates, one post each")  # noqa: T201
    assert asked > 10_000


@pytest.mark.parametrize("zone", ["America/Nuuk", "America/Scoresbysund"])
@pytest.mark.parametrize("post_time", ["22:59", "23:00", "23:30", "23:59"])
def test_where_the_day_before_a_change_loses_its_last_hour_its_puzzle_still_comes(
    zone: str, post_time: str
) -> None:
    # IANA time zone database: there 2026-03-28 ends at 23:00.
    saturday = date(2026, 3, 28)
    got = posts(zone, post_time, saturday - DAY, saturday + DAY)
    assert got == [saturday - DAY, saturday, saturday + DAY]


@pytest.mark.long
@pytest.mark.parametrize("year", [2011, 2024, 2025, 2026, 2027, 2028])
def test_every_zone_gets_one_post_a_date_through_a_year(year: int) -> None:
    spans = {zone: [(date(year, 1, 1), date(year, 12, 31))] for zone in ZONES}
    times = ["00:00", "00:30", "01:30", "02:30", "12:00", "22:59", "23:00", "23:30", "23:59"]
    asked = check_zones(times, spans)
    print(f"\n{year}, {len(ZONES)} zones, {len(times)} times: {asked} dates, one post each")  # noqa: T201
    assert asked > len(ZONES) * len(times) * 363
