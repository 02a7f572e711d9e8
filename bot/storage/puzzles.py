"""Statements on puzzles: what is in stock, what waits in a queue, what was picked for a date.

Each runs inside a transaction of the caller.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from datetime import date

from bot.club.ports import DropPicks, Picked, PickPuzzle, Queued, SavePuzzle, UnqueuePuzzle
from bot.club.state import Puzzle
from bot.storage.posts import NEVER_WENT_UP
from bot.storage.rows import puzzle_of, puzzle_values

_IDENTITY = "iif(puzzle.form = '', puzzle.givens, puzzle.form)"
"""As `Puzzle.identity` has it."""

_INSERT_PUZZLE = """
    INSERT INTO puzzle
        (givens, solution, level, needs, hardest, effort, credit, origin, form, pattern, turns)
    VALUES
        (:givens, :solution, :level, :needs, :hardest, :effort, :credit, :origin, :form, :pattern,
         :turns)
    ON CONFLICT (givens) DO
"""


def insert_puzzle(connection: sqlite3.Connection, puzzle: Puzzle) -> int:
    """Add a puzzle unless its givens are there; return its id. The first one's words stand."""
    connection.execute(f"{_INSERT_PUZZLE} NOTHING", puzzle_values(puzzle))
    row = connection.execute("SELECT id FROM puzzle WHERE givens = ?", (puzzle.givens,)).fetchone()
    return int(row[0])


def insert_stock(connection: sqlite3.Connection, puzzles: Iterable[Puzzle]) -> int:
    """Add the puzzles whose givens are not there; return how many were added.

    Of those that an older Ninebark saved it is noted how often they turn, as it is counted now.
    """
    rows = [puzzle_values(puzzle) for puzzle in puzzles]
    added = connection.executemany(f"{_INSERT_PUZZLE} NOTHING", rows).rowcount
    connection.executemany(
        "UPDATE puzzle SET turns = :turns WHERE givens = :givens AND turns IS NOT :turns", rows
    )
    return added


def insert_new(connection: sqlite3.Connection, puzzle: Puzzle) -> bool:
    """Add a puzzle unless it is there in whatever disguise; say whether it was added."""
    is_new = find_same(connection, puzzle) is None
    if is_new:
        insert_puzzle(connection, puzzle)
    return is_new


SAME = "SELECT * FROM puzzle WHERE form = ?1 OR (givens = ?1 AND form = '')"
"""The puzzles of an identity, as `_IDENTITY` has it, by the indexes that there are."""


def find_same(connection: sqlite3.Connection, puzzle: Puzzle) -> Puzzle | None:
    """Return the puzzle that is the same in whatever disguise."""
    row = connection.execute(SAME, (puzzle.identity,)).fetchone()
    return None if row is None else puzzle_of(row)


def list_givens(connection: sqlite3.Connection) -> frozenset[str]:
    """Return the givens of all puzzles."""
    return frozenset(row[0] for row in connection.execute("SELECT givens FROM puzzle"))


def set_form(connection: sqlite3.Connection, puzzle_id: int, form: str, pattern: str) -> None:
    """Note the canonical form and the pattern of a puzzle that was saved without them."""
    connection.execute(
        "UPDATE puzzle SET form = ?, pattern = ? WHERE id = ?", (form, pattern, puzzle_id)
    )


FIRST_SEED = 1_000_001
"""Where the seeds of puzzles made for a stock begin, away from those that people type."""


def claim_seed(connection: sqlite3.Connection) -> int:
    """Return the next seed; it is used up, whatever becomes of the making.

    All kinds of puzzles share the sequence: two kinds that overlap could make the same of one seed.
    """
    row = connection.execute(
        "INSERT INTO making (id, next_seed) VALUES (1, ?)"
        " ON CONFLICT (id) DO UPDATE SET next_seed = next_seed + 1"
        " RETURNING next_seed - 1",
        (FIRST_SEED + 1,),
    ).fetchone()
    return int(row[0])


def save_puzzle(connection: sqlite3.Connection, change: SavePuzzle) -> None:
    """Add a puzzle, and queue it where a club is named; one that waits there gets the newer
    wish."""
    puzzle_id = insert_puzzle(connection, change.puzzle)
    if change.club_id is not None:
        _credit(connection, puzzle_id, change.club_id, change.puzzle.credit)
    if change.is_queued:
        connection.execute(
            "INSERT INTO queue (club_id, puzzle_id, day, level) VALUES (?, ?, ?, ?)"
            " ON CONFLICT (club_id, puzzle_id)"
            " DO UPDATE SET day = excluded.day, level = excluded.level",
            (
                change.club_id,
                puzzle_id,
                None if change.day is None else change.day.isoformat(),
                change.level,
            ),
        )


