"""Engine work that may take long, in processes of its own, so that no room ever waits for it.

The pool starts at the first request and its one worker runs at low priority. Requests carry their
seed: the same request makes the same puzzle.
"""

from __future__ import annotations

import asyncio
import multiprocessing
import os
from concurrent.futures import ProcessPoolExecutor
from random import Random

from bot.club.plan import PlanEntry
from bot.club.state import Puzzle
from bot.club.vetting import vet_puzzle
from engine.grid import parse_grid
from engine.making import make_puzzle


def _settle_down() -> None:
    os.nice(10)


def _make(entry: PlanEntry, seed: int) -> Puzzle | None:
    made = make_puzzle(
        Random(seed), levels=entry.levels, needs=(entry.theme,) if entry.theme else ()
    )
    if made is None:
        return None
    return vet_puzzle(parse_grid(made.puzzle), origin=f"made from seed {seed}").puzzle


class Workshop:
    """The club's PuzzleSource. Close it with `close()`."""

    def __init__(self) -> None:
        self._pool: ProcessPoolExecutor | None = None

    async def make_puzzle(self, entry: PlanEntry, seed: int) -> Puzzle | None:
        if self._pool is None:
            self._pool = ProcessPoolExecutor(
                max_workers=1,
                mp_context=multiprocessing.get_context("spawn"),
                initializer=_settle_down,
            )
        loop = asyncio.get_running_loop()
        return await loop.run_in_executor(self._pool, _make, entry, seed)

    def close(self) -> None:
        if self._pool is not None:
            self._pool.shutdown(wait=True, cancel_futures=True)
            self._pool = None
