"""Tells the service our commands: at once where it takes them, else again and again meanwhile.

What the service does not take (so many new commands a day, an outage) is no reason to be away: what
was registered before works on. Nothing here knows a command.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Awaitable, Callable

import discord

from bot.platforms.discord.errors import NETWORK_ERRORS

_LOG = logging.getLogger("ninebark.discord")

PATIENCE_SECONDS = 5.0
"""How long a start waits for the service to take the commands; then it goes on without."""

FIRST_REST, LONGEST_REST = 60.0, 3600.0

Wait = Callable[[float], Awaitable[None]]


class Registration:
    """`register` tells the service once; `wait` passes the time between two tries."""

    def __init__(self, register: Callable[[], Awaitable[object]], wait: Wait) -> None:
        self._register = register
        self._wait = wait
        self._trying: asyncio.Task[None] | None = None

    async def begin(self) -> None:
        """Register; return when the first try is over, or takes long."""
        tried = asyncio.Event()
        self._trying = asyncio.create_task(self._until_taken(tried), name="discord commands")
        over = asyncio.create_task(tried.wait())
        await asyncio.wait({over}, timeout=PATIENCE_SECONDS)
        over.cancel()

    async def stop(self) -> None:
        """Try no more."""
        if self._trying is not None:
            self._trying.cancel()
            await asyncio.gather(self._trying, return_exceptions=True)

    async def _until_taken(self, tried: asyncio.Event) -> None:
        rest = FIRST_REST
        while not await self._try_once(rest):
            tried.set()
            await self._wait(rest)
            rest = min(LONGEST_REST, 2 * rest)
        tried.set()

    async def _try_once(self, rest: float) -> bool:
        try:
            await self._register()
        except (discord.DiscordException, *NETWORK_ERRORS) as error:
            _LOG.warning(
                "the commands could not be registered; those of before work on, and it is tried "
                "again in %.0f s: %r", rest, error,
            )  # fmt: skip
            return False
        return True
