"""What goes wrong with a homeserver, as the errors of the room's interface.

The library returns failures instead of raising them; `unwrap` is the one place that turns them
into exceptions. It looks at codes only and never keeps a response: its text holds headers, and so
the token.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import Any, TypeVar

import aiohttp
from nio import EncryptionError, ErrorResponse, LocalProtocolError

from bot.platforms.matrix.refusals import SignedOutError
from bot.platforms.message import (
    Refusal,
    RightMissingError,
    RoomError,
    RoomGoneError,
    RoomUnreachableError,
)

T = TypeVar("T")

DEFAULT_RETRY_SECONDS = 5.0
LONGEST_PAUSE_MS = 3_600_000

_SIGNED_OUT = ("M_UNKNOWN_TOKEN", "M_MISSING_TOKEN", "M_USER_DEACTIVATED", "M_USER_LOCKED")
_GONE = ("M_GUEST_ACCESS_FORBIDDEN", "M_NOT_JOINED")


class LimitedError(RoomUnreachableError):
    """The homeserver wants us to slow down: try again after `seconds`."""

    def __init__(self, seconds: float) -> None:
        super().__init__(f"limited for {seconds:.1f} s")
        self.seconds = seconds


class NotFoundError(RoomError):
    """The homeserver has no such thing."""


class BlockedError(RoomGoneError):
    """A member of the club in `room_id` takes no invitation to a private room."""

    def __init__(self, room_id: str) -> None:
        super().__init__(f"a member of {room_id} cannot be invited")
        self.room_id = room_id


class UnencryptedError(RoomError):
    """The room is encrypted and we cannot encrypt, so nothing is said there."""


def unwrap(response: T | ErrorResponse) -> T:
    """Return an answer of the library's, or raise the RoomError that it stands for."""
    if not isinstance(response, ErrorResponse):
        return response
    # The library declares another type here than the HTTP answer that it sets.
    status = int(getattr(response.transport_response, "status", 0))
    pause = _pause_of(response.retry_after_ms)
    raise error_of(status, str(response.status_code or ""), str(response.message), pause)


def error_of(status: int, code: str, said: str, retry: float | None = None) -> RoomError:
    """Return what a refusal means; `code` is the homeserver's own (`M_…`), empty where none."""
    in_short = f"HTTP {status} {code} {said[:200]}".rstrip()
    if code in _SIGNED_OUT:
        return SignedOutError(Refusal.TOKEN, code=status)
    if code == "M_LIMIT_EXCEEDED" or status == 429:
        return LimitedError(DEFAULT_RETRY_SECONDS if retry is None else retry)
    if code == "M_FORBIDDEN":
        return RightMissingError(in_short)
    if code in _GONE:
        return RoomGoneError(in_short)
    if code == "M_NOT_FOUND":
        return NotFoundError(in_short)
    if not code or status >= 500:
        # No word of a homeserver's: a proxy before it that has lost it, or half an answer.
        return RoomUnreachableError(in_short)
    return RoomError(in_short)


def error_in(status: int, body: Mapping[str, Any]) -> RoomError:
    """Return what the body of a refused plain request means."""
    pause = _pause_of(body.get("retry_after_ms"))
    return error_of(status, str(body.get("errcode", "")), str(body.get("error", "")), pause)


def _pause_of(milliseconds: object) -> float | None:
    """Return the seconds to wait that an answer names; the library puts other things there, too."""
    if isinstance(milliseconds, bool) or not isinstance(milliseconds, int):
        return None
    return min(max(0, milliseconds), LONGEST_PAUSE_MS) / 1000


@contextmanager
def as_room_errors() -> Iterator[None]:
    """Turn a lost connection inside the block into a RoomUnreachableError."""
    try:
        yield
    except (aiohttp.ClientError, OSError, TimeoutError) as error:
        # The type alone: the texts hold addresses, and some of them a token.
        raise RoomUnreachableError(type(error).__name__) from None
    except (LocalProtocolError, EncryptionError) as error:
        # The library is not ready for it yet: a room or a key that the next sync brings.
        raise RoomUnreachableError(f"{type(error).__name__}: {error}") from None
