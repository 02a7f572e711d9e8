"""What a homeserver puts off is done in turn: while it refuses one thing, the others wait behind
it, in the order in which they came.

Its limit counts all that we send in one sum. If each tried again by itself, what was begun last
could go first for minutes, a private room be made and nobody be asked in; and Synapse counts a
refused invitation against the one who was to be invited. A limit of one kind alone, such as that on
new rooms, is long, and holds up nothing else.
"""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from typing import TypeVar

from bot.platforms.matrix.errors import LimitedError
from bot.platforms.matrix.journal import Journal

T = TypeVar("T")

LONGEST_REST = 60.0
SHORT_REST = 10.0
"""By default Synapse lets a bot send one event in five seconds; what takes longer is another limit,
and is not waited out in the turn of all."""

Wait = Callable[[float], Awaitable[None]]
"""Waits so many seconds; a test's does it at once."""


class Patience:
    """`wait` passes the time that a limit asks for."""

    def __init__(self, journal: Journal, wait: Wait) -> None:
        self._journal = journal
        self._wait = wait
        self._turn = asyncio.Lock()

    async def within_limits(
        self, attempt: Callable[[], Awaitable[T]], *, only_short: bool = False
    ) -> T:
        """Return what an attempt does, made again as often as the homeserver wants it later.

        Raises LimitedError where `only_short` ones are to be waited out, and it is no such.
        """
        rest = 0.0
        if not self._turn.locked():
            try:
                return await attempt()
            except LimitedError as limit:
                rest = await self._note(limit, only_short=only_short)
        while True:
            if rest > SHORT_REST:
                await self._wait(rest)
            if rest > SHORT_REST or self._turn.locked():
                rest = 0.0
            async with self._turn:
                while rest <= SHORT_REST:
                    if rest:
                        await self._wait(rest)
                    try:
                        return await attempt()
                    except LimitedError as limit:
                        rest = await self._note(limit, only_short=only_short)

    async def _note(self, limit: LimitedError, *, only_short: bool) -> float:
        await self._journal.note_limit()
        if only_short and limit.seconds > SHORT_REST:
            raise limit
        return min(limit.seconds, LONGEST_REST)
