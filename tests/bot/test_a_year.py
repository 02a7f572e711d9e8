"""Clubs with different plans go through weeks, and in the long run through a year: a puzzle every
day, as planned, none twice in a club however disguised, and a stock that never runs out.
"""

from __future__ import annotations

import time
from datetime import timedelta
from itertools import groupby, pairwise
from pathlib import Path

import pytest

from bot.club.plan import fits, plan_for
from bot.club.state import Club, Day
from engine.board.canonical import canonical_form
from engine.board.grid import parse_grid
from engine.solving.grading import rate
from tests.bot.year import FIRST_DAY, PLANS, Year, open_year

# Crook, A Pencil-and-Paper Algorithm for Solving Sudoku Puzzles, Notices AMS 56(4), 2009, p. 463.
CROOK = ".395........8...7.....1.9.41..4....3...........7...86...67.82...1..9...5.....1..8"


def cost_of_a_rating() -> float:
    """Return what it takes to rate one puzzle of level 3: far less than what a workshop is for."""
    begin = time.thread_time()
    rate(parse_grid(CROOK))
    return time.thread_time() - begin


async def check_year(year: Year, days: int, *, rated_every: int) -> None:
    """Check all that must hold, on what was kept."""
    dates = [FIRST_DAY + timedelta(days=number) for number in range(days)]
    for club in year.clubs:
        had = await year.had(club)
        assert [day.date for day in had] == dates
        assert [day for room, day in year.posted if room == club.room_id] == dates
        forms = [canonical_form(day.puzzle.givens, day.puzzle.solution) for day in had]
        assert len(set(forms)) == days
        for day in had:
            assert fits(day.puzzle, plan_for(day.date, club.settings)), day
        for day in had[::rated_every]:
            check_puzzle(club, day)
        if club.settings.rising:
            check_rise(club, had)
    assert min(year.lowest.values()) > 0
    assert year.made > 0
    # What the event loop works itself before it comes to anything else; the machine's speed is in
    # both. What was measured is printed, and what a loaded machine added too.
    assert year.stalls.busiest < cost_of_a_rating()


def check_puzzle(club: Club, day: Day) -> None:
    """Judge a day's puzzle anew."""
    entry, rating = plan_for(day.date, club.settings), rate(parse_grid(day.puzzle.givens))
    assert rating.solution == day.puzzle.solution
    assert rating.level in entry.levels
    assert not entry.theme or entry.theme in rating.needs


def check_rise(club: Club, had: tuple[Day, ...]) -> None:
    """Efforts rise from Monday to Sunday, among the days that share a theme."""
    for _, week in groupby(had, key=lambda day: day.date.isocalendar()[:2]):
        by_theme: dict[str, list[Day]] = {}
        for day in week:
            by_theme.setdefault(plan_for(day.date, club.settings).theme, []).append(day)
        for days in by_theme.values():
            for before, after in pairwise(days):
                assert before.puzzle.effort < after.puzzle.effort, (before.date, after.date)


def tell(year: Year, days: int, seconds: float) -> None:
    lowest = min(year.lowest.values())
    figures = (
        f"{len(year.clubs)} clubs, {days} days: {len(year.posted)} puzzles posted, {year.made} "
        f"made for the stock, at least {lowest} in stock for what was planned; the event loop "
        f"stood still for {1000 * year.stalls.longest:.0f} ms at most "
        f"({1000 * year.stalls.busiest:.0f} ms of its own work); {seconds:.0f} s"
    )
    print(f"\n{figures}")  # noqa: T201


async def test_two_clubs_get_what_they_planned_every_day_of_a_week(tmp_path: Path) -> None:
    began = time.perf_counter()
    async with open_year(tmp_path / "club.db", PLANS[1:3], at_least=22) as year:
        await year.live(8)
        tell(year, 8, time.perf_counter() - began)
        await check_year(year, 8, rated_every=4)


@pytest.mark.long
async def test_five_clubs_get_what_they_planned_every_day_of_a_year(tmp_path: Path) -> None:
    began = time.perf_counter()
    async with open_year(tmp_path / "club.db") as year:
        await year.live(365)
        tell(year, 365, time.perf_counter() - began)
        await check_year(year, 365, rated_every=20)
