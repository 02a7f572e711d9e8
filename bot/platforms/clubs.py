"""What a room may ask of the clubs that meet on its platform, and tell them. Nothing here is of any
one platform, and a room knows no club but by this.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Collection
from dataclasses import dataclass, field
from typing import Protocol

from bot.platforms.message import Incoming, Message


class Founder(Protocol):
    """Makes clubs for leaders who ask in a place that has none."""

    async def __call__(self, incoming: Incoming, name: str) -> tuple[Message, ...]:
        """Make a club in `incoming.room_id`, asleep, called `name`; return how to set it up.

        Where the room has a club already, that one is set up.
        """


PlaceChanged = Callable[[str, bool], None]
"""Told the id of a club's room, and whether the bot can be there now."""

ClubsOf = Callable[[str], Awaitable[tuple[str, ...]]]
"""Takes a person's id and returns the rooms of the clubs that they are a member of."""


ClubsIn = Callable[[str], Awaitable[tuple[str, ...]]]
"""Takes the id of what rooms are part of, a server, and returns the rooms of the clubs that were
there when that was told last."""

ServerOf = Callable[[str], Awaitable[str]]
"""Takes a club's room and returns what it was part of when that was told last."""


async def no_server(room_id: str) -> str:
    """Know of nothing around a room."""
    return ""


def same_room(room_id: str) -> str:
    """Know of no club that has moved."""
    return room_id


def tell_nobody(room_id: str, is_there: bool) -> None:
    """Leave it unsaid that a room was lost or found."""


async def no_clubs(user_id: str) -> tuple[str, ...]:
    """Know of nobody's clubs."""
    return ()


class Meant(Protocol):
    """Which club somebody means in a chat with the bot alone, where they are in several."""

    async def load(self, user_id: str) -> str | None:
        """Return the room of the club that they have chosen last, None where they have not."""

    async def save(self, user_id: str, room_id: str) -> None:
        """Note which club they choose."""


class NoneMeant:
    """A `Meant` that remembers nothing."""

    async def load(self, user_id: str) -> str | None:
        """Know of no choice."""
        return None

    async def save(self, user_id: str, room_id: str) -> None:
        """Forget the choice."""


def begins_nothing(line: str) -> bool:
    """Know of no line that begins a clock."""
    return False


@dataclass(frozen=True, slots=True)
class Clubs:
    """The clubs of one platform, as its room sees them.

    `room_ids` are the rooms that have a club, read anew each time. Without a `founder` none can be
    made. `present` takes a room and returns where the club meets that has left it; the room itself
    where there is none such. `led_by`: the clubs whose own list of leaders names a person.
    `begins` tells of a line that begins a clock, which runs from when its answer can be had.
    """

    room_ids: Collection[str]
    founder: Founder | None = None
    place_changed: PlaceChanged = tell_nobody
    clubs_of: ClubsOf = no_clubs
    present: Callable[[str], str] = same_room
    server_of: ServerOf = no_server
    clubs_in: ClubsIn = no_clubs
    led_by: ClubsOf = no_clubs
    begins: Callable[[str], bool] = begins_nothing
    meant: Meant = field(default_factory=NoneMeant)
