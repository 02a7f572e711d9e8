"""Statements on results: finished entries as tables need them, and the sums that are kept of them.

A row of `result` is all that a table asks of one finished entry, with its run: how many puzzles in
a row the member had solved by then. Triggers keep `tally`, the sums of each member over each week,
month and all time. Whatever changes an entry, or which days were posted, calls `keep_*` here in the
same transaction; `keep_all` makes everything anew from the entries. Rows of a former member have
an id below zero, and stay until the posts that name them are mended.
"""

from __future__ import annotations

import sqlite3
from collections import Counter
from collections.abc import Iterable
from datetime import date

from bot.club.clock import counted_from, whole_seconds
from bot.club.state import Result
from bot.storage.rows import charges_of, moment_of, moment_or_none, ms_of

_FINISHED = """
    SELECT
        entry.id AS entry_id, entry.member_id, day.club_id, day.date, puzzle.level, entry.tries,
        entry.is_late, entry.verdict, entry.charges, entry.version, entry.started_at,
        entry.finished_at, coalesce(day.posted_at, day.due_at) AS seen_at
    FROM entry
    JOIN day ON day.id = entry.day_id
    JOIN puzzle ON puzzle.id = day.puzzle_id
    WHERE entry.finished_at IS NOT NULL
"""

_KEEP = """
    INSERT INTO result (
        member_id, date, club_id, entry_id, level, raw, added, hints, tries, is_late, verdict,
        finished_at
    )
    VALUES (
        :member_id, :date, :club_id, :entry_id, :level, :raw, :added, :hints, :tries, :is_late,
        :verdict, :finished_at
    )
    ON CONFLICT (member_id, date) DO UPDATE SET
        entry_id = excluded.entry_id, level = excluded.level, raw = excluded.raw,
        added = excluded.added, hints = excluded.hints, tries = excluded.tries,
        is_late = excluded.is_late, verdict = excluded.verdict, finished_at = excluded.finished_at
"""


def _values_of(row: sqlite3.Row) -> dict[str, object]:
    charges, finished_at = charges_of(row), moment_of(row["finished_at"])
    start = counted_from(moment_of(row["seen_at"]), moment_or_none(row["started_at"]), finished_at)
    plain = ("entry_id", "member_id", "club_id", "date", "level", "tries", "is_late", "verdict")
    return {
        **{name: row[name] for name in plain},
        "raw": whole_seconds(start, finished_at),
        "added": sum(charge.seconds for charge in charges),
        "hints": len({charge.key for charge in charges if charge.key.startswith("hint:")}),
        "finished_at": ms_of(finished_at),
    }


# --- keeping ---


def keep_entry(connection: sqlite3.Connection, entry: sqlite3.Row, *, is_finished: bool) -> None:
    """Note the result and the techniques of an entry that was just saved: its id, member, charges
    and their version."""
    if is_finished:
        rows = connection.execute(f"{_FINISHED} AND entry.id = ?", (entry["id"],)).fetchall()
        _keep_results(connection, rows)
    else:
        _drop_result(connection, entry)
    _keep_asked(connection, (entry,))


def _drop_result(connection: sqlite3.Connection, entry: sqlite3.Row) -> None:
    gone = connection.execute(
        "DELETE FROM result WHERE entry_id = ? RETURNING club_id, date", (entry["id"],)
    ).fetchall()
    for row in gone:
        _keep_runs(connection, row["club_id"], entry["member_id"], row["date"])


def keep_day(connection: sqlite3.Connection, day_id: int) -> None:
    """Note the results of a day anew: it was posted, at a moment that nobody knew before."""
    day = connection.execute("SELECT club_id, date FROM day WHERE id = ?", (day_id,)).fetchone()
    rows = connection.execute(f"{_FINISHED} AND entry.day_id = ?", (day_id,)).fetchall()
    _keep_results(connection, rows)
    keep_runs_from(connection, day["club_id"], date.fromisoformat(day["date"]))


