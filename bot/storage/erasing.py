"""What an erasure takes away: every row of the member, and the name out of what others were told.

Each runs inside a transaction of the caller. What the posts in the room say is mended by notices
that stand in the same transaction; a reply that is kept for another's event says "a former member"
from now on, like these. What is overwritten is gone from the file once the log is folded in.
"""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Container, Iterable
from dataclasses import dataclass

import msgspec

from bot.club.erasing import new_mark
from bot.club.facts import FORMER_MEMBER
from bot.club.people import NAMES, WORDS, rewritten
from bot.club.ports import EraseMember, NoteLeader
from bot.storage.links import drop_links
from bot.storage.members import club_with, days_come_back_to, find_member, note_leader
from bot.storage.memory import Leaver, RoomMemory
from bot.storage.moving import rooms_of
from bot.storage.results import forget_former, keep_former


def erase_member(
    connection: sqlite3.Connection,
    change: EraseMember,
    memories: Iterable[RoomMemory] = (),
    everyday: Container[str] = (),
) -> None:
    """Remove the member, and with the member every row that tells of them alone, also of what the
    room of their platform remembers. `everyday` are words that nobody is known by."""
    who = (change.club_id, change.user_id)
    member = find_member(connection, *who)
    _mark_open_days(connection, *who)
    if member is not None and change.mark:
        keep_former(connection, member.id, change.club_id, change.mark)
    # Entries and results go with the member, by the foreign keys.
    connection.execute("DELETE FROM member WHERE club_id = ? AND user_id = ?", who)
    connection.execute(
        "DELETE FROM notice WHERE club_id = ? AND user_id = ? AND user_id <> ''", who
    )
    connection.execute("DELETE FROM event WHERE club_id = ? AND user_id = ?", who)
    drop_links(connection, *who)
    note_leader(connection, NoteLeader(*who, leads=False))
    # An older Ninebark named people in the keys of what it told leaders about them.
    connection.execute(
        "DELETE FROM notice WHERE club_id = ? AND key >= 'flagged:' AND key < 'flagged;'"
        " AND instr(key || ':', ':' || ? || ':')",
        who,
    )
    forget_former(connection)
    name = "" if member is None else member.name
    leaver = Leaver(change.user_id, name, is_everyday(name, everyday))
    if name:
        _forget_name(connection, change.club_id, leaver)
    club = club_with(connection, change.club_id)
    for memory in memories:
        if memory.platform == club.platform:
            for room_id in rooms_of(connection, club.id):
                memory.erase(connection, room_id, leaver)


def _mark_open_days(connection: sqlite3.Connection, club_id: int, user_id: str) -> None:
    marked = days_come_back_to(connection, club_id, user_id)
    rows = connection.execute(
        "SELECT day.id FROM day JOIN entry ON entry.day_id = day.id"
        " JOIN member ON member.id = entry.member_id"
        " WHERE day.club_id = ? AND member.user_id = ? AND day.is_closed = 0",
        (club_id, user_id),
    )
    for day_id in {row["id"] for row in rows.fetchall()} - marked:
        values = (day_id, *new_mark(user_id))
        connection.execute("INSERT INTO erased (day_id, salt, digest) VALUES (?, ?, ?)", values)


def _forget_name(connection: sqlite3.Connection, club_id: int, leaver: Leaver) -> None:
    """Take a name out of the replies kept for others, and of what still waits to be sent.

    Anybody may be called `date` or `HintShown`: no row goes for it, and nothing but what holds
    people's names and words is touched.
    """
    taken = Taken(leaver, FORMER_MEMBER)
    for table, where in (("event", "names"), ("notice", "sent_at IS NULL")):
        rows = connection.execute(
            f"SELECT id, reply FROM {table} WHERE club_id = ? AND {where} AND instr(reply, ?)",
            (club_id, taken.as_written),
        )
        for row in rows.fetchall():
            kept = rewritten(msgspec.json.decode(row["reply"]), NAMES, taken.from_name)
            left = msgspec.json.encode(rewritten(kept, WORDS, taken.from_words))
            connection.execute(f"UPDATE {table} SET reply = ? WHERE id = ?", (left, row["id"]))


@dataclass(frozen=True, slots=True)
class Taken:
    """Takes a name out of what is kept for others, and leaves a mark in its place.

    A name that is an everyday word stays in what people typed: nobody could tell which is meant,
    and all that they ever wrote would be full of holes.
    """

    leaver: Leaver
    mark: str

    @property
    def as_written(self) -> bytes:
        """The name as it stands inside a JSON text."""
        return msgspec.json.encode(self.leaver.name)[1:-1]

    def from_name(self, text: str) -> str:
        """Return the mark for the name itself, and any other name as it is."""
        return self.mark if text == self.leaver.name else text

    def from_words(self, text: str) -> str:
        """Return what people typed without the name, where it is no everyday word."""
        return self.from_name(text) if self.leaver.is_everyday else self.from_text(text)

    def from_text(self, text: str) -> str:
        """Return a text without the name wherever it stands, not as a part of a longer word."""
        return re.sub(rf"(?<!\w){re.escape(self.leaver.name)}(?!\w)", lambda _: self.mark, text)


def is_everyday(name: str, words: Container[str]) -> bool:
    """Say whether a name is made of everyday words, or of figures, and nothing else."""
    parts = re.findall(r"\w+", name)
    return bool(parts) and all(part.isdigit() or part in words for part in parts)
