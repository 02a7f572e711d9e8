"""Statements that read what tables and members' own pages are made of, from the sums that are kept.

None reads more than one period's sums or one member's results. What each returns is defined, in
plain arithmetic, by `bot.club.table`.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Collection
from datetime import date

from bot.club.clock import Period
from bot.club.self_page import OwnRecord
from bot.club.state import MemberSolve
from bot.club.table import BEFORE, Bests, Standing, Sums
from bot.storage.members import find_member
from bot.storage.results import list_results_of

_SUMS = "SELECT * FROM tally WHERE club_id = :club_id AND span = :span"
_SUMS_OF_A_DAY = """
    SELECT
        member_id, is_ranked AS solved, is_ranked * (raw + added) AS adjusted,
        is_ranked * raw AS raw, is_ranked * hints AS hints, is_ranked * tries AS wrong,
        is_late AND verdict <> 'unranked' AS late
    FROM result WHERE club_id = :club_id AND date = :first
"""

_STANDING = f"""
    SELECT
        sums.*, coalesce(member.name, '') AS name,
        (SELECT json_group_array(adjusted) FROM (
            SELECT raw + added AS adjusted FROM result
            WHERE result.member_id = sums.member_id AND is_ranked AND date < :first
            ORDER BY date DESC LIMIT {BEFORE}
        )) AS before,
        (SELECT max(level) FROM result WHERE result.member_id = sums.member_id AND is_ranked
            {{within}}) AS highest,
        {{highest_before}} AS highest_before
    FROM ({{sums}}) AS sums LEFT JOIN member ON member.id = sums.member_id
    WHERE sums.member_id > 0 OR :with_former
