"""Engine work that may take long, in processes of its own, so that no room ever waits for it.

Making puzzles and answering what a person asked have workers of their own, so neither waits for
the other. They start at the first request, run at low priority, end with the bot even where that is
killed, and stop what they do when told to. Requests to make carry their seed: the same request
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
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import replace
from multiprocessing.connection import wait as wait_for_any
from multiprocessing.process import BaseProcess
from multiprocessing.synchronize import Event
from random import Random
from typing import TypeVar

from bot.club.plan import BY_UNIQUENESS, DayPlan
from bot.club.ports import TooMuchWorkError
from bot.club.state import Puzzle
from bot.club.studies import MOST_WORK, work_within
from bot.club.vetting import vet_puzzle
from bot.photo.told import PhotoReading, can_read_photos
from bot.stock.photos import PhotoReader
from engine import Grid, Recipe, errors, limited, make_puzzle, making, parse_grid, technique_with

_LOG = logging.getLogger("ninebark.workshop")

T = TypeVar("T")

WORKERS = 2
"""Of each sort: one may be busy with the stock when a puzzle is wanted at once, or with somebody's
hard grid when somebody else asks."""

SECONDS_FOR_AN_ANSWER = 30.0
"""How long what a person asked is worked on."""

LITTLE_WORK = 3000
"""So much (see `engine.limits`) is done in a thread at once: most hints take less, and are there
sooner than a process is asked."""

SECONDS_FOR_A_DAY = 20.0
"""How long a puzzle of a kind is looked for when a day has none, before an easier kind is."""

SECONDS_FOR_STOCK = 60.0
"""How long one puzzle for the stock is looked for."""

CLEAN_ATTEMPTS = 800
"""How long a clean puzzle of a theme is looked for before any will do: some themes have few."""

GRACE_SECONDS = 1.0
"""How long a worker may take to stop before it is ended."""

_stopping: Event | None = None


def _asker(seconds: float) -> Callable[[], bool]:
    """Return what says, in a worker, that the time is over or the workshop closes."""
    end = time.monotonic() + seconds
    return lambda: time.monotonic() > end or is_stopping()


def is_stopping() -> bool:
    """Say, in a worker, whether whoever started it closes."""
    return _stopping is not None and _stopping.is_set()


def recipe_of(plan: DayPlan) -> Recipe:
    """Return the recipe of a day's plan.

    A theme comes clean, unless the day asks for harder puzzles than the theme makes.
    """
    return Recipe(
        levels=plan.levels,
        needs=(plan.theme,) if plan.theme else (),
        pattern=plan.pattern,
        avoids=BY_UNIQUENESS if plan.by_logic else (),
        clean=bool(plan.theme) and technique_with(plan.theme).level in plan.levels,
    )


def settle_down(stopping: Event) -> None:
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


def _make(plan: DayPlan, seed: int, like: Sequence[str], seconds: float) -> Puzzle | None:
    """Make a puzzle in a worker. None where none came in time, or the work was stopped."""
    should_stop = _asker(seconds)
    try:
        made = _make_clean(recipe_of(plan), seed, tuple(map(parse_grid, like)), should_stop)
        with limited(MOST_WORK, should_stop):
            grid, origin = parse_grid(made.puzzle), f"made from seed {seed} for {plan.key}"
            return vet_puzzle(grid, origin=origin).puzzle
    except (making.UnmadeError, errors.StoppedError):
        return None


def _make_clean(
    recipe: Recipe, seed: int, like: tuple[Grid, ...], should_stop: Callable[[], bool]
) -> making.Made:
    """Make a puzzle as wished; where a clean one does not come soon, one that is not clean."""
    if recipe.clean:
        try:
            return make_puzzle(
                Random(seed), recipe, seeds=like, attempts=CLEAN_ATTEMPTS, should_stop=should_stop
            )
        except making.UnmadeError as error:
            if error.is_stopped:
                raise
    plain = replace(recipe, clean=False)
    return make_puzzle(Random(seed), plain, seeds=like, should_stop=should_stop)


def _answer(work: Callable[..., T], *arguments: object) -> T:
    """Answer in a worker what a person asked. Raises what the work does, and TooMuchWorkError."""
    return work_within(work, *arguments, should_stop=_asker(SECONDS_FOR_AN_ANSWER))


class Workshop:
    """The club's PuzzleSource, and where the stock is made. Close it with `close()`."""

    def __init__(self) -> None:
        self._makers = _Workers()
        self._answerers = _Workers()
        self._photos = PhotoReader()

    async def make_puzzle(self, plan: DayPlan, seed: int) -> Puzzle | None:
        """Make a puzzle for a day that has none; None where none came in time."""
        return await self.run(_make, plan, seed, (), SECONDS_FOR_A_DAY)

    async def make_for_stock(
        self, plan: DayPlan, seed: int, like: Sequence[str] = ()
    ) -> Puzzle | None:
        """Make a puzzle for the stock, from puzzles known to be `like` it where there are some."""
        return await self.run(_make, plan, seed, tuple(like), SECONDS_FOR_STOCK)

    async def work_out(self, work: Callable[..., T], *arguments: object) -> T:
        """Return what a pure function comes to that a person asked for: at once where that is
        little work, else in a worker. Raises what it raises, and TooMuchWorkError."""
        try:
            return await asyncio.to_thread(work_within, work, *arguments, most=LITTLE_WORK)
        except TooMuchWorkError:
            pass
        try:
            return await self._answerers.run(_answer, work, *arguments)
        except BrokenProcessPool:
            raise TooMuchWorkError from None

    @property
    def reads_photos(self) -> bool:
        """Say whether what reads photos is installed."""
        return can_read_photos()

    async def read_photo(self, content: bytes, puzzles: Mapping[str, Grid]) -> PhotoReading:
        """Return what a photo shows of some puzzles, or why it shows nothing."""
        return await self._photos.read(content, puzzles)

    async def run(self, work: Callable[..., T], *arguments: object) -> T:
        """Have a maker do something and return what came of it.

        A worker that dies takes what was under way with it; the next request has new ones.
        """
        return await self._makers.run(work, *arguments)

    def close(self, grace_seconds: float = GRACE_SECONDS) -> None:
        """Stop what is under way and end the workers; those who do not stop in time, by force."""
        self._photos.close()
        closing = [workers.stop() for workers in (self._makers, self._answerers)]
        _end([process for processes in closing for process in processes], grace_seconds)


