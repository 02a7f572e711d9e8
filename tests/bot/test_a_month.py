"""A leader's month, told evening by evening: Rowan plans, looks ahead, teaches, and is told how it
went; three members play. The clock is moved from one evening to the next, all else is real: the
service, SQLite, the puzzles that Ninebark ships with, and its words.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from typing import TypeVar

from bot import wording
from bot.club.replies import (
    AnswerRight,
    DayPosted,
    DaysPreviewed,
    PauseSet,
    PeriodEnded,
    PlanShown,
    PuzzleQueued,
    Reply,
    ReportShown,
    ResultFlagged,
    ResultRuled,
    ResultsPosted,
    TableShown,
    TurningShown,
    WalkthroughPosted,
    WalkthroughShown,
)
from bot.stock.starting_stock import load_starting_stock
from bot.storage import open_store
from tests.bot.club.stories import CROOK, Story, open_story, settings_with

R = TypeVar("R", bound=Reply)

SATURDAY, SUNDAY = 5, 6
SIX = time(18)
BREAK = (date(2026, 12, 25), date(2026, 12, 26))


def dec(day: int) -> date:
    return date(2026, 12, day)


def days_between(first: date, last: date) -> Iterator[date]:
    while first <= last:
        yield first
        first += timedelta(days=1)


def solvers_on(on: date) -> tuple[str, ...]:
    """Ada solves every puzzle, Ben those of Monday to Friday, Cat Saturday's."""
    if on in BREAK or on < date(2026, 11, 30):
        return ()
    if on.weekday() == SATURDAY:
        return ("Ada", "Cat")
    return ("Ada",) if on.weekday() == SUNDAY else ("Ada", "Ben")


def solved_between(first: date, last: date) -> list[tuple[str, int]]:
    """Return how many each solved, the most first."""
    counts = Counter(who for day in days_between(first, last) for who in solvers_on(day))
    return counts.most_common()


@dataclass
class Month:
    """The club, and all that went up, by the date of its evening."""

    story: Story
    up: dict[date, DayPosted] = field(default_factory=dict)
    tables: list[PeriodEnded] = field(default_factory=list)

    def at(self, on: date, hour: int = 18, minute: int = 0) -> Month:
        self.story.now = datetime.combine(on, time(hour, minute), tzinfo=UTC)
        return self

    async def rowan(self, kind: type[R], line: str) -> R:
        """Have the leader say a line, and return the answer, which must be of the kind."""
        return await self.story.hears(kind, line, by="rowan", leads=True)

    async def post(self, on: date) -> list[Reply]:
        """Come to six o'clock; return what went up."""
        before = len(self.story.posts)
        await self.at(on).story.tick()
        posted = [reply for _, way, reply in self.story.posts[before:] if way != "mend"]
        for reply in posted:
            if isinstance(reply, DayPosted) and not reply.is_closed and on not in self.up:
                self.up[on] = reply
            if isinstance(reply, PeriodEnded):
                self.tables.append(reply)
        return posted

    async def evening(self, on: date, *, ada_takes: float = 10) -> list[Reply]:
        """Post, and play: Ada alone, Ben with a hint, Cat on Wednesdays without an end."""
        posted = await self.post(on)
        if on in BREAK:
            return posted
        day = await self.story.store.load_day(self.story.club.id, on)
        assert day is not None
        answer, solvers = f"hand-in {day.puzzle.solution}", solvers_on(on)
        for who in ("ada", "ben"):
            if who.capitalize() in solvers:
                await self.at(on, 18, 5).story.say("start", by=who)
        if on.weekday() == 2:
            await self.story.say("start", by="cat")
        if "Ada" in solvers:
            await self.story.later(minutes=ada_takes).hears(AnswerRight, answer, by="ada")
        if "Ben" in solvers:
            await self.at(on, 18, 20).story.say("hint board sure", by="ben")
            await self.story.say("hint more", by="ben")
            await self.at(on, 18, 35).story.hears(AnswerRight, answer, by="ben")
        if "Cat" in solvers:
            await self.at(on, 18, 45).story.hears(AnswerRight, answer, by="cat")
        return posted

    async def evenings(self, first: date, last: date) -> None:
        for on in days_between(first, last):
            await self.evening(on)


def told(reply: Reply) -> str:
    return wording.phrase(reply).text


def themes_of(month: Month, first: date, last: date) -> list[tuple[int, str]]:
    days = [month.up[on].day for on in days_between(first, last)]
    return [(day.level, day.theme or "") for day in days]


def rows_of(reply: TableShown | PeriodEnded) -> list[tuple[str, int]]:
    return [(row.name, row.solved) for row in reply.table.rows]


def kinds(replies: Sequence[Reply]) -> list[type[Reply]]:
    return [type(reply) for reply in replies]


async def test_a_leader_lives_through_december(tmp_path: Path) -> None:
    settings = settings_with(
        name="Hedgerow Sudoku Club", zone="Europe/London", post_time="18:00", quick=1.5,
        leaders=("rowan",),
    )  # fmt: skip
    async with open_store(tmp_path / "club.db") as store:
        await store.add_stock(load_starting_stock())
        month = Month(await open_story(settings=settings, store=store))
        await on_sunday_rowan_plans_the_first_week(month)
        await the_first_week_is_about_pointing(month)
        await in_the_second_week_the_third_is_planned(month)
        await the_third_week_is_about_naked_pairs_and_has_a_puzzle_of_rowans(month)
        await the_club_rests_over_christmas(month)
        await the_year_ends_and_december_is_told(month)


