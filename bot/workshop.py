"""Engine work that may take long, in processes of its own, so that no room ever waits for it.

The pool starts at the first request; its workers run at low priority, end with the bot even where
that is killed, and stop what they do when told to. Requests carry their seed: the same request
makes the same puzzle, unless its time ran out.
"""

from __future__ import annotations

import asyncio
import logging
import multiprocessing
import os
import signal
import threading
import time
from collections.abc import Callable, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from multiprocessing.connection import wait as wait_for_any
from multiprocessing.synchronize import Event
from random import Random
from typing import TypeVar

from bot.club.facts_planning import TurningReport
from bot.club.plan import BY_UNIQUENESS, PlanEntry
from bot.club.state import Puzzle
from bot.club.turning import study_turning
from bot.club.vetting import vet_puzzle
from engine.errors import UnmadeError
from engine.grid import parse_grid
from engine.making import make_puzzle
from engine.recipes import Recipe

_LOG = logging.getLogger("ninebark.workshop")

T = TypeVar("T")

WORKERS = 2
"""One may be busy with the stock when a puzzle is wanted at once."""

SECONDS_FOR_A_DAY = 20.0
"""How long a puzzle of a kind is looked for when a day has none, before an easier kind is."""

SECONDS_FOR_STOCK = 60.0
"""How long one puzzle for the stock is looked for."""

GRACE_SECONDS = 1.0
"""How long a worker may take to stop before it is ended."""

_stopping: Event | None = None


def recipe_of(entry: PlanEntry) -> Recipe:
    """Return the recipe of a plan's entry."""
    return Recipe(
        levels=entry.levels,
        needs=(entry.theme,) if entry.theme else (),
        pattern=entry.pattern,
        avoids=BY_UNIQUENESS if entry.by_logic else (),
    )


def _settle_down(stopping: Event) -> None:
    """Make a process a good worker: quiet at Ctrl-C, at low priority, gone when the bot is gone."""
    global _stopping
    _stopping = stopping
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    os.nice(10)
    threading.Thread(target=_end_with_the_bot, daemon=True).start()


def _end_with_the_bot() -> None:
    # A killed bot closes no queue that its workers wait on: they would wait for ever.
    bot = multiprocessing.parent_process()
    assert bot is not None
    bot.join()
    os._exit(1)


def _make(entry: PlanEntry, seed: int, like: Sequence[str], seconds: float) -> Puzzle | None:
    """Make a puzzle in a worker. None where none came in time, or the work was stopped."""
    end = time.monotonic() + seconds

    def should_stop() -> bool:
        return time.monotonic() > end or (_stopping is not None and _stopping.is_set())

    try:
        made = make_puzzle(
            Random(seed),
            recipe_of(entry),
            seeds=tuple(map(parse_grid, like)),
            should_stop=should_stop,
        )
    except UnmadeError:
        return None
    return vet_puzzle(
        parse_grid(made.puzzle), origin=f"made from seed {seed} for {entry.key}"
    ).puzzle


class Workshop:
    """The club's PuzzleSource, and where the stock is made. Close it with `close()`."""

    def __init__(self) -> None:
        self._pool: ProcessPoolExecutor | None = None
        self._stopping: Event | None = None
        self._is_closed = False

    async def make_puzzle(self, entry: PlanEntry, seed: int) -> Puzzle | None:
        """Make a puzzle for a day that has none; None where none came in time."""
        return await self.run(_make, entry, seed, (), SECONDS_FOR_A_DAY)

    async def make_for_stock(
        self, entry: PlanEntry, seed: int, like: Sequence[str] = ()
    ) -> Puzzle | None:
        """Make a puzzle for the stock, from puzzles known to be `like` it where there are some."""
        return await self.run(_make, entry, seed, tuple(like), SECONDS_FOR_STOCK)

    async def study_turning(self, givens: str) -> TurningReport:
        """Return where a puzzle turns."""
        return await self.run(study_turning, givens)

    async def run(self, work: Callable[..., T], *arguments: object) -> T:
        """Have a worker do something and return what came of it.

        A worker that dies takes what was under way with it; the next request has new ones.
        """
        try:
            return await asyncio.wrap_future(self._submit(work, *arguments))
        except BrokenProcessPool:
            self._pool = None
            raise

    def _submit(self, work: Callable[..., T], *arguments: object) -> Future[T]:
        if self._is_closed:
            raise RuntimeError("the workshop is closed")
        if self._pool is None:
            context = multiprocessing.get_context("spawn")
            self._stopping = context.Event()
            self._pool = ProcessPoolExecutor(
                max_workers=WORKERS,
                mp_context=context,
                initializer=_settle_down,
                initargs=(self._stopping,),
            )
        return self._pool.submit(work, *arguments)

    def close(self, grace_seconds: float = GRACE_SECONDS) -> None:
        """Stop what is under way and end the workers; those who do not stop in time, by force."""
        self._is_closed = True
        pool, self._pool = self._pool, None
        if pool is None or self._stopping is None:
            return
        self._stopping.set()
        workers = list((pool._processes or {}).values())  # it tells of its workers in no other way
        pool.shutdown(wait=False, cancel_futures=True)
        left = _wait_for_ends({worker.sentinel for worker in workers}, grace_seconds)
        for worker in workers:
            if worker.sentinel in left:
                _LOG.info("worker %s did not stop by itself", worker.pid)
                worker.kill()
                worker.join()


def _wait_for_ends(sentinels: set[int], at_most: float) -> set[int]:
    """Wait for processes to end, for so many seconds at most; return those that have not."""
    running, end = set(sentinels), time.monotonic() + at_most
    while running and (seconds := end - time.monotonic()) > 0:
        running.difference_update(
            each for each in wait_for_any(running, seconds) if each in running
        )
    return running
