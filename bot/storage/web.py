"""The web room's timeline and its pictures in SQLite, beside the club's tables.

What a line says is the room's affair: bodies are kept as they come, and only looked at for the
tokens of pictures in them, so that a picture goes with the last line that shows it (by triggers).
Pictures are found by the digest of their bytes, so the same picture is kept once: by its facts,
which draw it again, not by its bytes.
"""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Awaitable, Callable
from datetime import datetime, timedelta

import msgspec

from bot.club.people import rewritten
from bot.platforms.web.frames import parse_body
from bot.platforms.web.guard import opaque_id, user_id_of
from bot.platforms.web.log import LogEntry, Look, token_of
from bot.storage.connection import Database
from bot.storage.erasing import Taken
from bot.storage.memory import Leaver, RoomMemory
from bot.storage.rows import json_of, moment_of, ms_of, utc_now

KEEP_PRIVATE_LINES = timedelta(days=60)
"""How long private lines are kept; what everyone may see stays."""

KEEP_UNUSED_PICTURES = timedelta(days=1)
"""A picture is saved before the line that shows it, so a young one may still get its line."""

_SAYS_BY = b'"by":'

_BY = re.compile(rb'"by":("(?:[^"\\]|\\.)*")')

_SAID = "room_id = ? AND kind NOT IN ('post', 'thread')"
"""Of what a room shows, what the club did not put up itself, and mends; as an index has it."""

_WORDS = frozenset({"alt", "label", "text"})
"""The fields of a line that people read."""

_TAKEN_OUT = "…"
"""What stands in others' lines for the name of somebody who was erased."""

_TOKEN = re.compile(rb"(?<![0-9a-f])[0-9a-f]{64}(?![0-9a-f])")


Draw = Callable[[bytes, Look], Awaitable[bytes]]
"""Draws a picture by its facts."""


class SqliteRoomLog:
    """Implements `bot.platforms.web.log.RoomLog`."""

    def __init__(
        self,
        database: Database,
        now: Callable[[], datetime] = utc_now,
        draw: Draw | None = None,
    ) -> None:
        """`draw` draws what was kept by its facts; without it the pictures themselves are kept."""
        self._database = database
        self._now = now
        self._draw = draw

    async def append(
        self, room_id: str, user_id: str | None, kind: str, body: bytes, key: str | None = None
    ) -> tuple[int, bool]:
        """Add an entry and return its id and True; the id that is there and False for a known key.

        A picture that the body names must be saved before.
        """
        owner = None if user_id is None else opaque_id(room_id, user_id)
        values = (room_id, owner, kind, body, key, ms_of(self._now()))
        return await self._database.write(lambda link: _append(link, values))

    async def replace(self, entry_id: int, body: bytes) -> bool:
        """Give an entry another body, and note its pictures anew; False where there is no entry."""
        return await self._database.write(lambda link: _replace(link, entry_id, body))

    async def remove(self, entry_id: int) -> bool:
        """Take an entry out, and its key with it; False where there is no entry."""
        return await self._database.write(
            lambda link: _changed(link, "DELETE FROM room_log WHERE id = ?", (entry_id,))
        )

    async def since(
        self, room_id: str, user_id: str, after_id: int = 0, limit: int = 200
    ) -> tuple[LogEntry, ...]:
        """Return the newest `limit` entries after `after_id` that a user may see, oldest first."""
        return await self._database.read(
            lambda link: _since(link, room_id, user_id, after_id, max(0, limit))
        )

    async def load_entry(self, entry_id: int) -> LogEntry | None:
        """Return an entry, whoever may see it; None where there is none."""

        def work(link: sqlite3.Connection) -> LogEntry | None:
            row = link.execute("SELECT * FROM room_log WHERE id = ?", (entry_id,)).fetchone()
            return None if row is None else _entry_of(row)

        return await self._database.read(work)

    async def load_own(self, room_id: str, user_id: str, entry_id: int) -> LogEntry | None:
        """Return an entry that this person alone sees; None where it is none of theirs."""

        def work(link: sqlite3.Connection) -> LogEntry | None:
            row = link.execute(
                "SELECT * FROM room_log WHERE id = ? AND room_id = ? AND user_id IN (?, ?)",
                (entry_id, room_id, *_owners(room_id, user_id)),
            ).fetchone()
            return None if row is None else _entry_of(row, user_id)

        return await self._database.read(work)

    async def find(self, room_id: str, key: str) -> int | None:
        """Return the id of a room's entry with this key, None where there is none."""
        return await self._database.read(lambda link: _find(link, room_id, key))

    async def save_picture(self, picture: bytes, facts: bytes = b"", look: Look = "light") -> str:
        """Keep a picture, or what draws it again, and return its token.

        Without a line that shows it, it is forgotten after KEEP_UNUSED_PICTURES.
        """
        token = token_of(picture)
        if facts and self._draw is not None:
            picture = b""
        else:
            facts = b""
        values = (token, picture, ms_of(self._now()), facts, look)
        await self._database.write(
            lambda link: link.execute(
                "INSERT INTO room_picture (token, picture, saved_at, facts, look)"
                " VALUES (?, ?, ?, ?, ?) ON CONFLICT DO NOTHING",
                values,
            )
        )
        return token

    async def load_picture(self, token: str) -> bytes | None:
        """Return a picture's bytes, None where it went with its last line, or cannot be drawn."""

        def work(link: sqlite3.Connection) -> sqlite3.Row | None:
            found: sqlite3.Row | None = link.execute(
                "SELECT picture, facts, look FROM room_picture WHERE token = ?", (token,)
            ).fetchone()
            return found

        row = await self._database.read(work)
        if row is None:
            return None
        if not row["facts"]:
            return bytes(row["picture"])
        return None if self._draw is None else await self._draw(bytes(row["facts"]), row["look"])


