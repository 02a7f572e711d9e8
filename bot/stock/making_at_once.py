"""Many puzzles of one recipe by all cores: the same as one after another, in the same order.

Each seed is a piece of work of its own, so nothing depends on which process has it, or when. Some
are begun that turn out not to be asked for; they are told to stop.
"""

from __future__ import annotations

import multiprocessing
import os
import time
from collections import deque
from collections.abc import Callable, Generator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, wait
from functools import partial
from itertools import count
from random import Random

from bot.stock.workshop import is_stopping, settle_down
from engine import Grid, Recipe, make_puzzle, making

BEGUN_FOR_EACH = 3
"""How many seeds are begun for each core: one that takes long holds up no other."""

SECONDS_BETWEEN_LOOKS = 0.2

Unmade = tuple[making.Tried, tuple[str, ...], str, bool]
"""What an UnmadeError tells: an error of its kind does not come whole from another process."""


def count_cores() -> int:
    """Return how many processes can work at once."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def make_at_once(
    recipe: Recipe,
    first_seed: int,
    *,
    like: Sequence[Grid],
    cores: int,
    end: float | None,
    on_wait: Callable[[], None],
) -> Generator[tuple[int, making.Made]]:
    """Yield (seed, puzzle), seed after seed, without end. Close it to stop what is under way.

    `end` is a moment of `time.monotonic`, which all processes of a machine share. Raises what
    `make_puzzle` does, at the turn of the seed that it happened to.
    """
    context = multiprocessing.get_context("spawn")
    stopping = context.Event()
    pool = ProcessPoolExecutor(
        max_workers=cores, mp_context=context, initializer=settle_down, initargs=(stopping,)
    )
    seeds = count(first_seed)
    begun: deque[tuple[int, Future[making.Made | Unmade]]] = deque()
    try:
        while True:
            while len(begun) < cores * BEGUN_FOR_EACH:
                seed = next(seeds)
                work = partial(_make, recipe, seed, tuple(like), end)
                begun.append((seed, pool.submit(work)))
            seed, made = begun[0]
            while not wait([made], SECONDS_BETWEEN_LOOKS).done:
                on_wait()
            begun.popleft()
            result = made.result()
            if not isinstance(result, making.Made):
                tried, advice, contradiction, is_stopped = result
                raise making.UnmadeError(
                    tried, advice, contradiction=contradiction, is_stopped=is_stopped
                )
            yield seed, result
    finally:
        stopping.set()
        pool.shutdown(cancel_futures=True)


def _make(
    recipe: Recipe, seed: int, like: tuple[Grid, ...], end: float | None
) -> making.Made | Unmade:
    """Make one puzzle in a process of its own."""

    def should_stop() -> bool:
        return is_stopping() or (end is not None and time.monotonic() > end)

    try:
        return make_puzzle(Random(seed), recipe, seeds=like, should_stop=should_stop)
    except making.UnmadeError as error:
        return error.tried, error.advice, error.contradiction, error.is_stopped
