"""Tells when the event loop stood still, and which command was handled meanwhile.

While it stands still nobody is answered, in no club. What a command does between two waits is timed
step by step; a beat beside it notices what belongs to no command. Only the command's name is ever
told: an answer's digits, a name or a token may stand behind it.
"""

from __future__ import annotations

import asyncio
import logging
import time
import types
from collections.abc import Awaitable, Callable, Coroutine, Generator
from functools import partial
from typing import Any, TypeVar

_LOG = logging.getLogger("ninebark.watchdog")

T = TypeVar("T")

LONGEST_STEP = 0.1
"""Seconds that the loop may stand still without a word."""

BEAT_SECONDS = 0.05

Clock = Callable[[], float]


class Watchdog:
    """Watches one event loop. `clock` gives seconds that only ever grow."""

    def __init__(
        self,
        clock: Clock = time.monotonic,
        wait: Callable[[float], Awaitable[object]] = asyncio.sleep,
    ) -> None:
        self._clock = clock
        self._wait = wait
        self._has_told = False

    @types.coroutine
    def watched(self, command: str, work: Coroutine[Any, Any, T]) -> Generator[Any, None, T]:
        """Do the work and return what came of it; tell of each step in it that took long."""
        step: Callable[[], object] = partial(work.send, None)
        while True:
            began = self._clock()
            try:
                waits_for = step()
            except StopIteration as ended:
                result: T = ended.value
                return result
            finally:
                self._note(self._clock() - began, command)
            try:
                yield waits_for
                step = partial(work.send, None)
            except BaseException as thrown:  # that it is cancelled is the work's to deal with
                step = partial(work.throw, thrown)

    async def run(self) -> None:
        """Tell of what stood in the way of no command. Ends only when cancelled."""
        while True:
            due = self._clock() + BEAT_SECONDS
            self._has_told = False
            await self._wait(BEAT_SECONDS)
            if not self._has_told:
                self._note(self._clock() - due, "no command")

    def _note(self, seconds: float, command: str) -> None:
        if seconds > LONGEST_STEP:
            self._has_told = True
            _LOG.warning("the event loop stood still for %d ms: %s", round(seconds * 1000), command)
