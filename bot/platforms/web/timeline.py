"""The web room's timeline: what the log keeps, told at once to every tab that may see it.

Every change has a number, growing as long as the process lives, and the newest changes are
remembered; a tab that comes back names the last number that it saw and is sent what came after.
One that comes from before this process, or from too long ago, is sent everything anew. An entry
of one user never goes to another.
"""

from __future__ import annotations

import asyncio
from collections import deque
from dataclasses import dataclass
from typing import Protocol

from bot.platforms.message import Message
from bot.platforms.web.frames import Entry as EntryFrame
from bot.platforms.web.frames import (
    EntryBody,
    FileBody,
    Gone,
    MessageBody,
    PictureBody,
    encode,
    parse_body,
    size_of_png,
)
from bot.platforms.web.log import LogEntry, RoomLog

REMEMBERED = 500
"""Changes kept for tabs that come back."""

SHOWN = 200
"""Entries sent to a tab that enters anew."""


class Listener(Protocol):
    """A tab in a room."""

    @property
    def room_id(self) -> str:
        """The room that it listens to."""

    @property
    def user_id(self) -> str:
        """Whose private entries it is told besides."""

    def send(self, frame: bytes) -> None:
        """Take a frame without waiting; never raises."""


@dataclass(frozen=True, slots=True)
class _Change:
    no: int
    room_id: str
    user_id: str | None
    frame: bytes

    def is_for(self, room_id: str, user_id: str) -> bool:
        return self.room_id == room_id and self.user_id in (None, user_id)


class Timeline:
    """Keeps entries in `log`, and tells them.

    `epoch` names this process to pages that come back.
    """

    def __init__(self, log: RoomLog, epoch: str) -> None:
        self.log = log
        self.epoch = epoch
        self._no = 0
        self._changes: deque[_Change] = deque(maxlen=REMEMBERED)
        self._listeners: set[Listener] = set()
        # One change at a time: what is written is told in the order in which it was written.
        self._writing = asyncio.Lock()

    async def append(
        self, room_id: str, user_id: str | None, kind: str, body: EntryBody, key: str
    ) -> int:
        """Add an entry once per key, and tell it; return its id."""
        async with self._writing:
            entry_id, is_new = await self.log.append(room_id, user_id, kind, encode(body), key)
            if is_new:
                entry = LogEntry(entry_id, room_id, user_id, kind, encode(body), key)
                self._tell_entry(entry, body)
        return entry_id

    async def replace(self, entry: LogEntry, body: EntryBody) -> None:
        """Give an entry another body, and tell it; `is_gone` is told as its going."""
        async with self._writing:
            await self.log.replace(entry.id, encode(body))
            if body.is_gone:
                self._tell(entry.room_id, entry.user_id, Gone(self._no + 1, entry.id))
            else:
                self._tell_entry(entry, body)

    async def find(self, room_id: str, key: str) -> int | None:
        """Return the id of the room's entry with this key, None where there is none."""
        return await self.log.find(room_id, key)

    async def load(self, room_id: str, reference: str, *kinds: str) -> LogEntry | None:
        """Return the room's entry of one of these kinds, None where the reference means none."""
        if not (reference.isascii() and reference.isdigit()):
            return None
        entry = await self.log.load_entry(int(reference))
        if entry is None or entry.room_id != room_id or entry.kind not in kinds:
            return None
        return entry

    async def body_of(self, message: Message) -> MessageBody:
        """Return a message's body, its picture kept in the log."""
        picture = None
        if message.picture is not None:
            shown = message.picture
            width, height = size_of_png(shown.light)
            picture = PictureBody(
                name=shown.name,
                alt=shown.alt,
                light=await self.log.save_picture(shown.light, shown.facts, "light"),
                dark=await self.log.save_picture(shown.dark, shown.facts, "dark"),
                width=width,
                height=height,
            )
        given = message.file
        return MessageBody(
            text=message.text,
            code=message.code,
            picture=picture,
            buttons=message.buttons,
            form=message.form,
            menus=message.menus,
            file=None if given is None else FileBody(given.name, given.kind, given.raw),
            names=message.names,
        )

    def position(self) -> int:
        """Return the number of the newest change, 0 before the first."""
        return self._no

    def can_resume(self, epoch: str, last: int) -> bool:
        """Tell whether all changes after `last` are remembered."""
        first = self._changes[0].no if self._changes else self._no + 1
        return epoch == self.epoch and first - 1 <= last <= self._no

    async def join(self, listener: Listener, epoch: str, last: int) -> None:
        """Send a tab what it has not seen; from now on it is told every change it may see."""
        after = last
        if not self.can_resume(epoch, last):
            after = self._no
            for entry in await self.log.since(listener.room_id, listener.user_id, 0, SHOWN):
                body = parse_body(entry.body)
                if not body.is_gone:
                    listener.send(self._frame_of(entry, body, after))
        # No await from here on: a change that came during the load is told, none is lost.
        for change in self._changes:
            if change.no > after and change.is_for(listener.room_id, listener.user_id):
                listener.send(change.frame)
        self._listeners.add(listener)

    def leave(self, listener: Listener) -> None:
        """Tell a tab nothing more; one that never joined is no error."""
        self._listeners.discard(listener)

    def _tell_entry(self, entry: LogEntry, body: EntryBody) -> None:
        self._no += 1
        self._spread(entry.room_id, entry.user_id, self._frame_of(entry, body, self._no))

    def _tell(self, room_id: str, user_id: str | None, gone: Gone) -> None:
        self._no = gone.no
        self._spread(room_id, user_id, encode(gone))

    def _spread(self, room_id: str, user_id: str | None, frame: bytes) -> None:
        change = _Change(self._no, room_id, user_id, frame)
        self._changes.append(change)
        for listener in tuple(self._listeners):
            if change.is_for(listener.room_id, listener.user_id):
                listener.send(frame)

    @staticmethod
    def _frame_of(entry: LogEntry, body: EntryBody, no: int) -> bytes:
        is_private = entry.user_id is not None
        return encode(EntryFrame(no, entry.id, entry.kind, is_private, body))
