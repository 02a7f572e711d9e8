"""What an erasure takes away: every row of the member, and the name out of what others were told.

Each runs inside a transaction of the caller. What the posts in the room say is mended by notices
that stand in the same transaction; a reply that is kept for another's event says "a former member"
from now on, like these. What is overwritten is gone from the file once the log is folded in.
"""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Iterable, Set

import msgspec

from bot.club.erasing import new_mark
from bot.club.facts import FORMER_MEMBER
from bot.club.ports import EraseMember
from bot.storage.members import club_with, days_come_back_to, find_member
from bot.storage.memory import RoomMemory


def erase_member(
    connection: sqlite3.Connection, change: EraseMember, memories: Iterable[RoomMemory] = ()
) -> None:
    """Remove the member, and with the member every row that tells of them alone, also of what the
    room of their platform remembers."""
    who = (change.club_id, change.user_id)
    member = find_member(connection, *who)
    _mark_open_days(connection, *who)
    # Entries go with the member, by the foreign key.
    connection.execute("DELETE FROM member WHERE club_id = ? AND user_id = ?", who)
    connection.execute("DELETE FROM notice WHERE club_id = ? AND user_id = ?", who)
    connection.execute("DELETE FROM event WHERE club_id = ? AND user_id = ?", who)
    # An older Ninebark named people in the keys of what it told leaders about them.
    connection.execute(
        "DELETE FROM notice WHERE club_id = ? AND key LIKE 'flagged:%'"
        " AND instr(key || ':', ':' || ? || ':')",
        who,
    )
    name = "" if member is None else member.name
    if name:
        _forget_name(connection, change.club_id, name)
    club = club_with(connection, change.club_id)
    for memory in memories:
        if memory.platform == club.platform:
            memory.erase(connection, club.room_id, change.user_id, name)


def _mark_open_days(connection: sqlite3.Connection, club_id: int, user_id: str) -> None:
    marked = days_come_back_to(connection, club_id, user_id)
    rows = connection.execute(
        "SELECT day.id FROM day JOIN entry ON entry.day_id = day.id"
        " JOIN member ON member.id = entry.member_id"
        " WHERE day.club_id = ? AND member.user_id = ? AND NOT day.is_closed",
        (club_id, user_id),
    )
    for day_id in {row["id"] for row in rows.fetchall()} - marked:
        values = (day_id, *new_mark(user_id))
        connection.execute("INSERT INTO erased (day_id, salt, digest) VALUES (?, ?, ?)", values)


def _forget_name(connection: sqlite3.Connection, club_id: int, name: str) -> None:
    """Take a name out of the replies kept for others, and of what still waits to be sent.

    Anybody may be called `date` or `HintShown`: no row goes for it, and nothing but what holds
    people's names and words is touched.
    """
    for table in ("event", "notice"):
        rows = connection.execute(
            f"SELECT id, reply FROM {table} WHERE club_id = ? AND instr(reply, ?)",
            (club_id, msgspec.json.encode(name)[1:-1]),
        )
        for row in rows.fetchall():
            left = without_name(row["reply"], name, names=NAMES, words=WORDS, mark=FORMER_MEMBER)
            connection.execute(f"UPDATE {table} SET reply = ? WHERE id = ?", (left, row["id"]))


NAMES = frozenset({"flagged", "member", "name", "names"})
"""The fields of replies that hold people's names and nothing else that could be taken for one."""

WORDS = frozenset({"reason", "text", "typed"})
"""The fields of replies that hold what people typed."""


def without_name(
    written: bytes, name: str, *, names: Set[str], words: Set[str], mark: str
) -> bytes:
    """Return a JSON text with `mark` for a name: where it is all of a field among `names`, and
    where it stands in a field among `words`, not as a part of a longer word."""
    within = re.compile(rf"(?<!\w){re.escape(name)}(?!\w)")

    def left(value: object, field: str) -> object:
        match value:
            case dict():
                return {key: left(each, key) for key, each in value.items()}
            case list():
                return [left(each, field) for each in value]
            case str() if field in words:
                return within.sub(lambda _: mark, value)
            case str() if field in names and value == name:
                return mark
        return value

    return msgspec.json.encode(left(msgspec.json.decode(written), ""))
