"""What a homeserver puts off is done in turn: while it refuses one thing, the others wait behind
it, the most urgent first, then in the order in which they came.

Its limit counts all that we send in one sum. If each tried again by itself, what was begun last
could go first for minutes, a private room be made and nobody be asked in; and Synapse counts a
refused invitation against the one who was to be invited. A limit of one kind alone, such as that on
new rooms, is long, and holds up nothing else.
"""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager
from enum import IntEnum
from heapq import heappop, heappush
from itertools import count
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


class Urgency(IntEnum):
    """What stands in the open and must not comes first; new rooms after what was begun in others,
    or a member's clock would run while their puzzle waits."""

    REMOVAL = 0
    USUAL = 1
    NEW_ROOM = 2


class _Turn:
    """A lock whose most urgent waiter comes next."""

    def __init__(self) -> None:
        self.is_taken = False
        self._numbers = count()
        self._waiting: list[tuple[Urgency, int, asyncio.Future[None]]] = []

    @asynccontextmanager
    async def taken(self, urgency: Urgency) -> AsyncIterator[None]:
        if self.is_taken:
            mine = asyncio.get_running_loop().create_future()
            heappush(self._waiting, (urgency, next(self._numbers), mine))
            try:
                await mine
            except asyncio.CancelledError:
                if not mine.cancelled():
                    self._pass_on()
                raise
        self.is_taken = True
        try:
            yield
        finally:
            self._pass_on()

    def _pass_on(self) -> None:
        while self._waiting:
            _, _, following = heappop(self._waiting)
            if not following.done():
                following.set_result(None)
                return
        self.is_taken = False


class Patience:
    """`wait` passes the time that a limit asks for."""

    def __init__(self, journal: Journal, wait: Wait) -> None:
        self._journal = journal
        self._wait = wait
        self._turn = _Turn()

    async def within_limits(
        self,
        attempt: Callable[[], Awaitable[T]],
        *,
        urgency: Urgency = Urgency.USUAL,
        only_short: bool = False,
    ) -> T:
        """Return what an attempt does, made again as often as the homeserver wants it later.

        Raises LimitedError where `only_short` ones are to be waited out, and it is no such.
        """
        rest = 0.0
        if not self._turn.is_taken:
            try:
                return await attempt()
            except LimitedError as limit:
                rest = await self._note(limit, only_short=only_short)
        while True:
            if rest > SHORT_REST:
                await self._wait(rest)
            if rest > SHORT_REST or self._turn.is_taken:
                rest = 0.0
            async with self._turn.taken(urgency):
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
