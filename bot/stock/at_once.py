"""Pieces of work by all cores, a stream in and a stream out, in the order in which they came.

Nothing depends on which process has a piece, or when. Only so many are begun as keep every core
busy, so memory does not grow with the stream. Some may be begun that turn out not to be asked for:
they are told to stop.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
from collections import deque
from collections.abc import Callable, Generator, Iterable, Iterator
from concurrent.futures import Future, ProcessPoolExecutor, wait
from contextlib import contextmanager
from itertools import islice
from typing import TypeVar

from bot.stock.workshop import settle_down

SECONDS_BETWEEN_LOOKS = 0.2

T = TypeVar("T")
R = TypeVar("R")


def count_cores() -> int:
    """Return how many processes can work at once."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def work_at_once(
    work: Callable[[T], R],
    pieces: Iterable[T],
    *,
    cores: int,
    begun_for_each: int,
    on_wait: Callable[[], None],
) -> Generator[tuple[T, R]]:
    """Yield (piece, what the work made of it), piece after piece. Close it to stop what is under
    way.

    `begun_for_each` is how many are begun for each core: one that takes long holds up no other.
    Raises what the work does, at the turn of the piece that it happened to.
    """
    context = multiprocessing.get_context("spawn")
    stopping = context.Event()
    pool = ProcessPoolExecutor(
        max_workers=cores, mp_context=context, initializer=settle_down, initargs=(stopping,)
    )
    coming = iter(pieces)
    begun: deque[tuple[T, Future[R]]] = deque()
    try:
        while True:
            for piece in islice(coming, cores * begun_for_each - len(begun)):
                with _without_interrupts():
                    begun.append((piece, pool.submit(work, piece)))
            if not begun:
                return
            piece, result = begun[0]
            while not wait([result], SECONDS_BETWEEN_LOOKS).done:
                on_wait()
            begun.popleft()
            yield piece, result.result()
    finally:
        stopping.set()
        pool.shutdown(cancel_futures=True)


@contextmanager
def _without_interrupts() -> Iterator[None]:
    """Hold Ctrl-C back for a moment: a process started meanwhile never hears of it."""
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
