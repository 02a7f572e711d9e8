"""What goes wrong with Discord, as the errors of the room's interface.

A refusal that will stay (unknown channel, no permission) means that the room is gone; what may
pass (an outage, a lost connection, a limit) means that it is out of reach now. Nothing here logs.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

import aiohttp
import discord

from bot.platforms.discord.refusals import DiscordRefusedError
from bot.platforms.message import (
    Refusal,
    RightMissingError,
    RoomError,
    RoomGoneError,
    RoomUnreachableError,
)

UNKNOWN_INTERACTION = 10062
ALREADY_ANSWERED = 40060
THREAD_EXISTS = 160004
THREAD_ASLEEP = 50083
RIGHTS_MISSING = (50001, 50013)
"""Missing access to a channel, and a missing permission in one."""

NETWORK_ERRORS = (aiohttp.ClientError, OSError, TimeoutError)
"""A dropped connection is no error of the library's own family."""

_REFUSALS = {4004: Refusal.TOKEN, 4010: Refusal.SHARDS, 4011: Refusal.SHARDS, 4012: Refusal.VERSION}
_REFUSALS |= {4013: Refusal.INTENTS, 4014: Refusal.INTENTS}


@contextmanager
def as_room_errors() -> Iterator[None]:
    """Turn whatever the library raises inside the block into a RoomError."""
    try:
        yield
    except (discord.NotFound, discord.Forbidden) as error:
        if error.code in RIGHTS_MISSING:
            raise RightMissingError(_in_short(error)) from error
        raise RoomGoneError(_in_short(error)) from error
    except discord.HTTPException as error:
        if error.status >= 500 or error.status in (401, 429):
            raise RoomUnreachableError(_in_short(error)) from error
        raise RoomError(_in_short(error)) from error
    except discord.RateLimited as error:
        raise RoomUnreachableError(f"limited for {error.retry_after:.0f} s") from error
    except NETWORK_ERRORS as error:
        raise RoomUnreachableError(f"{type(error).__name__}: {error}") from error


def _in_short(error: discord.HTTPException) -> str:
    return f"HTTP {error.status}, code {error.code}: {error.text[:200]}"


def refusal_of(error: BaseException) -> DiscordRefusedError | None:
    """Return the refusal that an error of login or gateway means; None: trying again may do."""
    if isinstance(error, discord.LoginFailure):
        return DiscordRefusedError(Refusal.TOKEN, code=401)
    if isinstance(error, discord.PrivilegedIntentsRequired):
        return DiscordRefusedError(Refusal.INTENTS, code=4014)
    if isinstance(error, discord.ConnectionClosed) and error.code in _REFUSALS:
        return DiscordRefusedError(_REFUSALS[error.code], code=error.code)
    return None
