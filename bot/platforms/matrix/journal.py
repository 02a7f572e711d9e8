"""What the Matrix room has to remember, as values and an interface: all that came in and went out.

Events that came in are saved together with the place in the stream up to which we have heard, so a
crash neither loses nor repeats one. What goes out is saved with its transaction id before it is
sent, so sending it again gives the same event. SQLite's side is in `bot.storage.matrix.journal`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Protocol

from bot.platforms.matrix.news import SetAside


@dataclass(frozen=True, slots=True)
class InboxEvent:
    """An event of a room, as JSON. `is_sealed`: it could not be decrypted so far.

    `stamped_at` is the homeserver's stamp, `received_at` ours. `after_gap`: we had not been
    listening just before, so the stamp may be old by right. `tries` counts attempts to decrypt.
    """

    event_id: str
    room_id: str
    sender: str
    stamped_at: datetime
    received_at: datetime
    body: bytes
    is_sealed: bool = False
    after_gap: bool = False
    tries: int = 0


@dataclass(frozen=True, slots=True)
class Draft:
    """One event that goes out. `content` is JSON, emptied once it is out.

    `key` and `part` name it within `room_id`, the club's room; `target` is the room that it goes
    to. `relation` to the first part of its key: `thread`, `annotation` or none. `commands` are
    the command lines that reactions to it stand for.
    """

    room_id: str
    key: str
    part: int
    target: str
    transaction_id: str
    kind: str
    content: bytes
    relation: str = ""
    commands: tuple[str, ...] = ()
    event_id: str | None = None


@dataclass(frozen=True, slots=True)
class Unread:
    """Something that was set aside: how often it came, and when it came last."""

    thing: SetAside
    times: int
    last_at: datetime


@dataclass(frozen=True, slots=True)
class DirectRoom:
    """The private room of one person in one club; `room_id` empty: their own chat, for all of their
    clubs. `target` None: being opened, or none of the club's own."""

    room_id: str
    user_id: str
    target: str | None


class Journal(Protocol):
    """Every method is one transaction."""

    async def load_token(self) -> str | None:
        """Return the place in the stream up to which we have heard; None before the first sync."""

    async def take_in(
        self,
        token: str,
        events: Sequence[InboxEvent],
        sent: Mapping[str, str],
        unreadable: Sequence[SetAside] = (),
    ) -> tuple[InboxEvent, ...]:
        """Save the new events and the token; return all that is not finished, oldest first.

        `sent`: event ids of ours by transaction id. `unreadable` is kept, up to a limit, and
        counted.
        """

    async def load_event(self, event_id: str) -> InboxEvent | None:
        """Return an event that came in; its body is empty when it is finished."""

    async def open_sealed(self, event_id: str, body: bytes) -> None:
        """Replace a sealed event by what it says."""

    async def note_try(self, event_id: str) -> None:
        """Count one more attempt to decrypt an event."""

    async def finish(self, event_id: str) -> None:
        """Note that an event needs nothing more, and forget what it said."""

    async def give_up(self, event: InboxEvent, problem: str) -> None:
        """Finish an event that cannot be read, and keep it among what is set aside."""

    async def count_unreadable(self) -> int:
        """Return how much was set aside in all."""

    async def load_unreadable(self) -> tuple[Unread, ...]:
        """Return what is kept of what was set aside, the newest first."""

    async def save_drafts(self, drafts: Sequence[Draft]) -> tuple[Draft, ...]:
        """Save the parts of one key, or return those that are there already."""

    async def load_drafts(self, room_id: str, key: str) -> tuple[Draft, ...]:
        """Return the parts of a key in their order, sent or not; none for an unknown key."""

    async def find_newest(self, room_id: str, prefix: str) -> str | None:
        """Return the key that begins so and was saved last, None where there is none."""

    async def load_unsent(self) -> tuple[Draft, ...]:
        """Return what was saved and is not known to be out, oldest first."""

    async def find_sent(self, event_id: str) -> Draft | None:
        """Return what went out as an event, None where it is not ours or is forgotten."""

    async def change_commands(self, event_id: str, commands: tuple[str, ...]) -> None:
        """Note what the choices of a message that was sent do from now on."""

    async def mark_sent(self, draft: Draft, event_id: str) -> None:
        """Note the event that a draft became, and forget its content; the first such note
        stands."""

    async def drop_drafts(self, room_id: str, key: str) -> None:
        """Forget parts that cannot be sent."""

    async def load_direct(self, room_id: str, user_id: str) -> DirectRoom | None:
        """Return one person's private room in a club, None where none was begun."""

    async def find_direct(self, target: str) -> DirectRoom | None:
        """Return whose private room `target` is, None where it is nobody's."""

    async def save_direct(self, direct: DirectRoom) -> None:
        """Note a person's private room in a club, in the place of an earlier one."""

    async def count_limits(self) -> int:
        """Return how often the homeserver made us slow down."""

    async def note_limit(self) -> None:
        """Count one more time that the homeserver made us slow down."""