def _append(
    link: sqlite3.Connection, values: tuple[str, str | None, str, bytes, str | None, int]
) -> tuple[int, bool]:
    room_id, _, _, body, key, _ = values
    if key is not None and (there := _find(link, room_id, key)) is not None:
        return there, False
    added = link.execute(
        "INSERT INTO room_log (room_id, user_id, kind, body, key, logged_at)"
        " VALUES (?, ?, ?, ?, ?, ?)",
        values,
    ).lastrowid
    assert added is not None
    _note_pictures(link, added, body)
    return added, True


def _replace(link: sqlite3.Connection, entry_id: int, body: bytes) -> bool:
    if not _changed(link, "UPDATE room_log SET body = ? WHERE id = ?", (body, entry_id)):
        return False
    # What it goes on showing stays in use all the time: a picture goes with its last use.
    _note_pictures(link, entry_id, body)
    shown = json_of([token.decode() for token in set(_TOKEN.findall(body))])
    link.execute(
        "DELETE FROM room_picture_use WHERE entry_id = ?"
        " AND token NOT IN (SELECT value FROM json_each(?))",
        (entry_id, shown),
    )
    return True


def _note_pictures(link: sqlite3.Connection, entry_id: int, body: bytes) -> None:
    for token in set(_TOKEN.findall(body)):
        link.execute(
            "INSERT INTO room_picture_use SELECT token, ? FROM room_picture WHERE token = ?"
            " ON CONFLICT DO NOTHING",
            (entry_id, token.decode()),
        )


def prune_lines(link: sqlite3.Connection, now: datetime) -> None:
    """Forget old private lines, and with them their pictures; also those that never had a line."""
    link.execute(
        "DELETE FROM room_log WHERE user_id IS NOT NULL AND logged_at < ?",
        (ms_of(now - KEEP_PRIVATE_LINES),),
    )
    link.execute(
        "DELETE FROM room_picture WHERE is_loose AND saved_at < ?",
        (ms_of(now - KEEP_UNUSED_PICTURES),),
    )


def erase_lines(link: sqlite3.Connection, room_id: str, leaver: Leaver) -> None:
    """Remove one user's private lines and every line that they said, with the pictures that only
    those show, and take their name out of others' lines. The club's own posts are mended."""
    ids = (json_of([row["id"] for row in _own_lines(link, room_id, leaver.user_id)]),)
    link.execute("DELETE FROM room_log WHERE id IN (SELECT value FROM json_each(?))", ids)
    if not leaver.name:
        return
    taken = Taken(leaver, _TAKEN_OUT)
    rows = link.execute(
        f"SELECT id, body FROM room_log WHERE {_SAID} AND instr(body, ?)",
        (room_id, taken.as_written),
    ).fetchall()
    for row in rows:
        body = bytes(row["body"])
        left = _without(body, taken)
        if left != body:
            link.execute("UPDATE room_log SET body = ? WHERE id = ?", (left, row["id"]))