def _keep_results(connection: sqlite3.Connection, rows: Iterable[sqlite3.Row]) -> None:
    for row in rows:
        connection.execute(_KEEP, _values_of(row))
        _keep_runs(connection, row["club_id"], row["member_id"], row["date"])


def _keep_asked(connection: sqlite3.Connection, rows: Iterable[sqlite3.Row]) -> None:
    for row in rows:
        connection.execute("DELETE FROM asked WHERE entry_id = ?", (row["id"],))
        counts = Counter(
            charge.technique for charge in charges_of(row) if charge.rung == 1 and charge.technique
        )
        connection.executemany(
            "INSERT INTO asked (member_id, technique, entry_id, steps) VALUES (?, ?, ?, ?)",
            [(row["member_id"], each, row["id"], steps) for each, steps in counts.items()],
        )


def keep_runs_from(connection: sqlite3.Connection, club_id: int, on_date: date) -> None:
    """Count the runs anew that a day added to the posted ones, or taken from them, changes."""
    following = connection.execute(
        "SELECT min(date) FROM day WHERE club_id = ? AND date > ? AND posted_at IS NOT NULL",
        (club_id, on_date.isoformat()),
    ).fetchone()[0]
    members = connection.execute(
        "SELECT DISTINCT member_id FROM result WHERE club_id = ? AND date IN (?, ?)",
        (club_id, on_date.isoformat(), following),
    )
    for (member_id,) in members.fetchall():
        _keep_runs(connection, club_id, member_id, on_date.isoformat())


_RUN = "SELECT run, is_ranked FROM result WHERE member_id = ? AND date = ?"


def _keep_runs(connection: sqlite3.Connection, club_id: int, member_id: int, start: str) -> None:
    """Count a member's runs from a date on, as far as they change."""
    posted = "FROM day WHERE club_id = ? AND posted_at IS NOT NULL"
    before = connection.execute(
        f"SELECT max(date) {posted} AND date < ?", (club_id, start)
    ).fetchone()[0]
    row = connection.execute(_RUN, (member_id, before)).fetchone()
    run = row["run"] if row else 0
    for (day,) in connection.execute(
        f"SELECT date {posted} AND date >= ? ORDER BY date", (club_id, start)
    ):
        row = connection.execute(_RUN, (member_id, day)).fetchone()
        run = run + 1 if row and row["is_ranked"] else 0
        if day > start and (row is None or row["run"] == run):
            return
        connection.execute(
            "UPDATE result SET run = ? WHERE member_id = ? AND date = ?", (run, member_id, day)
        )


RULES = 1
"""To be raised with any change of what is kept of entries: it is made anew then, at the start."""


def is_kept(connection: sqlite3.Connection) -> bool:
    """Say whether what is kept of entries was made by today's rules."""
    found = connection.execute("SELECT 1 FROM kept_by WHERE rules = ?", (RULES,)).fetchone()
    return found is not None


def keep_all(connection: sqlite3.Connection) -> None:
    """Make all that is kept of entries anew; of former members there are none to make it from."""
    connection.execute("DELETE FROM result WHERE member_id > 0")
    connection.execute("DELETE FROM asked")
    for (club_id,) in connection.execute("SELECT id FROM club").fetchall():
        posted = [
            row["date"]
            for row in connection.execute(
                "SELECT date FROM day WHERE club_id = ? AND posted_at IS NOT NULL ORDER BY date",
                (club_id,),
            )
        ]
        members = connection.execute("SELECT id FROM member WHERE club_id = ?", (club_id,))
        for (member_id,) in members.fetchall():
            rows = connection.execute(f"{_FINISHED} AND entry.member_id = ?", (member_id,))
            for row in rows.fetchall():
                connection.execute(_KEEP, _values_of(row))
            _count_runs(connection, member_id, posted)
    _keep_asked(connection, connection.execute("SELECT id, member_id, charges, version FROM entry"))
    connection.execute("INSERT OR REPLACE INTO kept_by (id, rules) VALUES (1, ?)", (RULES,))


