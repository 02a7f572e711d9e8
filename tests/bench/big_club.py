"""A club of many members over years, written straight into the tables as the club would leave it.

It is the same at every run. Members differ in how often they take part; some never miss a day, so
that streaks are as long as the club is old. What is kept of it is what a bot keeps: entries with
boards and charges, posts that went out, the replies of sixty days, the web room's lines.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import islice, permutations
from pathlib import Path
from random import Random
from typing import Any

import msgspec

from bot.club.facts import Position
from bot.club.notices import solved_key
from bot.club.people import may_name
from bot.club.replies import encode_reply
from bot.club.showing import fresh_entry, show_board
from bot.club.state import Board, Charge, Club, ClubSettings, Day, MemberSolve, Puzzle
from bot.storage import open_store
from bot.storage.results import keep_all
from bot.storage.rows import day_values, entry_values, ms_of, puzzle_values

# The encyclopaedia example, also in SQLite's documentation (`lang_with`).
GIVENS = "53..7....6..195....98....6.8...6...34..8.3..17...2...6.6....28....419..5....8..79"
SOLUTION = "534678912672195348198342567859761423426853791713924856961537284287419635345286179"

LAST = datetime.fromisoformat("2026-11-27T12:00:00+00:00")
"""When the newest puzzle went up; it is open."""

EVENTS_FOR = 60
"""Days for which replies are kept."""

STOCK = 200
"""Puzzles that the club has not had."""

STEADY = 10
"""Every so manieth member never misses a puzzle."""


@dataclass(frozen=True, slots=True)
class BigClub:
    """Where it is, and when its newest puzzle went up."""

    path: Path
    club_id: int
    members: int
    days: int


async def build_club(path: Path, *, members: int, days: int) -> BigClub:
    """Write the club into a new database file."""
    async with open_store(path, now=lambda: LAST) as store:
        settings = ClubSettings("Hedgerow Sudoku Club", post_time="12:00", quick=0)
        club = await store.add_club("web", "main", settings)
        await store.database.write(lambda link: _fill(link, club, members, days))
        await store.checkpoint()
    return BigClub(path, club.id, members, days)


def _fill(link: sqlite3.Connection, club: Club, members: int, days: int) -> None:
    random = Random(20261128)
    names = [f"Member {number}" for number in range(1, members + 1)]
    link.executemany(
        "INSERT INTO member (club_id, user_id, name) VALUES (?, ?, ?)",
        [(club.id, f"m{number}", name) for number, name in enumerate(names, start=1)],
    )
    habits = [
        1.0 if number % STEADY == 0 else random.uniform(0.5, 0.95) for number in range(members)
    ]
    # As many names for the digits as days: no two days have the same puzzle.
    renamings = islice(permutations("123456789"), 0, None, 271)
    for renaming in islice(renamings, STOCK):
        _insert(link, "puzzle", puzzle_values(_puzzle("".join(renaming), random.randint(1, 5))))
    for ago, renaming in zip(range(days - 1, -1, -1), renamings, strict=False):
        puzzle = _puzzle("".join(renaming), random.randint(1, 5))
        day = _day(club, LAST - timedelta(days=ago), puzzle, is_open=ago == 0)
        day_id = _insert_day(link, day)
        solvers = [
            number
            for number, habit in enumerate(habits, start=1)
            if random.random() < (habit / 2 if ago == 0 else habit)
        ]
        entries = [_entry(day, day_id, number, random) for number in solvers]
        _insert_all(link, "entry", entries)
        _insert_all(link, "notice", _notices(club, day, day_id, solvers))
        _insert_all(link, "room_log", _lines(club, day, solvers, names))
        if ago < EVENTS_FOR:
            _insert_all(link, "event", _events(club, day, solvers))
    keep_all(link)


def _puzzle(renaming: str, level: int) -> Puzzle:
    renamed = str.maketrans("123456789", renaming)
    return Puzzle(
        0, GIVENS.translate(renamed), SOLUTION.translate(renamed), level, ("hidden-single",),
        "hidden-single", 10.0, origin="made", form=renaming.ljust(81, "."), turns=1,
    )  # fmt: skip


def _day(club: Club, due_at: datetime, puzzle: Puzzle, *, is_open: bool) -> Day:
    return Day(
        0, club.id, due_at.date(), puzzle, ("row 4", "row 6"), False, due_at,
        due_at + timedelta(days=1), due_at + timedelta(seconds=1), f"{ms_of(due_at)}",
        is_closed=not is_open, theme="",
    )  # fmt: skip


def _insert_day(link: sqlite3.Connection, day: Day) -> int:
    puzzle_id = _insert(link, "puzzle", puzzle_values(day.puzzle))
    return _insert(link, "day", {**day_values(day), "puzzle_id": puzzle_id})


def _entry(day: Day, day_id: int, number: int, random: Random) -> dict[str, Any]:
    grids = [day.puzzle.givens]
    for cell in range(4, 80, 19):
        grids.append(grids[-1][:cell] + day.puzzle.solution[cell] + grids[-1][cell + 1 :])
    started_at = day.due_at + timedelta(seconds=random.randint(60, 70_000))
    hints = random.choice((0, 0, 0, 1, 2))
    techniques = ("hidden-single", "naked-pair", "pointing", "x-wing")
    charges = [
        Charge(f"hint:{technique}:r1c2,r1c3:{step}", rung, 15, technique,
               Position(grids[step]) if rung == 1 else None, at=started_at)
        for step in range(hints)
        for technique in (random.choice(techniques),)
        for rung in (1, 2)
    ]  # fmt: skip
    tries = random.choice((0, 0, 0, 0, 1))
    charges += [Charge(f"wrong:{number:016x}", 1, 60, at=started_at) for _ in range(tries)]
    entry = MemberSolve(
        0, day_id, number, Board(day.puzzle.solution), started_at, tuple(map(Board, grids)),
        charges=tuple(charges), tries=tries,
        finished_at=started_at + timedelta(seconds=random.randint(120, 3_600)),
        is_late=random.random() < 0.02, verdict="unranked" if random.random() < 0.01 else "ranked",
    )  # fmt: skip
    return {**entry_values(entry), "member_id": number}


def _notices(club: Club, day: Day, day_id: int, solvers: list[int]) -> Iterator[dict[str, Any]]:
    at = day.date.isoformat()
    keys = [f"day:{club.id}:{at}", *(solved_key(club, day, f"m{number}") for number in solvers)]
    if day.is_closed:
        keys += [f"results:{club.id}:{at}", f"walkthrough:{club.id}:{at}"]
        if day.date.isoweekday() == 7:
            keys.append(f"week:{club.id}:{day.date:%G-W%V}")
        if (day.date + timedelta(days=1)).day == 1:
            keys.append(f"month:{club.id}:{day.date:%Y-%m}")
    for key in keys:
        yield {
            "club_id": club.id, "key": key, "audience": "room", "reply": b"", "user_id": "",
            "day_id": day_id if key.startswith("walk") else None, "queued_at": ms_of(day.due_at),
            "attempted_at": ms_of(day.due_at), "attempted_edition": 1,
            "sent_at": ms_of(day.due_at), "reference": f"{key}",
        }  # fmt: skip


def _lines(club: Club, day: Day, solvers: list[int], names: list[str]) -> Iterator[dict[str, Any]]:
    for number in solvers:
        said = f"{names[number - 1]} has solved the puzzle of {day.date} in 23 minutes, place 7."
        yield {
            "room_id": club.room_id, "kind": "post",
            "body": msgspec.json.encode({"message": {"text": said}}),
            "key": solved_key(club, day, f"m{number}"), "logged_at": ms_of(day.due_at),
        }  # fmt: skip


def _events(club: Club, day: Day, solvers: list[int]) -> Iterator[dict[str, Any]]:
    reply = encode_reply(show_board(club, day, fresh_entry(day), "placed"))
    for number in solvers:
        for turn in range(4):
            yield {
                "id": f"event {day.date} {number} {turn}", "reply": reply, "club_id": club.id,
                "saved_at": ms_of(day.due_at), "user_id": f"m{number}", "names": may_name(reply),
            }  # fmt: skip


def _insert(link: sqlite3.Connection, table: str, values: dict[str, Any]) -> int:
    marks = ", ".join(f":{name}" for name in values)
    added = link.execute(f"INSERT INTO {table} ({', '.join(values)}) VALUES ({marks})", values)
    assert added.lastrowid is not None
    return added.lastrowid


def _insert_all(link: sqlite3.Connection, table: str, rows: Any) -> None:
    rows = list(rows)
    if rows:
        marks = ", ".join(f":{name}" for name in rows[0])
        link.executemany(f"INSERT INTO {table} ({', '.join(rows[0])}) VALUES ({marks})", rows)
