"""The rooms that the bot is in, as their state tells: who is there, and who may do what.

It is our own book, kept from what `inbound` let through. The library has one too, of whom
it encrypts for, and gets its members from here. Nothing is asked of anybody.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from bot.platforms.matrix.news import (
    Closing,
    Creation,
    Encryption,
    Levels,
    Membership,
    Naming,
    State,
)

PRESENT = ("join", "invite")


@dataclass(slots=True)
class _Place:
    members: dict[str, Membership] = field(default_factory=dict)
    levels: Levels = field(default_factory=Levels)
    creation: Creation | None = None
    name: str = ""
    is_encrypted: bool = False
    closing: Closing | None = None


class Places:
    """`user_id` is the bot's own."""

    def __init__(self, user_id: str) -> None:
        self._user_id = user_id
        self._places: dict[str, _Place] = {}

    # --- what the stream tells ---

    def note(self, room_id: str, changes: Iterable[State], *, encrypted: bool = False) -> None:
        """Take in state of a room that the bot is in. `encrypted`: it is known to be, for good."""
        place = self._places.setdefault(room_id, _Place())
        place.is_encrypted |= encrypted
        for change in changes:
            match change:
                case Membership():
                    if change.state in PRESENT:
                        place.members[change.user_id] = change
                    else:
                        place.members.pop(change.user_id, None)
                case Levels():
                    place.levels = change
                case Creation():
                    place.creation = change
                case Naming():
                    place.name = change.name
                case Encryption():
                    place.is_encrypted = True
                case Closing():
                    place.closing = change if change.room_id else None

    def forget(self, room_id: str) -> None:
        """Note that the bot is not in a room any more."""
        self._places.pop(room_id, None)

    # --- what is known ---

    def is_in(self, room_id: str) -> bool:
        """Tell whether the bot is in a room; an invitation is not enough."""
        return room_id in self._places

    def rooms(self) -> tuple[str, ...]:
        """Return the rooms that the bot is in, the longest known first."""
        return tuple(self._places)

    def has_member(self, room_id: str, user_id: str, *, or_invited: bool = False) -> bool:
        """Tell whether a user has joined a room, or with `or_invited` is asked to."""
        member = self._place(room_id).members.get(user_id)
        return member is not None and (or_invited or member.state == "join")

    def members(self, room_id: str) -> tuple[str, ...]:
        """Return who has joined a room."""
        members = self._place(room_id).members
        return tuple(user_id for user_id, each in members.items() if each.state == "join")

    def everyone(self, room_id: str) -> frozenset[str]:
        """Return who has joined a room or is invited to it."""
        return frozenset(self._place(room_id).members)

    def name_of(self, room_id: str, user_id: str) -> str:
        """Return a user's name in a room, the id where there is none. It may hold anything."""
        member = self._place(room_id).members.get(user_id)
        return (member.name if member is not None else "") or user_id

    def title_of(self, room_id: str) -> str:
        """Return a room's name, its id where it has none. It may hold anything."""
        return self._place(room_id).name or room_id

    def closing_of(self, room_id: str) -> Closing | None:
        """Return by whom a room was closed in favour of which other, None where it was not."""
        return self._place(room_id).closing

    def predecessor_of(self, room_id: str) -> str:
        """Return the room that a room says it goes on from, empty where there is none."""
        creation = self._place(room_id).creation
        return "" if creation is None else creation.predecessor

    def is_encrypted(self, room_id: str) -> bool:
        """Tell whether a room is encrypted; False for one that the bot is not in."""
        return self._place(room_id).is_encrypted

    def power_of(self, room_id: str, user_id: str) -> float:
        """Return a user's power level; the creators of a room of version 12 stand above all."""
        place = self._place(room_id)
        if place.creation is not None and user_id in place.creation.unlimited:
            return float("inf")
        return place.levels.users.get(user_id, place.levels.default)

    def power_to_redact(self, room_id: str) -> float:
        """Return the power level that removing another's message takes."""
        return self._place(room_id).levels.redact

    def power_to_post(self, room_id: str) -> float:
        """Return the power level that writing a message takes."""
        return self._place(room_id).levels.post

    def power_to_react(self, room_id: str) -> float:
        """Return the power level that a reaction takes."""
        return self._place(room_id).levels.react

    def find_marked(self, mark: Mapping[str, Any]) -> str | None:
        """Return the room that the bot itself has made with this mark."""
        for room_id, place in self._places.items():
            made = place.creation
            if made is not None and made.sender == self._user_id and made.mark == mark:
                return room_id
        return None

    def _place(self, room_id: str) -> _Place:
        return self._places.get(room_id) or _Place()
