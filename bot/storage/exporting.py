"""What is kept of one member, ready for JSON: rows, private answers and notices, lines of the room.

Each runs inside a transaction of the caller. An erasure (`erasing`) takes away the same.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Mapping

import msgspec

from bot.club.clock import counted_from, whole_seconds
from bot.club.state import MemberSolve
from bot.storage.links import list_links
from bot.storage.members import club_with, days_come_back_to, find_member
from bot.storage.memory import RoomMemory
from bot.storage.moving import rooms_of
from bot.storage.practice import export_practice
from bot.storage.questions import export_tries
from bot.storage.rows import entry_of, moment_of


def export_member(
    connection: sqlite3.Connection,
    club_id: int,
    user_id: str,
    memories: Iterable[RoomMemory] = (),
) -> dict[str, object]:
    """Return all that is kept of somebody, also of what the room of their platform remembers; an
    empty dict where that is nothing. What was told them is in `told`, as encoded replies."""
    club, member = club_with(connection, club_id), find_member(connection, club_id, user_id)
    kept: dict[str, object] = {}
    if member is not None:
        kept |= {
            "user_id": member.user_id,
            "name": member.name,
            "entries": _entries(connection, member.id),
        }
        kept |= member.wishes
        kept |= _if_any("questions", export_tries(connection, member.id))
        kept |= _if_any("practice", export_practice(connection, member.id))
    kept |= _if_any("told", _told(connection, club_id, user_id))
    kept |= _if_any("links", list(list_links(connection, club_id, user_id)))
    marked = days_come_back_to(connection, club_id, user_id)
    kept |= _if_any("erased_while_open", _dates_of(connection, marked))
    for memory in memories:
        if memory.platform == club.platform:
            for room_id in rooms_of(connection, club_id):
                _join(kept, memory.export(connection, room_id, user_id))
    return kept


def _join(kept: dict[str, object], found: Mapping[str, object]) -> None:
    """Add what one more room remembers; what is no list is the same of every room."""
    for name, new in found.items():
        there = kept.get(name)
        if isinstance(there, list) and isinstance(new, list):
            kept[name] = [*there, *new]
        else:
            kept.setdefault(name, new)


def _if_any(name: str, found: list[object]) -> dict[str, object]:
    return {name: found} if found else {}


def _entries(connection: sqlite3.Connection, member_id: int) -> list[Mapping[str, object]]:
    rows = connection.execute(
        "SELECT entry.*, day.date, coalesce(day.posted_at, day.due_at) AS seen_at FROM entry"
        " JOIN day ON day.id = entry.day_id WHERE entry.member_id = ? ORDER BY day.date",
        (member_id,),
    )
    found: list[Mapping[str, object]] = []
    for row in rows.fetchall():
        entry = entry_of(row)
        result = _result_of(entry, row)
        found.append({"date": row["date"], **msgspec.to_builtins(entry), "result": result})
    return found


def _result_of(entry: MemberSolve, row: sqlite3.Row) -> dict[str, int] | None:
    """Return the seconds that the tables show, None where it is not finished."""
    if entry.finished_at is None:
        return None
    start = counted_from(moment_of(row["seen_at"]), entry.started_at, entry.finished_at)
    return {"clock": whole_seconds(start, entry.finished_at), "added": entry.added_seconds}


def _told(connection: sqlite3.Connection, club_id: int, user_id: str) -> list[object]:
    """Return what somebody was told in private, answers and notices, oldest first; of a notice that
    is out no words are kept."""
    rows = connection.execute(
        "SELECT saved_at AS at, reply FROM event WHERE club_id = ?1 AND user_id = ?2"
        " UNION ALL SELECT queued_at, reply FROM notice WHERE club_id = ?1 AND user_id = ?2"
        " AND user_id <> '' AND length(reply) > 0 ORDER BY 1",
        (club_id, user_id),
    )
    return [
        {"at": moment_of(row["at"]).isoformat(), "reply": bytes(row["reply"]).decode()}
        for row in rows
    ]


def _dates_of(connection: sqlite3.Connection, day_ids: Iterable[int]) -> list[object]:
    dated = "SELECT date FROM day WHERE id = ?"
    return [connection.execute(dated, (day_id,)).fetchone()["date"] for day_id in sorted(day_ids)]