"""

_HIGHEST_BEFORE = """(
    SELECT level FROM result WHERE result.member_id = sums.member_id AND is_ranked
        AND date < :first ORDER BY level DESC LIMIT 1
)"""


def span_of(period: Period, first: date | None) -> str:
    """Return how `tally` names a period, as its triggers do."""
    if first is None:
        return "all"
    return f"month {first:%Y-%m}" if period == "month" else f"week {first.isoformat()}"


def load_standing(
    connection: sqlite3.Connection,
    club_id: int,
    period: Period,
    first: date | None,
    last: date | None,
    still_open: Collection[date],
    *,
    with_former: bool,
) -> Standing:
    """Return what the table of a period is made of."""
    values = {
        "club_id": club_id,
        "span": span_of(period, first),
        "first": (first or date.min).isoformat(),
        "last": (last or date.max).isoformat(),
        "with_former": with_former,
    }
    sums = _SUMS_OF_A_DAY if period == "day" else _SUMS
    # Nothing comes before all time, and all of a member's results would be looked through for it.
    statement = _STANDING.format(
        sums=sums,
        within="AND date BETWEEN :first AND :last" if first else "",
        highest_before=_HIGHEST_BEFORE if first else "0",
    )
    rows = connection.execute(statement, values).fetchall()
    streaks, _ = _streaks(connection, club_id, values["last"], still_open)
    return Standing(
        first,
        last,
        tuple(_sums_of(row, streaks.get(row["member_id"], 0)) for row in rows),
        (
            _date_of(connection, "max(date)", "date < :first", values),
            _date_of(connection, "min(date)", "date > :last", values),
        ),
        has_puzzle=_date_of(connection, "min(date)", "date BETWEEN :first AND :last", values)
        is not None,
        is_first=not _has_ranked_before(connection, values),
    )


def _sums_of(row: sqlite3.Row, streak: int) -> Sums:
    return Sums(
        member_id=row["member_id"],
        name=row["name"],
        solved=row["solved"],
        adjusted=row["adjusted"],
        raw=row["raw"],
        hints=row["hints"],
        late=row["late"],
        wrong=row["wrong"],
        streak=streak,
        before=tuple(json.loads(row["before"])),
        highest=row["highest"] or 0,
        highest_before=row["highest_before"] or 0,
    )


def _date_of(
    connection: sqlite3.Connection, wanted: str, where: str, values: dict[str, object]
) -> date | None:
    found = connection.execute(
        f"SELECT {wanted} FROM day WHERE club_id = :club_id AND posted_at IS NOT NULL AND {where}",
        values,
    ).fetchone()[0]
    return None if found is None else date.fromisoformat(found)


def _has_ranked_before(connection: sqlite3.Connection, values: dict[str, object]) -> bool:
    found = connection.execute(
        "SELECT 1 FROM result WHERE club_id = :club_id AND date < :first AND is_ranked"
        " AND (member_id > 0 OR :with_former) LIMIT 1",
        values,
    ).fetchone()
    return found is not None


def _streaks(
    connection: sqlite3.Connection, club_id: int, last: object, still_open: Collection[date]
) -> tuple[dict[int, int], dict[int, int]]:
    """Return how many puzzles in a row members had solved by a date, by member id: their runs on
    the last date before any that is still open, and what they did on those after it; and the
    longest that it was on the way."""
    posted = "FROM day WHERE club_id = ? AND posted_at IS NOT NULL"
    unsure = {day.isoformat() for day in still_open}
    begin = min((day for day in unsure if day <= str(last)), default="9999-12-31")
    before = connection.execute(
        f"SELECT max(date) {posted} AND date <= ? AND date < ?", (club_id, last, begin)
    ).fetchone()[0]
    streaks = {
        row["member_id"]: row["run"]
        for row in connection.execute(
            "SELECT member_id, run FROM result WHERE club_id = ? AND date = ?", (club_id, before)
        )
    }
    longest = dict(streaks)
    for (day,) in connection.execute(
        f"SELECT date {posted} AND date >= ? AND date <= ? ORDER BY date", (club_id, begin, last)
    ).fetchall():
        solved = {
            row["member_id"]
            for row in connection.execute(
                "SELECT member_id FROM result WHERE club_id = ? AND date = ? AND is_ranked",
                (club_id, day),
            )
        }
        kept = streaks if day in unsure else {}
        streaks = {
            each: streaks.get(each, 0) + 1 if each in solved else streaks[each]
            for each in solved | kept.keys()
        }
        longest |= {each: max(run, longest.get(each, 0)) for each, run in streaks.items()}
    return streaks, longest


# --- one member ---


def load_record(
    connection: sqlite3.Connection,
    club_id: int,
    user_id: str,
    still_open: Collection[date],
    apart_from: MemberSolve | None,
) -> OwnRecord:
    """Return what is known of one member."""
    member = find_member(connection, club_id, user_id)
    if member is None:
        return OwnRecord()
    streaks, longest = _streaks(connection, club_id, date.max.isoformat(), still_open)
    best = connection.execute(
        "SELECT max(run) FROM result WHERE member_id = ?", (member.id,)
    ).fetchone()[0]
    asked = connection.execute(
        "SELECT technique, sum(steps) AS steps FROM asked WHERE member_id = ? AND entry_id <> ?"
        " GROUP BY technique",
        (member.id, 0 if apart_from is None else apart_from.id),
    )
    return OwnRecord(
        results=list_results_of(connection, member.id),
        streak=streaks.get(member.id, 0),
        best_streak=max(best or 0, longest.get(member.id, 0)),
        bests=load_bests(connection, club_id, user_id),
        asked={row["technique"]: row["steps"] for row in asked},
    )


def load_bests(connection: sqlite3.Connection, club_id: int, user_id: str) -> Bests:
    """Return a member's best result of each level, the earliest of equal ones."""
    member = find_member(connection, club_id, user_id)
    if member is None:
        return ()
    rows = connection.execute(
        "SELECT level, raw + added AS adjusted, date FROM result"
        " WHERE member_id = ? AND is_ranked ORDER BY level, adjusted, date",
        (member.id,),
    )
    bests: dict[int, tuple[int, int, date]] = {}
    for row in rows:
        if row["level"] not in bests:
            day = date.fromisoformat(row["date"])
            bests[row["level"]] = (row["level"], row["adjusted"], day)
    return tuple(bests.values())
