"""Who may reach the web room, and how often: addresses, Host and Origin, names, headers, rates.

The room has no login, so it must never be reachable from outside this machine: only loopback
addresses are served, and a page of another site (or another name made to point here) is refused.
Everything here is pure but for the bucket's count.
"""

from __future__ import annotations

import ipaddress
import unicodedata
from collections.abc import Callable
from datetime import datetime
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

BURST = 12
PER_SECOND = 2.0

TAP_BURST = 40
TAPS_PER_SECOND = 8.0
"""Taps on a board are many and small: faster than anybody taps for long."""

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


def own_authorities(address: str, port: int) -> frozenset[str]:
    """Return the values of a Host header that mean us: address and port, and localhost."""
    literal = f"[{address}]" if ":" in address else address
    hosts = {literal, "localhost"}
    names = {f"{host}:{port}" for host in hosts}
    return frozenset(names | hosts if port == 80 else names)


def is_own_origin(origin: str | None, authorities: frozenset[str]) -> bool:
    """Tell whether an Origin header is our own page's. None, as no browser sends it, is not."""
    if origin is None or not origin.startswith("http://"):
        return False
    return origin.removeprefix("http://").lower() in authorities


def content_policy(authority: str) -> str:
    """Return the Content-Security-Policy: our own files only, nothing inline, no framing.

    The socket is named beside 'self' because some browsers do not count ws: as the same origin.
    """
    return (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; "
        f"connect-src 'self' ws://{authority}; base-uri 'none'; form-action 'none'; "
        "frame-ancestors 'none'"
    )


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


class Bucket:
    """A token bucket: `burst` acts at once, then `per_second`."""

    def __init__(
        self,
        now: Callable[[], datetime],
        burst: int = BURST,
        per_second: float = PER_SECOND,
    ) -> None:
        self._now = now
        self._burst = float(burst)
        self._per_second = per_second
        self._tokens = self._burst
        self._filled_at = now()

    def take(self) -> bool:
        """Use one token; False where there is none."""
        now = self._now()
        # A clock set back must not drain the bucket.
        gained = max(0.0, (now - self._filled_at).total_seconds()) * self._per_second
        self._tokens = min(self._burst, self._tokens + gained)
        self._filled_at = now
        if self._tokens < 1:
            return False
        self._tokens -= 1
        return True