async def on_sunday_rowan_plans_the_first_week(month: Month) -> None:
    month.at(date(2026, 11, 29), 12)
    tonight = await month.rowan(DaysPreviewed, "club preview 2")
    planned = await month.rowan(PlanShown, "club plan week level=2 theme=pointing")
    assert "Planned from Monday 30 November 2026; until then nothing changes." in told(planned)
    monday = await month.rowan(PlanShown, "club plan mon level=1 theme=none")
    assert [(day.lowest, day.theme) for day in monday.days] == [(1, ""), *[(2, "pointing")] * 6]
    await month.post(date(2026, 11, 29))
    # What was to go up tonight went up, whatever the new week is about.
    assert month.up[date(2026, 11, 29)].day.givens == tonight.days[0].picture.givens


async def the_first_week_is_about_pointing(month: Month) -> None:
    coming = await month.rowan(DaysPreviewed, "club preview")
    await month.evenings(date(2026, 11, 30), dec(6))
    assert themes_of(month, date(2026, 11, 30), dec(6)) == [(1, ""), *[(2, "pointing")] * 6]
    went_up = [month.up[day.date].day.givens for day in coming.days]
    assert went_up == [day.picture.givens for day in coming.days]
    # Wednesday, as it looks the day after.
    report = await month.rowan(ReportShown, "club report 2026-12-02")
    assert (report.started, report.finished) == (3, 2)
    assert "Finished: Ada (10 min) and Ben (30 min 45 s)." in told(report)
    assert "Started, not finished: Cat." in told(report)
    assert sum(count for _, count, _ in report.techniques) == 1
    posted = await month.evening(dec(7))
    assert {DayPosted, ResultsPosted, WalkthroughPosted, PeriodEnded} <= set(kinds(posted))
    november, week = month.tables
    assert rows_of(november) == [("Ada", 1), ("Ben", 1)]
    assert rows_of(week) == [("Ada", 7), ("Ben", 5), ("Cat", 1)]
    assert told(week).startswith("The week of 30 November to 6 December 2026 is over.")
    last = await month.rowan(TableShown, "leaderboard last")
    assert rows_of(last) == rows_of(week)


async def in_the_second_week_the_third_is_planned(month: Month) -> None:
    await month.evenings(dec(8), dec(10))
    ahead = await month.rowan(PlanShown, "club plan next level=3 theme=naked-pair")
    assert ahead.starts == dec(14)
    assert "Monday keeps the theme planned for that day alone." in told(ahead)
    (same,) = [each for each in wording.phrase(ahead).buttons if "theme=week" in each.command]
    assert {day.theme for day in (await month.rowan(PlanShown, same.command)).days} == {
        "naked-pair"
    }
    await month.evenings(dec(11), dec(13))
    assert themes_of(month, dec(8), dec(13)) == [(2, "pointing")] * 6


async def the_third_week_is_about_naked_pairs_and_has_a_puzzle_of_rowans(month: Month) -> None:
    await month.evening(dec(14))
    # Ada had seen the next one somewhere.
    await month.evening(dec(15), ada_takes=0.3)
    await month.story.tick()
    flagged = month.story.post_with(ResultFlagged)
    assert (flagged.name, flagged.date) == ("Ada", dec(15))
    waiting = await month.rowan(ReportShown, "club report")
    assert "Ada (18 s, waits for your ruling)" in told(waiting)
    await month.rowan(ResultRuled, "club result Ada accept I watched her solve it")
    await month.evenings(dec(16), dec(17))
    queued = await month.rowan(PuzzleQueued, f"club queue {CROOK} 2026-12-19 credit=J. F. Crook")
    assert queued.landing is not None
    assert queued.landing.misses == ()
    await month.evening(dec(18))
    # Rowan prepares Saturday's evening the night before.
    path = await month.rowan(WalkthroughShown, "walkthrough 2026-12-19")
    assert (path.givens, path.is_solved) == (CROOK, True)
    turning = await month.rowan(TurningShown, "club turning 2026-12-19")
    assert wording.phrase(turning).code == CROOK
    await month.evenings(dec(19), dec(20))
    assert month.up[dec(19)].day.credit == "J. F. Crook"
    assert themes_of(month, dec(14), dec(20)) == [(3, "naked-pair")] * 7


async def the_club_rests_over_christmas(month: Month) -> None:
    month.at(dec(20), 20)
    assert (await month.rowan(PlanShown, "club plan level=2 theme=claiming")).starts is None
    await month.evenings(dec(21), dec(24))
    assert (await month.rowan(PauseSet, "club pause")).on
    await month.evenings(*BREAK)
    assert not month.up.keys() & set(BREAK)
    back = await month.at(dec(27), 12).rowan(PauseSet, "club pause off")
    assert "Sunday 27 December, 18:00" in told(back)
    await month.evening(dec(27))
    await month.evening(dec(28))
    assert rows_of(month.tables[-1]) == solved_between(dec(21), dec(27)) == [("Ada", 5), ("Ben", 4)]


async def the_year_ends_and_december_is_told(month: Month) -> None:
    await month.evenings(dec(29), dec(31))
    await month.post(date(2027, 1, 1))
    december = month.tables[-1]
    assert told(december).startswith("December 2026 is over.")
    assert rows_of(december) == solved_between(dec(1), dec(31))
    assert [rows_of(each) for each in month.tables[1:-1]] == [
        solved_between(monday, monday + timedelta(days=6))
        for monday in (date(2026, 11, 30), dec(7), dec(14), dec(21))
    ]
    # A week into the new year the old month is still found.
    month.at(date(2027, 1, 8))
    named = await month.rowan(TableShown, "leaderboard 2026-12")
    assert rows_of(named) == rows_of(december)
    assert len({day.day.givens for day in month.up.values()}) == len(month.up) == 32
    assert set(month.up) == set(days_between(date(2026, 11, 29), date(2027, 1, 1))) - set(BREAK)
