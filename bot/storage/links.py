"""Links and the sessions that came of them: statements, each inside a transaction of the caller.

Secrets come as digests and are never seen here. A link of a board is good until AFTERWARDS after
its day has closed, whenever that comes to be, one to the room until it is taken back; a session is
good as long as its link.
"""

from __future__ import annotations

import hmac
import sqlite3
from dataclasses import dataclass
from datetime import datetime, timedelta

from bot.club.state import Club
from bot.platforms.links import LinkProblem
from bot.storage.members import club_with
from bot.storage.rows import moment_of, ms_of

AFTERWARDS = timedelta(days=1)
"""How long after its day has closed a board's link is good."""

MOST_DEVICES = 20
"""Sessions of one link into the room: who comes by it again gets the place of the oldest."""


@dataclass(frozen=True, slots=True)
class NewLink:
    """A link to be kept: of a member of a club, to the board of `date`, or where that is empty to
    the room."""

    id: str
    club_id: int
    user_id: str
    name: str
    date: str
    secret: bytes


@dataclass(frozen=True, slots=True)
class KeptLink:
    """A link that is there, and the club that it is of."""

    club: Club
    user_id: str
    name: str
    date: str


def save_link(connection: sqlite3.Connection, link: NewLink, at: datetime) -> None:
    """Keep a link in the place of the member's one before of its kind, whose sessions end."""
    connection.execute(
        "DELETE FROM link WHERE club_id = ? AND user_id = ? AND (date = '') = ?",
        (link.club_id, link.user_id, link.date == ""),
    )
    connection.execute(
        "INSERT INTO link (id, club_id, user_id, name, date, secret, made_at)"
        " VALUES (?, ?, ?, ?, ?, ?, ?)",
        (link.id, link.club_id, link.user_id, link.name, link.date, link.secret, ms_of(at)),
    )


def drop_links(connection: sqlite3.Connection, club_id: int, user_id: str) -> None:
    """Take back a member's links, and with them every session."""
    connection.execute("DELETE FROM link WHERE club_id = ? AND user_id = ?", (club_id, user_id))


def drop_invitation(connection: sqlite3.Connection, club_id: int, user_id: str) -> bool:
    """Take back the link by which somebody comes into a room; False where there is none."""
    gone = "DELETE FROM link WHERE club_id = ? AND user_id = ? AND date = ''"
    return connection.execute(gone, (club_id, user_id)).rowcount > 0


def redeem(
    connection: sqlite3.Connection,
    link_id: str,
    secret: bytes,
    session: bytes,
    at: datetime,
    *,
    to_room: bool,
) -> KeptLink | LinkProblem:
    """Give a session for a link's secret, for a board's once, and return the link."""
    row = _find(connection, link_id, to_room)
    if row is None or not hmac.compare_digest(bytes(row["secret"]), secret):
        return LinkProblem.UNKNOWN
    if _is_over(row, at):
        return LinkProblem.OVER
    used = "SELECT 1 FROM link_session WHERE link_id = ?"
    if not to_room and connection.execute(used, (link_id,)).fetchone() is not None:
        return LinkProblem.USED
    connection.execute(
        "DELETE FROM link_session WHERE secret IN (SELECT secret FROM link_session"
        " WHERE link_id = ? ORDER BY made_at DESC LIMIT -1 OFFSET ?)",
        (link_id, MOST_DEVICES - 1),
    )
    connection.execute(
        "INSERT INTO link_session (secret, link_id, made_at) VALUES (?, ?, ?)",
        (session, link_id, ms_of(at)),
    )
    return _kept(connection, row)


def find_session(
    connection: sqlite3.Connection, link_id: str, session: bytes, at: datetime, *, to_room: bool
) -> KeptLink | LinkProblem:
    """Return the link that a session came of, where it still is good."""
    there = connection.execute(
        "SELECT 1 FROM link_session WHERE secret = ? AND link_id = ?", (session, link_id)
    ).fetchone()
    row = None if there is None else _find(connection, link_id, to_room)
    if row is None:
        return LinkProblem.UNKNOWN
    return LinkProblem.OVER if _is_over(row, at) else _kept(connection, row)


def load_invited(connection: sqlite3.Connection, club_id: int) -> dict[str, str]:
    """Return the names of whom a link brings into a club's room, by user id."""
    rows = connection.execute(
        "SELECT user_id, name FROM link WHERE club_id = ? AND date = ''", (club_id,)
    )
    return {row["user_id"]: row["name"] for row in rows}


def drop_session(connection: sqlite3.Connection, link_id: str, session: bytes) -> None:
    """End one session of a link; the others of it, and the link, stay."""
    gone = "DELETE FROM link_session WHERE secret = ? AND link_id = ?"
    connection.execute(gone, (session, link_id))


def prune_links(connection: sqlite3.Connection, now: datetime) -> None:
    """Forget the links of days that are long over, or are no more."""
    connection.execute(
        "DELETE FROM link WHERE date <> '' AND NOT EXISTS (SELECT 1 FROM day"
        " WHERE day.club_id = link.club_id AND day.date = link.date AND day.closes_at > ?)",
        (ms_of(now - AFTERWARDS),),
    )


def _find(connection: sqlite3.Connection, link_id: str, to_room: bool) -> sqlite3.Row | None:
    found: sqlite3.Row | None = connection.execute(
        "SELECT link.*, day.closes_at FROM link LEFT JOIN day"
        " ON day.club_id = link.club_id AND day.date = link.date WHERE link.id = ?"
        " AND (link.date = '') = ?",
        (link_id, to_room),
    ).fetchone()
    return found


def _is_over(row: sqlite3.Row, at: datetime) -> bool:
    """Tell whether a board's day is over for its links; one that was taken back is."""
    if not row["date"]:
        return False
    return row["closes_at"] is None or ms_of(at - AFTERWARDS) >= row["closes_at"]


def _kept(connection: sqlite3.Connection, row: sqlite3.Row) -> KeptLink:
    club = club_with(connection, row["club_id"])
    return KeptLink(club, row["user_id"], row["name"], row["date"])


def list_links(
    connection: sqlite3.Connection, club_id: int, user_id: str
) -> tuple[dict[str, str], ...]:
    """Return which links somebody has, and since when; no secret."""
    rows = connection.execute(
        "SELECT date, made_at FROM link WHERE club_id = ? AND user_id = ? ORDER BY made_at",
        (club_id, user_id),
    )
    return tuple({"date": row["date"], "at": moment_of(row["made_at"]).isoformat()} for row in rows)
