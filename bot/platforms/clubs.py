"""What a room may ask of the clubs that meet on its platform, and tell them. Nothing here is of any
one platform, and a room knows no club but by this.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Collection
from dataclasses import dataclass
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


def tell_nobody(room_id: str, is_there: bool) -> None:
    """Leave it unsaid that a room was lost or found."""


async def no_clubs(user_id: str) -> tuple[str, ...]:
    """Know of nobody's clubs."""
    return ()


@dataclass(frozen=True, slots=True)
class Clubs:
    """The clubs of one platform, as its room sees them.

    `room_ids` are the rooms that have a club, read anew each time. Without a `founder` none can be
    made.
    """

    room_ids: Collection[str]
    founder: Founder | None = None
    place_changed: PlaceChanged = tell_nobody
    clubs_of: ClubsOf = no_clubs