def _own_lines(link: sqlite3.Connection, room_id: str, user_id: str) -> list[sqlite3.Row]:
    """Return one user's private lines and every line that they said, oldest first."""
    private = link.execute(
        "SELECT * FROM room_log WHERE room_id = ? AND user_id IN (?, ?)",
        (room_id, *_owners(room_id, user_id)),
    ).fetchall()
    signed = link.execute(
        f"SELECT * FROM room_log WHERE {_SAID} AND instr(body, ?)", (room_id, _SAYS_BY)
    )
    said = (row for row in signed if _is_said_by(row["body"], user_id))
    found = {row["id"]: row for row in (*private, *said)}
    return [found[id] for id in sorted(found)]


def _without(body: bytes, taken: Taken) -> bytes:
    """Return a line without a name: wherever it stands in a message that names the person, and in
    any other where it is no everyday word."""
    line = msgspec.json.decode(body)
    line["messages"] = [_message_without(each, taken) for each in line.get("messages", ())]
    return msgspec.json.encode(rewritten(line, {"title"}, taken.from_words))


def _message_without(message: dict[str, object], taken: Taken) -> object:
    names = message.get("names")
    if not isinstance(names, list) or taken.leaver.name not in names:
        return rewritten(message, _WORDS, taken.from_words)
    left = {**message, "names": [each for each in names if each != taken.leaver.name]}
    return rewritten(left, _WORDS, taken.from_text)


def export_lines(link: sqlite3.Connection, room_id: str, user_id: str) -> dict[str, object]:
    """Return what one user said in the room, and what stands there for them alone, in words."""
    lines = [
        {"at": moment_of(row["logged_at"]).isoformat(), "kind": row["kind"], "words": words}
        for row in _own_lines(link, room_id, user_id)
        if (words := _words_of(bytes(row["body"])))
    ]
    return {"lines": lines} if lines else {}


def _words_of(body: bytes) -> list[str]:
    messages = parse_body(body).messages
    return [text for each in messages for text in (each.text, each.code) if text]


def _is_said_by(body: bytes, user_id: str) -> bool:
    """Tell whether somebody said a line, known to the club or not."""
    said_by = _BY.search(body)
    return said_by is not None and user_id_of(msgspec.json.decode(said_by[1])) == user_id


def _owners(room_id: str, user_id: str) -> tuple[str, str]:
    """Return what a private line is kept under, now and by an older Ninebark: on the page a name
    is the id, so by now it is no name."""
    return opaque_id(room_id, user_id), user_id


MEMORY = RoomMemory("web", erase_lines, export_lines, prune_lines)


def _find(link: sqlite3.Connection, room_id: str, key: str) -> int | None:
    row = link.execute(
        "SELECT id FROM room_log WHERE room_id = ? AND key = ?", (room_id, key)
    ).fetchone()
    return None if row is None else int(row["id"])


def _changed(link: sqlite3.Connection, statement: str, values: tuple[object, ...]) -> bool:
    return link.execute(statement, values).rowcount == 1


def _since(
    link: sqlite3.Connection, room_id: str, user_id: str, after_id: int, limit: int
) -> tuple[LogEntry, ...]:
    rows = link.execute(
        "SELECT * FROM room_log WHERE room_id = ? AND id > ?"
        " AND (user_id IS NULL OR user_id IN (?, ?)) ORDER BY id DESC LIMIT ?",
        (room_id, after_id, *_owners(room_id, user_id), limit),
    ).fetchall()
    return tuple(_entry_of(row, user_id) for row in reversed(rows))


def _entry_of(row: sqlite3.Row, user_id: str | None = None) -> LogEntry:
    owner = row["user_id"] if user_id is None or row["user_id"] is None else user_id
    return LogEntry(row["id"], row["room_id"], owner, row["kind"], bytes(row["body"]), row["key"])
