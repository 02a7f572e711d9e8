"""What Discord keeps for us inside a message: ids of buttons, nonces, and the mark of a post.

A button's id holds the room and the command line, so a press needs no memory of ours. A post
carries a mark made from its key, as the id of its first component, so that it is found again in
the channel's history. All of it is made from names and keys alone: the same after any restart.
"""

from __future__ import annotations

import base64
import hashlib
from dataclasses import dataclass

ROLE_MARK = "&"
"""What the id of a role begins with, outside Discord: it is a group's."""

CUSTOM_ID_LIMIT = 100
SNOWFLAKE_DIGITS = 19
_PREFIX = "nb"
FOUND_ID = f"{_PREFIX}-found"
"""The id of the menu that asks where a new club shall meet."""


@dataclass(frozen=True, slots=True)
class Press:
    """A button, menu or form of ours: in which room, and which line it stands for."""

    room_id: str
    command: str


def format_press(room_id: str, command: str) -> str:
    """Return the id of a button of ours. Raises ValueError over CUSTOM_ID_LIMIT characters."""
    text = f"{_PREFIX}:{room_id}:{command}"
    if len(text) > CUSTOM_ID_LIMIT:
        raise ValueError(f"a button's command is too long: {command!r}")
    return text


def parse_press(custom_id: str) -> Press | None:
    """Return what an id stands for, None where it is not one that we make now."""
    prefix, _, rest = custom_id.partition(":")
    room_id, colon, command = rest.partition(":")
    if prefix != _PREFIX or not colon or not is_snowflake(room_id) or not command.strip():
        return None
    return Press(room_id, command)


def is_snowflake(text: str) -> bool:
    """Tell whether a text from outside can be an id of Discord's: a positive number of 63 bits."""
    is_number = text.isascii() and text.isdigit() and len(text) <= SNOWFLAKE_DIGITS
    return is_number and 0 < int(text) < 1 << 63


def _digest(*parts: str) -> bytes:
    return hashlib.sha256("\n".join(parts).encode()).digest()


def nonce_of(channel_id: str, key: str) -> str:
    """Return the nonce of a post: at most 25 characters, another one in every channel."""
    return base64.b32encode(_digest("nonce", channel_id, key)[:15]).decode()


def mark_of(channel_id: str, key: str) -> int:
    """Return the number, above all that Discord gives by itself, that marks a post."""
    return _mark("mark", channel_id, key)


def mark_of_part(first: int, number: int) -> int:
    """Return the mark of a post's further part, made from the first one's: it needs no key."""
    return _mark("part", str(first), str(number)) if number else first


def _mark(*parts: str) -> int:
    return 1 << 30 | int.from_bytes(_digest(*parts)[:4]) >> 2
