"""What clubs ask of the rooms that are served, whatever their platform; and who is told of a move.

Rooms know no clubs and clubs no platform: this stands between them.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Mapping

from bot.club.facts import Lacks
from bot.club.ports import Place
from bot.club.state import Club
from bot.platforms.message import Lacking, Room, RoomError

_LOG = logging.getLogger("ninebark.rooms")

Moved = Callable[[int, str], None]
"""Told a club's id, and the room that it meets in from now on. It must not wait."""


class ServedRooms:
    """Implements `bot.club.ports.Rooms`. `rooms` by platform, filled as they are made."""

    def __init__(self, rooms: Mapping[str, Room]) -> None:
        self._rooms = rooms
        self._watching: list[Moved] = []

    def watch(self, moved: Moved) -> None:
        """Have `moved` told of every move."""
        self._watching.append(moved)

    def lacks_in(self, club: Club) -> Lacks | None:
        """Return what the bot may not do in a club's room, None where that is not known."""
        room = self._rooms.get(club.platform)
        lacking = None if room is None else room.lacking(club.room_id)
        return None if lacking is None else _lacks(lacking)

    def server_of(self, club: Club) -> str:
        """Return what a club's room is part of, empty where there is no such thing."""
        room = self._rooms.get(club.platform)
        return "" if room is None else room.server_of(club.room_id)

    async def is_up(self, club: Club, reference: str) -> bool:
        """Say whether a post is still there; as long as that cannot be told, it is."""
        room = self._rooms.get(club.platform)
        try:
            return room is None or await room.is_up(club.room_id, reference)
        except RoomError as problem:
            _LOG.warning("a post could not be looked up: %s", problem)
            return True

    async def find_place(self, club: Club, named: str, user_id: str) -> Place:
        """Return the room that somebody names, as it is for them; none where it is out of reach."""
        room = self._rooms.get(club.platform)
        if room is None:
            return Place()
        try:
            found = await room.find_place(club.room_id, named, user_id)
        except RoomError as problem:
            _LOG.warning("a room could not be looked up: %s", problem)
            return Place()
        return Place(found.room_id, found.title, found.is_led, _lacks(found.lacking), found.how)

    def moved(self, club_id: int, room_id: str) -> None:
        """Tell whoever watches that a club has moved."""
        for moved in self._watching:
            moved(club_id, room_id)

    def in_charge(self, club: Club) -> tuple[str, ...]:
        """Return who leads in a club's room by the platform's own word."""
        room = self._rooms.get(club.platform)
        return () if room is None else room.in_charge(club.room_id)


def _lacks(lacking: Lacking) -> Lacks:
    return Lacks(lacking.rights, lacking.how)