class _Workers:
    """Processes of one sort, started when they are first asked."""

    def __init__(self) -> None:
        self._pool: ProcessPoolExecutor | None = None
        self._stopping: Event | None = None
        self._is_closed = False
        self._changing = threading.Lock()

    async def run(self, work: Callable[..., T], *arguments: object) -> T:
        """Have one of them do something; each that dies takes what was under way with it."""
        try:
            # Starting a process takes longer than the event loop may stand still.
            submitted = await asyncio.to_thread(self._submit, work, *arguments)
            return await asyncio.wrap_future(submitted)
        except BrokenProcessPool:
            self._pool = None
            raise

    def _submit(self, work: Callable[..., T], *arguments: object) -> Future[T]:
        with self._changing:
            if self._is_closed:
                raise RuntimeError("the workshop is closed")
            if self._pool is None:
                context = multiprocessing.get_context("spawn")
                self._stopping = context.Event()
                self._pool = ProcessPoolExecutor(
                    max_workers=WORKERS,
                    mp_context=context,
                    initializer=settle_down,
                    initargs=(self._stopping,),
                )
            return self._pool.submit(work, *arguments)

    def stop(self) -> list[BaseProcess]:
        """Tell them to stop what is under way and take nothing more; return those to end."""
        with self._changing:
            self._is_closed = True
            pool, self._pool = self._pool, None
        if pool is None or self._stopping is None:
            return []
        self._stopping.set()
        # It tells of its workers in no other way.
        workers: list[BaseProcess] = list((pool._processes or {}).values())
        pool.shutdown(wait=False, cancel_futures=True)
        return workers


def _end(workers: Sequence[BaseProcess], grace_seconds: float) -> None:
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
