"""The web room's memory as an interface: its timeline of entries, and the pictures in them.

`bot.storage.web` keeps it in SQLite; `FakeRoomLog` here keeps it in memory. An entry's body
is JSON that only the room reads. Nothing here decides who may see what beyond one rule: an entry
with a user is for that user alone, one without is for everyone in its room.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, replace
from typing import Literal, Protocol

Look = Literal["light", "dark"]


@dataclass(frozen=True, slots=True)
class LogEntry:
    """One line of a room's timeline. `user_id` None: for everyone. Ids grow with time."""

    id: int
    room_id: str
    user_id: str | None
    kind: str
    body: bytes
    key: str | None


class RoomLog(Protocol):
    """The timeline of every room, oldest first."""

    async def append(
        self, room_id: str, user_id: str | None, kind: str, body: bytes, key: str | None = None
    ) -> tuple[int, bool]:
        """Add an entry; return its id and True.

        Where the room has an entry with this key, return that one's id and False, and add nothing.
        """

    async def replace(self, entry_id: int, body: bytes) -> bool:
        """Give an entry another body; False where there is no such entry."""

    async def remove(self, entry_id: int) -> bool:
        """Take an entry out; False where there is no such entry. Its id is not used again."""

    async def since(
        self, room_id: str, user_id: str, after_id: int = 0, limit: int = 200
    ) -> tuple[LogEntry, ...]:
        """Return what this user may see of the room after `after_id`, oldest first.

        Of more than `limit` entries the newest `limit` are returned.
        """

    async def load_entry(self, entry_id: int) -> LogEntry | None:
        """Return an entry, whoever may see it; None where there is none."""

    async def load_own(self, room_id: str, user_id: str, entry_id: int) -> LogEntry | None:
        """Return an entry that this person alone sees; None where it is none of theirs."""

    async def find(self, room_id: str, key: str) -> int | None:
        """Return the id of the room's entry with this key."""

    async def save_picture(self, picture: bytes, facts: bytes = b"", look: Look = "light") -> str:
        """Keep a picture, by what draws it again where that is given; return its token. The same
        bytes have the same token."""

    async def load_picture(self, token: str) -> bytes | None:
        """Return a picture's bytes by its token, None where there is none (any more)."""


def token_of(picture: bytes) -> str:
    """Return the 64 hexadecimal digits that a picture is kept under: SHA-256 of its bytes."""
    return hashlib.sha256(picture).hexdigest()


class FakeRoomLog:
    """A RoomLog that forgets all when the process ends."""

    def __init__(self) -> None:
        self._entries: dict[int, LogEntry] = {}
        self._pictures: dict[str, bytes] = {}
        self._last_id = 0

    async def append(
        self, room_id: str, user_id: str | None, kind: str, body: bytes, key: str | None = None
    ) -> tuple[int, bool]:
        """Add an entry and return its id and True; the id that is there and False for a known
        key."""
        if key is not None and (there := await self.find(room_id, key)) is not None:
            return there, False
        self._last_id += 1
        entry = LogEntry(self._last_id, room_id, user_id, kind, body, key)
        self._entries[entry.id] = entry
        return entry.id, True

    async def replace(self, entry_id: int, body: bytes) -> bool:
        """Give an entry another body; False where there is no such entry."""
        if entry_id not in self._entries:
            return False
        self._entries[entry_id] = replace(self._entries[entry_id], body=body)
        return True

    async def remove(self, entry_id: int) -> bool:
        """Take an entry out, and its key with it; False where there is no such entry."""
        return self._entries.pop(entry_id, None) is not None

    async def since(
        self, room_id: str, user_id: str, after_id: int = 0, limit: int = 200
    ) -> tuple[LogEntry, ...]:
        """Return the newest `limit` entries after `after_id` that a user may see, oldest first."""
        seen = [
            entry
            for entry in self._entries.values()
            if entry.id > after_id and entry.room_id == room_id and entry.user_id in (None, user_id)
        ]
        return tuple(seen[-limit:]) if limit > 0 else ()

    async def load_entry(self, entry_id: int) -> LogEntry | None:
        """Return an entry, whoever may see it; None where there is none."""
        return self._entries.get(entry_id)

    async def load_own(self, room_id: str, user_id: str, entry_id: int) -> LogEntry | None:
        """Return an entry that this person alone sees; None where it is none of theirs."""
        entry = self._entries.get(entry_id)
        is_own = entry is not None and (entry.room_id, entry.user_id) == (room_id, user_id)
        return entry if is_own else None

    async def find(self, room_id: str, key: str) -> int | None:
        """Return the id of the room's entry with this key, None where there is none."""
        for entry in self._entries.values():
            if entry.room_id == room_id and entry.key == key:
                return entry.id
        return None

    async def save_picture(self, picture: bytes, facts: bytes = b"", look: Look = "light") -> str:
        """Keep a picture and return its token. Unlike SQLite's, it is never forgotten."""
        token = token_of(picture)
        self._pictures[token] = picture
        return token

    async def load_picture(self, token: str) -> bytes | None:
        """Return a picture's bytes by its token, None where there is none."""
        return self._pictures.get(token)