def _count_runs(connection: sqlite3.Connection, member_id: int, posted: Iterable[str]) -> None:
    ranked = {
        row["date"]
        for row in connection.execute(
            "SELECT date FROM result WHERE member_id = ? AND is_ranked", (member_id,)
        )
    }
    run, runs = 0, []
    for day in posted:
        run = run + 1 if day in ranked else 0
        if run:
            runs.append((run, member_id, day))
    connection.executemany("UPDATE result SET run = ? WHERE member_id = ? AND date = ?", runs)


def keep_former(connection: sqlite3.Connection, member_id: int, club_id: int, mark: str) -> None:
    """Give a member's results to nobody, before the member goes; `mark` stands in the keys of what
    was said of them."""
    former = connection.execute(
        "INSERT INTO former (club_id, mark) VALUES (?, ?)", (club_id, mark)
    ).lastrowid
    connection.execute(
        "UPDATE result SET member_id = -?, entry_id = NULL WHERE member_id = ?", (former, member_id)
    )


def forget_former(connection: sqlite3.Connection) -> None:
    """Remove former members' results where no post waits any more that is to be mended."""
    left = connection.execute(
        "SELECT id FROM former WHERE NOT EXISTS (SELECT 1 FROM notice WHERE"
        " notice.club_id = former.club_id AND notice.sent_at IS NULL AND (notice.audience = 'mend'"
        " OR notice.reply = x''))"
    ).fetchall()
    for (former,) in left:
        connection.execute("DELETE FROM result WHERE member_id = -?", (former,))
        connection.execute("DELETE FROM former WHERE id = ?", (former,))


# --- reading ---

_PRESENT = "SELECT result.*, member.name FROM result JOIN member ON member.id = result.member_id"
_ALL = (
    "SELECT result.*, coalesce(member.name, '') AS name FROM result"
    " LEFT JOIN member ON member.id = result.member_id"
)
"""Of former members, too, who are called as `FORMER_MEMBER` has it."""


def list_results(
    connection: sqlite3.Connection,
    club_id: int,
    first: date | None,
    last: date | None,
    *,
    with_former: bool = False,
) -> tuple[Result, ...]:
    """Return the finished entries of puzzles dated first to last, both included; None: no bound."""
    rows = connection.execute(
        f"{_ALL if with_former else _PRESENT} WHERE result.club_id = ? AND date BETWEEN ? AND ?"
        " ORDER BY date, finished_at, entry_id",
        (club_id, (first or date.min).isoformat(), (last or date.max).isoformat()),
    )
    return tuple(map(_result_of, rows))


def list_results_of(connection: sqlite3.Connection, member_id: int) -> tuple[Result, ...]:
    """Return one member's finished entries, by date."""
    rows = connection.execute(f"{_PRESENT} WHERE result.member_id = ? ORDER BY date", (member_id,))
    return tuple(map(_result_of, rows))


def _result_of(row: sqlite3.Row) -> Result:
    return Result(
        member_id=row["member_id"],
        name=row["name"],
        date=date.fromisoformat(row["date"]),
        level=row["level"],
        raw=row["raw"],
        added=row["added"],
        hints=row["hints"],
        tries=row["tries"],
        is_late=bool(row["is_late"]),
        verdict=row["verdict"],
        finished_at=moment_of(row["finished_at"]),
    )


def list_former(connection: sqlite3.Connection, club_id: int, mark: str) -> tuple[int, ...]:
    """Return the ids that results of former members of this mark have, the newest first."""
    rows = connection.execute(
        "SELECT id FROM former WHERE club_id = ? AND mark = ? ORDER BY id DESC", (club_id, mark)
    )
    return tuple(-row["id"] for row in rows)
