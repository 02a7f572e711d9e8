"""What the database keeps for the room of a platform, as far as the club's own tables must know it.

A member who is erased is erased there in the same transaction, and what need not be kept is
forgotten with the rest. Which rooms keep something, whoever opens the store tells it.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True)
class Leaver:
    """Whoever is erased. `name` is what they are called, empty where that is unknown;
    `is_everyday`: it is a word as well, as `the` is, and as a word it tells nobody."""

    user_id: str
    name: str
    is_everyday: bool = False


def stay_as_it_is(link: sqlite3.Connection, left: str, room_id: str) -> None:
    """Change nothing: what is kept of a room has no part in a club's move."""


@dataclass(frozen=True, slots=True)
class RoomMemory:
    """`erase` takes a room's id and who leaves; `export` takes a room's id and a user's id, and
    returns what is kept of them, ready for JSON; `prune` takes the time by now; `move` takes the
    rooms that a club has left and meets in now."""

    platform: str
    erase: Callable[[sqlite3.Connection, str, Leaver], None]
    export: Callable[[sqlite3.Connection, str, str], Mapping[str, object]]
    prune: Callable[[sqlite3.Connection, datetime], None]
    move: Callable[[sqlite3.Connection, str, str], None] = stay_as_it_is
