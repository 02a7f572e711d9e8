"""What is fit for the web room: where it listens, the names and texts that come in, their sizes.

It must never be reachable from outside this machine but by the host's own proxy: only loopback
addresses are listened on. Everything here is pure.
"""

from __future__ import annotations

import ipaddress
import unicodedata
from hashlib import blake2b

from bot.platforms.look_alikes import INVISIBLE

NAME_LIMIT = 32
"""Characters of a person's name."""

NAME_READ = 16 * NAME_LIMIT
"""So many characters of a name are looked at."""

MARKS_LIMIT, MARKS_IN_PLACE = 5, 2
"""Marks on one letter: in all, as Burmese and Tibetan have them, and above another in one place,
as accents are. Enough for every script, too few to write over the lines around."""

LINE_LIMIT = 16 * 1024
"""Bytes of one frame from a page; a form with a pasted grid is far below."""

FRAME_LIMIT = 1024 * 1024
"""Bytes at which a socket is closed rather than answered: no page of ours sends that much."""

HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "X-Frame-Options": "DENY",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
}


class NotLoopbackError(ValueError):
    """The web room was to listen where other machines can reach it. `host` is what was asked."""

    def __init__(self, host: str) -> None:
        super().__init__(host)
        self.host = host


def parse_loopback(host: str) -> str:
    """Return the address to listen on. Raises NotLoopbackError for any but loopback.

    `localhost` becomes 127.0.0.1, since a hosts file may send that name anywhere.
    """
    if host == "localhost":
        return "127.0.0.1"
    try:
        address = ipaddress.ip_address(host)
    except ValueError:
        raise NotLoopbackError(host) from None
    if not address.is_loopback:
        raise NotLoopbackError(host)
    return str(address)


def clean_name(name: str) -> str:
    """Return a name fit to show: one line, no control or direction characters, at most NAME_LIMIT.

    Empty where nothing readable is left; such a name is not let in.
    """
    kept: list[str] = []
    places: list[int] = []
    # Putting marks in order takes far longer than the name is long, so a long one is cut before.
    for character in unicodedata.normalize("NFKC", name[:NAME_READ]):
        kind = unicodedata.category(character)[0]
        if (kind == "C" and not character.isspace()) or character in INVISIBLE:
            continue
        if kind == "M":
            # 0: the letter is written with it, in a place of its own.
            place = unicodedata.combining(character)
            if len(places) == MARKS_LIMIT or (place and places.count(place) == MARKS_IN_PLACE):
                continue
            places.append(place)
        else:
            places.clear()
        kept.append(" " if character.isspace() else character)
    short = " ".join("".join(kept).split())[:NAME_LIMIT].strip()
    return short if any(character.isalnum() for character in short) else ""


def opaque_id(room_id: str, user_id: str) -> str:
    """Return an id that tells a room's people apart in keys, and is nobody's name."""
    return blake2b(f"{room_id}\0{user_id}".encode(), digest_size=16).hexdigest()


def user_id_of(name: str) -> str:
    """Return the id of the member with this name: the same person whatever the case."""
    return clean_name(name).casefold()


def clean_text(text: str) -> str:
    """Return what was typed without control characters; line breaks and tabs stay."""
    return "".join(
        character
        for character in text.replace("\r\n", "\n").replace("\r", "\n")
        if character in "\n\t" or unicodedata.category(character) not in ("Cc", "Cs")
    )
