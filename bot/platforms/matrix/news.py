"""What a sync tells, as values that have been read: talk, state, keys, and what could not be read.

Only `inbound` makes them from what a homeserver passes on.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any


@dataclass(frozen=True, slots=True)
class SetAside:
    """What could not be read: where it came in, from whom, why, and its JSON, cut to a limit."""

    place: str
    sender: str
    problem: str
    body: bytes


@dataclass(frozen=True, slots=True)
class Talk:
    """A message, a reaction, or a sealed event that may hold one. `stamp` in ms, as it came."""

    event_id: str
    sender: str
    kind: str
    stamp: int
    transaction_id: str
    source: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Membership:
    """`was` is what it was before, as the homeserver tells, empty where it does not."""

    user_id: str
    state: str
    sender: str
    name: str = ""
    was: str = ""
    is_direct: bool = False


@dataclass(frozen=True, slots=True)
class Levels:
    """Power levels; an entry that is no level counts as not there."""

    users: Mapping[str, float] = field(default_factory=dict)
    default: float = 0
    redact: float = 50
    post: float = 0
    react: float = 0


@dataclass(frozen=True, slots=True)
class Creation:
    """`unlimited`: who stands above all levels. `mark`: our own sign in a room that we made.
    `predecessor`: the room that this one says it goes on from."""

    sender: str
    unlimited: frozenset[str] = frozenset()
    mark: Any = None
    predecessor: str = ""


@dataclass(frozen=True, slots=True)
class Naming:
    """The room's name, as whoever may set it wrote it: it may hold anything."""

    name: str


@dataclass(frozen=True, slots=True)
class Encryption:
    """The room is encrypted, from now on for good."""


@dataclass(frozen=True, slots=True)
class Closing:
    """The room is closed by `sender`, in favour of another; none where `room_id` is empty."""

    sender: str
    room_id: str


State = Membership | Levels | Creation | Naming | Encryption | Closing


@dataclass(frozen=True, slots=True)
class RoomNews:
    """What a sync tells of a room that we are in: its state at first, and then what happened.

    `before` is where older events end.
    """

    state: tuple[State, ...] = ()
    timeline: tuple[Talk | State, ...] = ()
    is_limited: bool = False
    before: str = ""


@dataclass(slots=True)
class News:
    """A sync, read. `claims` are of rooms that we are invited to: only what is said of them."""

    token: str
    joined: dict[str, RoomNews] = field(default_factory=dict)
    claims: dict[str, tuple[State, ...]] = field(default_factory=dict)
    left: list[str] = field(default_factory=list)
    to_device: list[Mapping[str, Any]] = field(default_factory=list)
    verifications: list[Mapping[str, Any]] = field(default_factory=list)
    changed_users: list[str] = field(default_factory=list)
    key_count: int | None = None
    unreadable: list[SetAside] = field(default_factory=list)
