"""Keeps the stock filled in the background: at least so many puzzles for each day of each club's
plan that the club has not had.

It counts what is there, has the workshop make what is missing, one puzzle at a time, and counts
again. Every seed is written down as used before the work on it begins, so no restart makes the same
puzzle again; what is half made when the bot ends is lost, and nothing else. Nothing is started
while nothing is missing.
"""

from __future__ import annotations

import asyncio
import logging
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures.process import BrokenProcessPool
from datetime import timedelta
from typing import Protocol

from bot.club.plan import DayPlan, fits, plans_of
from bot.club.state import Club, ClubSettings, Puzzle
from bot.schedule import Wait, wait_for

_LOG = logging.getLogger("ninebark.stocker")

AT_LEAST = 14
"""Two weeks of a plan that asks for the same every day."""

FIRST_LOOK = timedelta(seconds=30)
"""The bot's start is left in peace."""

LOOK_EVERY = timedelta(minutes=10)
REST_BETWEEN_LOOKS = timedelta(seconds=60)
"""However often it is woken."""

FAILURES_IN_A_ROW = 3
LOOKS_OF_REST = 6
"""How many looks a plan is left alone for which nothing could be made."""

MODELS = 12
"""So many puzzles known to be like it are given to the making."""


class StockStore(Protocol):
    """The part of the store that the stocker works on."""

    async def load_clubs(self) -> tuple[Club, ...]:
        """Return all clubs."""

    async def load_stock(self, club_id: int) -> tuple[Puzzle, ...]:
        """Return the puzzles that a club has not had, queued or withdrawn, in whatever disguise."""

    async def list_puzzles(
        self, *, level: int | None = None, needs: str | None = None, limit: int = 1_000_000
    ) -> tuple[Puzzle, ...]:
        """Return the puzzles of a level that need a technique (None: any), oldest first."""

    async def claim_seed(self) -> int:
        """Return a seed that no making has had."""

    async def add_new(self, puzzle: Puzzle) -> bool:
        """Add a puzzle; False where it is there already, in whatever disguise."""


class Maker(Protocol):
    """The part of the workshop that the stocker works with."""

    async def make_for_stock(
        self, plan: DayPlan, seed: int, like: Sequence[str] = ()
    ) -> Puzzle | None:
        """Make a puzzle that is all that the plan asks for, from others `like` it; None where none
        came."""


def count_missing(
    settings: ClubSettings, stock: Sequence[Puzzle], at_least: int
) -> dict[DayPlan, int]:
    """Return how many puzzles each day's plan of a club lacks; only those that lack some."""
    missing = {}
    for plan in plans_of(settings):
        there = {puzzle.identity for puzzle in stock if fits(puzzle, plan)}
        if len(there) < at_least:
            missing[plan] = at_least - len(there)
    return missing


class Stocker:
    """Runs until it is cancelled. `wait` sleeps; whoever changes a plan wakes it."""

    def __init__(
        self, store: StockStore, maker: Maker, *, at_least: int = AT_LEAST, wait: Wait = wait_for
    ) -> None:
        self._store = store
        self._maker = maker
        self._at_least = at_least
        self._wait = wait
        self._woken = asyncio.Event()
        self._failures: Counter[DayPlan] = Counter()
        self._resting: Counter[DayPlan] = Counter()

    def wake(self) -> None:
        """Look soon: a puzzle was used, or a plan changed."""
        self._woken.set()

    async def run(self) -> None:
        """Fill the stock, whenever something is missing. Ends only when cancelled."""
        await self._wait(asyncio.Event(), FIRST_LOOK.total_seconds())
        while True:
            self._woken.clear()
            try:
                await self.fill()
            except BrokenProcessPool:
                _LOG.warning("a worker of the workshop was ended; the stock is filled later")
            except Exception:
                _LOG.exception("the stock could not be filled")
            await self._wait(self._woken, LOOK_EVERY.total_seconds())
            await self._wait(asyncio.Event(), REST_BETWEEN_LOOKS.total_seconds())

    async def fill(self, on_added: Callable[[Puzzle], None] | None = None) -> int:
        """Make what is missing now, the scarcest first; return how many puzzles were added."""
        self._resting -= Counter(dict.fromkeys(self._resting, 1))
        added = 0
        while plan := await self._scarcest():
            made = await self._make_one(plan)
            if made is not None:
                self._failures.pop(plan, None)
                added += 1
                if on_added is not None:
                    on_added(made)
                continue
            self._failures[plan] += 1
            if self._failures[plan] >= FAILURES_IN_A_ROW:
                _LOG.info("no puzzle could be made for %s; it is tried again later", plan.key)
                del self._failures[plan]
                self._resting[plan] = LOOKS_OF_REST
        return added

    async def missing(self) -> Mapping[DayPlan, int]:
        """Return how many puzzles each plan lacks in the club that lacks most of it."""
        most: dict[DayPlan, int] = {}
        for club in await self._store.load_clubs():
            stock = await self._store.load_stock(club.id)
            # A large stock takes longer to look through than the event loop may stand still.
            lacks = await asyncio.to_thread(count_missing, club.settings, stock, self._at_least)
            for plan, count in lacks.items():
                most[plan] = max(count, most.get(plan, 0))
        return most

    async def _scarcest(self) -> DayPlan | None:
        lacks = await self.missing()
        open_plans = [each for each in lacks if not self._resting[each]]
        return max(open_plans, key=lambda each: (lacks[each], each), default=None)

    async def _make_one(self, plan: DayPlan) -> Puzzle | None:
        """Make a puzzle for a plan and add it; None where none came or it is there already."""
        seed = await self._store.claim_seed()
        made = await self._maker.make_for_stock(plan, seed, await self._models(plan))
        if made is None or not fits(made, plan) or not await self._store.add_new(made):
            return None
        return made

    async def _models(self, plan: DayPlan) -> tuple[str, ...]:
        """Return puzzles known to need the theme, oldest first, so that they stay the same."""
        if not plan.theme:
            return ()
        known = await self._store.list_puzzles(needs=plan.theme)
        return tuple([each.givens for each in known if fits(each, plan)][:MODELS])
