"""Who may do what from where: the one place that lets an act from Matrix in.

The homeserver vouches for an event's sender, room and receipt; `inbound` has read it. What
counts as said in private is what the room's one person says in a room of two; who leads is asked
of the club's own room, and of who is in it now. A press counts from whom the choice was offered, in
the room where it was. A club begins only where somebody is who may bring the bot into rooms. Only
this module makes an `Incoming` here.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from bot.platforms.clubs import Clubs
from bot.platforms.matrix import reading
from bot.platforms.matrix.direct import DirectRooms
from bot.platforms.matrix.journal import Draft, InboxEvent
from bot.platforms.matrix.news import Closing
from bot.platforms.matrix.places import Places
from bot.platforms.message import Incoming, Photo

PLATFORM = "matrix"
LEADER_POWER = 50


@dataclass(frozen=True, slots=True)
class Spot:
    """Where something was said: `room_id` is the club's room, also of what is said in private."""

    room_id: str
    is_private: bool
    has_club: bool


class Door:
    """`allowed`: who may bring the bot into rooms."""

    def __init__(
        self,
        places: Places,
        direct: DirectRooms,
        *,
        clubs: Clubs,
        allowed: Collection[str],
        now: Callable[[], datetime],
    ) -> None:
        self._places = places
        self._direct = direct
        self._clubs = clubs
        self._allowed = allowed
        self._now = now

    async def spot_of(self, event: InboxEvent) -> Spot | None:
        """Return where an event was said; None where it is in somebody else's private room."""
        direct = await self._direct.find(event.room_id)
        if direct is None:
            return self._spot(event.room_id, is_private=False)
        if direct.user_id != event.sender:
            return None
        return self._spot(direct.room_id, is_private=True)

    def _spot(self, room_id: str, *, is_private: bool) -> Spot:
        """Return the spot of a room, or of the one that its club meets in by now."""
        present = self._clubs.present(room_id)
        return Spot(present, is_private=is_private, has_club=present in self._clubs.room_ids)

    def may_found(self, event: InboxEvent, spot: Spot) -> bool:
        """Return whether the sender may make a club in the room: none of the bot's own accord."""
        if spot.has_club or spot.is_private or not self.leads(spot.room_id, event.sender):
            return False
        return any(self._places.has_member(spot.room_id, each) for each in self._allowed)

    def leads(self, room_id: str, user_id: str) -> bool:
        """Return whether somebody is in a room, with the power to lead; levels outlast leaving."""
        is_there = self._places.has_member(room_id, user_id)
        return is_there and self._places.power_of(room_id, user_id) >= LEADER_POWER

    def let_in(
        self,
        event: InboxEvent,
        spot: Spot,
        text: str,
        fields: Mapping[str, str],
        *,
        is_addressed: bool,
        photo: Photo | None = None,
        called: reading.Called = "",
    ) -> Incoming:
        """Return what was said as an act; what is said in the open has no photo."""
        is_open = not spot.is_private
        act = self._act(
            event, spot.room_id, text, fields, in_open=is_open, is_addressed=is_addressed
        )
        return replace(act, called=called) if is_open else replace(act, photo=photo)

    def let_sight_in(self, event: InboxEvent, spot: Spot, text: str) -> Incoming:
        """Return what is no line, but that everyone in the open room sees, as what it is."""
        act = self._act(event, spot.room_id, text, {}, in_open=True, is_addressed=False)
        return replace(act, is_shown_only=True)

    async def let_press_in(self, event: InboxEvent, offered: Draft, choice: int) -> Incoming | None:
        """Return a reaction to something of ours as an act; None for who was not offered it."""
        if event.room_id != offered.target or not choice < len(offered.commands):
            return None
        if offered.target != offered.room_id:
            direct = await self._direct.find(offered.target)
            if direct is None or direct.user_id != event.sender:
                return None
        room_id = self._clubs.present(offered.room_id)
        return self._act(event, room_id, offered.commands[choice], {})

    def let_closing_in(self, left: str, closing: Closing, line: str) -> Incoming:
        """Return that somebody closed a club's room in favour of another, as their wish to have the
        club move there: the `line` that says so."""
        now = self._now()
        return Incoming(
            event_id=f"{PLATFORM}:{left}:{closing.room_id}",
            platform=PLATFORM,
            room_id=left,
            user_id=closing.sender,
            name=self._places.name_of(left, closing.sender),
            leads=self.leads(left, closing.sender),
            acted_at=now,
            received_at=now,
            text=line,
        )

    def _act(
        self,
        event: InboxEvent,
        room_id: str,
        text: str,
        fields: Mapping[str, str],
        *,
        in_open: bool = False,
        is_addressed: bool = True,
    ) -> Incoming:
        return Incoming(
            event_id=f"{PLATFORM}:{event.event_id}",
            platform=PLATFORM,
            room_id=room_id,
            user_id=event.sender,
            name=self._places.name_of(room_id, event.sender),
            leads=self.leads(room_id, event.sender),
            acted_at=reading.acted_at(event),
            received_at=event.received_at,
            text=text,
            fields=fields,
            in_open=in_open,
            message_id=event.event_id if in_open else None,
            is_addressed=is_addressed,
        )