def _credit(connection: sqlite3.Connection, puzzle_id: int, club_id: int, credit: str) -> None:
    """Note whose puzzle a leader says it is, unless another club has it under its own words."""
    connection.execute(
        "UPDATE puzzle SET credit = ?3 WHERE id = ?1 AND ?3 <> ''"
        " AND id NOT IN (SELECT puzzle_id FROM queue WHERE club_id <> ?2"
        "  UNION SELECT puzzle_id FROM day WHERE club_id <> ?2)",
        (puzzle_id, club_id, credit),
    )


def use_up(connection: sqlite3.Connection, club_id: int, puzzle_id: int) -> None:
    """Take a puzzle out of a club's queue for good: it was seen."""
    connection.execute(
        "DELETE FROM queue WHERE club_id = ? AND puzzle_id = ?", (club_id, puzzle_id)
    )


def unqueue_puzzle(connection: sqlite3.Connection, change: UnqueuePuzzle) -> None:
    """Take a puzzle out of a club's queue; it stays in the stock."""
    use_up(connection, change.club_id, change.puzzle_id)


def pick_puzzle(connection: sqlite3.Connection, change: PickPuzzle) -> None:
    """Pick a puzzle for a club's date, in the place of an earlier pick."""
    puzzle_id = insert_puzzle(connection, change.puzzle)
    connection.execute(
        "INSERT INTO pick (club_id, day, puzzle_id) VALUES (?, ?, ?)"
        " ON CONFLICT (club_id, day) DO UPDATE SET puzzle_id = excluded.puzzle_id",
        (change.club_id, change.day.isoformat(), puzzle_id),
    )


def drop_picks(connection: sqlite3.Connection, change: DropPicks) -> None:
    """Forget the picks of some dates; a date without one is no error."""
    connection.executemany(
        "DELETE FROM pick WHERE club_id = ? AND day = ?",
        [(change.club_id, day.isoformat()) for day in change.days],
    )


def list_picks(connection: sqlite3.Connection, club_id: int) -> tuple[Picked, ...]:
    """Return what was picked for a club's dates, by date."""
    rows = connection.execute(
        "SELECT puzzle.*, pick.day AS for_day FROM pick"
        " JOIN puzzle ON puzzle.id = pick.puzzle_id WHERE pick.club_id = ? ORDER BY pick.day",
        (club_id,),
    )
    return tuple(Picked(puzzle_of(row), date.fromisoformat(row["for_day"])) for row in rows)


def list_puzzles(
    connection: sqlite3.Connection, level: int | None, needs: str | None, limit: int
) -> tuple[Puzzle, ...]:
    """Return the puzzles of a level that need a technique (None: any), oldest first."""
    rows = connection.execute(
        "SELECT * FROM puzzle WHERE (?1 IS NULL OR level = ?1) AND (?2 IS NULL OR EXISTS"
        " (SELECT 1 FROM json_each(puzzle.needs) WHERE value = ?2)) ORDER BY id LIMIT ?3",
        (level, needs, limit),
    )
    return tuple(map(puzzle_of, rows))


def list_queue(connection: sqlite3.Connection, club_id: int) -> tuple[Queued, ...]:
    """Return a club's queue in order, without what the club has had as a day's puzzle."""
    rows = connection.execute(
        "SELECT puzzle.*, queue.day AS for_day, queue.level AS for_level FROM queue"
        " JOIN puzzle ON puzzle.id = queue.puzzle_id WHERE queue.club_id = ?1"
        " AND queue.puzzle_id NOT IN (SELECT puzzle_id FROM day"
        f" WHERE day.club_id = ?1 AND NOT {NEVER_WENT_UP}) ORDER BY queue.id",
        (club_id,),
    )
    return tuple(
        Queued(
            puzzle=puzzle_of(row),
            day=None if row["for_day"] is None else date.fromisoformat(row["for_day"]),
            level=row["for_level"],
        )
        for row in rows
    )


def list_stock(connection: sqlite3.Connection, club_id: int) -> tuple[Puzzle, ...]:
    """Return the puzzles that a club has not had, queued or withdrawn, in whatever disguise."""
    rows = connection.execute(
        f"SELECT * FROM puzzle WHERE {_IDENTITY} NOT IN"
        f" (SELECT {_IDENTITY} FROM puzzle JOIN day ON day.puzzle_id = puzzle.id"
        f"   WHERE day.club_id = ?1 AND NOT {NEVER_WENT_UP}"
        f"  UNION SELECT {_IDENTITY} FROM puzzle JOIN queue ON queue.puzzle_id = puzzle.id"
        "   WHERE queue.club_id = ?1"
        f"  UNION SELECT {_IDENTITY} FROM puzzle JOIN withdrawn ON withdrawn.puzzle_id = puzzle.id"
        "   WHERE withdrawn.club_id = ?1)"
        " ORDER BY id",
        (club_id,),
    )
    return tuple(map(puzzle_of, rows))
