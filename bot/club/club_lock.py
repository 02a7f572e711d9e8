"""The lock of one club: either one act alone, or many side by side that each touch their own entry.

Whoever waits to be alone keeps later ones out, so that nobody waits for ever. It knows nothing of
what is done under it.
"""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager


class ClubLock:
    """Lets in one alone, or many side by side, in the order in which they come."""

    def __init__(self) -> None:
        self._gate = asyncio.Lock()
        self._inside = 0
        self._is_empty = asyncio.Event()
        self._is_empty.set()

    @asynccontextmanager
    async def side_by_side(self) -> AsyncIterator[None]:
        """Hold the lock together with others that hold it so."""
        async with self._gate:
            self._inside += 1
            self._is_empty.clear()
        try:
            yield
        finally:
            self._inside -= 1
            if not self._inside:
                self._is_empty.set()

    @asynccontextmanager
    async def alone(self) -> AsyncIterator[None]:
        """Hold the lock while nobody else does."""
        async with self._gate:
            await self._is_empty.wait()
            yield
