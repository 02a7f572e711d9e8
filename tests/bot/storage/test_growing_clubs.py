"""What a command costs the database does not grow with the age of the club.

The same lines are said in a young club and in one four times as old, with as many members. What is
counted is what the database does: the steps of its own machine, by its progress handler, and how it
looks for rows, by EXPLAIN QUERY PLAN of every statement that was run.
"""

from __future__ import annotations

import re
import sqlite3
from collections import Counter
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

import pytest

from bot.storage import SqliteStore, open_store
from bot.wiring.platforms import MEMORIES
from tests.bench.big_club import LAST, BigClub, build_club
from tests.bench.scale import LINES, Commander, words_of

MEMBERS = 8
YOUNG, OLD = 60, 240
"""Days."""

EVERY = 10
"""Steps between two counts."""

CLOSING, OPENING, PRUNING = "closing a day", "opening a day", "forgetting each hour"
EXPORTING, ERASING = "privacy export", "privacy erase sure"

OF_A_MEMBER = (
    "me", "privacy", "hand-in 123456789 123456789", "hand-in {answer}", EXPORTING, ERASING,
)  # fmt: skip
"""What reads all that one member did, and so may grow with that."""

OF_THE_PUZZLES = (OPENING, "club plan", "club preview", "club queue", "club setup")
"""What looks through all puzzles that the club has had, so that it gets none twice: for a leader,
and once a day."""

# A step of planning is told in these words: https://sqlite.org/eqp.html
GROWING = "day|entry|result|tally|asked|notice|event|room_log|withdrawn|puzzle"
SCAN = re.compile(rf"^SCAN ({GROWING})\b(?: USING .*INDEX (\w+))?")
WHOLE_CLUB = re.compile(rf"^SEARCH ({GROWING}) USING .*INDEX (\w+) \((?:club_id|room_id)=\?\)$")

OF_FEW = {"day_not_closed", "day_not_up", "notice_waiting", "event_naming", "room_log_said"}
"""Indexes of rows that are few, or that only an export and an erasure look through."""


class Counted:
    """Counts steps and notes statements while something is said, by whatever connection."""

    def __init__(self) -> None:
        self._steps: Counter[sqlite3.Connection] = Counter()
        self.statements: set[str] = set()

    @property
    def steps(self) -> int:
        return self._steps.total()

    def begin(self, link: sqlite3.Connection) -> None:
        link.set_progress_handler(lambda: self._step(link), EVERY)
        link.set_trace_callback(self.statements.add)

    def _step(self, link: sqlite3.Connection) -> int:
        self._steps[link] += EVERY
        return 0

    def stop(self, link: sqlite3.Connection) -> None:
        link.set_progress_handler(None, 0)
        link.set_trace_callback(None)


@asynccontextmanager
async def counted(store: SqliteStore) -> AsyncIterator[Counted]:
    counting, database = Counted(), store.database
    for each in (database.run_bare, database.read):
        await each(counting.begin)
    try:
        yield counting
    finally:
        for each in (database.run_bare, database.read):
            await each(counting.stop)


async def say_all(folder: Path, days: int) -> tuple[dict[str, int], dict[str, set[str]]]:
    """Return the steps of each line in a club, and how rows were looked for."""
    club = await build_club(folder / f"{days}.db", members=MEMBERS, days=days)
    steps: dict[str, int] = {}
    plans: dict[str, set[str]] = {}
    async with open_store(club.path, now=lambda: LAST, memories=MEMORIES) as store:
        words, by = await words_of(store, club), await _who_has_not_solved(store, club)
        commander = Commander(store, club)
        due = dict(zip((CLOSING, OPENING), await commander.due(), strict=True))
        for line in (*LINES, PRUNING, *due, EXPORTING, ERASING):
            async with counted(store) as counting:
                if line == PRUNING:
                    await store.prune()
                elif line in due:
                    await commander.service.carry_out(due[line])
                else:
                    await commander.say(line.format(**words), by)
            steps[line] = counting.steps
            plans[line] = await store.database.read(
                lambda link, said=counting.statements: _plans(link, said)
            )
    return steps, plans


async def _who_has_not_solved(store: SqliteStore, club: BigClub) -> str:
    day = await store.load_day(club.club_id, LAST.date())
    assert day is not None
    solved = {member.user_id for member, _ in await store.load_entries(day.id)}
    return next(f"m{n}" for n in range(1, MEMBERS + 1) if f"m{n}" not in solved)


def _plans(link: sqlite3.Connection, statements: set[str]) -> set[str]:
    """Return the steps of all plans; a trigger's statements are told of as comments."""
    return {
        row["detail"]
        for statement in statements
        if statement.split()[0] in ("SELECT", "UPDATE", "DELETE", "INSERT", "WITH")
        for row in link.execute(f"EXPLAIN QUERY PLAN {statement}").fetchall()
    }


async def test_no_line_costs_more_in_an_old_club(tmp_path: Path) -> None:
    young, _ = await say_all(tmp_path, YOUNG)
    old, plans = await say_all(tmp_path, OLD)
    for line in old:
        print(f"{line:<48} {young[line]:>8} {old[line]:>8} steps")  # noqa: T201 - its figures
    grown = {
        line: (young[line], steps)
        for line, steps in old.items()
        if steps > 1.5 * young[line] and line not in (*OF_A_MEMBER, *OF_THE_PUZZLES)
    }
    assert grown == {}
    # What a member did, and what the club had, has grown fourfold, and so may what reads all of it.
    for line in (*OF_A_MEMBER, *OF_THE_PUZZLES):
        assert old[line] <= (OLD / YOUNG) * 1.5 * young[line], (line, young[line], old[line])
    read_whole = {
        (line, step)
        for line, found in plans.items()
        for step in found
        if line not in OF_THE_PUZZLES and _reads_all(step)
    }
    assert read_whole == set()


def _reads_all(step: str) -> bool:
    found = SCAN.match(step) or WHOLE_CLUB.match(step)
    return found is not None and found[2] not in OF_FEW


@pytest.mark.parametrize(
    ("step", "is_all"),
    [
        ("SCAN notice", True),
        ("SCAN notice USING INDEX notice_waiting", False),
        ("SCAN day USING COVERING INDEX day_by_due", True),
        ("SEARCH day USING INDEX day_by_due (club_id=?)", True),
        ("SEARCH day USING INDEX day_not_up (club_id=?)", False),
        ("SEARCH day USING INDEX day_by_due (club_id=? AND due_at<?)", False),
        ("SCAN json_each VIRTUAL TABLE INDEX 1:", False),
    ],
)
def test_reading_all_is_told_from_looking_up(step: str, is_all: bool) -> None:
    assert _reads_all(step) is is_all
