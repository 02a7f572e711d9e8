"""One queue for all that a token asks of the service, below its limit for a whole bot.

Requests take turns: what a person waits for before new puzzles, those before results, private
lines, mended posts and walkthroughs; equals in the order in which they were asked for. Too many
refusals would get the address banned, so they have a budget, and what it does not allow waits.
Nothing here knows the library.
"""

from __future__ import annotations

import asyncio
from collections import deque
from collections.abc import Awaitable, Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from enum import IntEnum
from heapq import heappop, heappush
from itertools import count

REQUESTS_A_SECOND = 40.0
"""The service allows 50 requests a second; they may reach it less evenly than they left."""

REFUSALS = 99
"""The service bans an address with 10,000 refusals in REFUSALS_WITHIN seconds, whoever made them;
so many are the most that ours are."""

REFUSALS_WITHIN = 600.0
KEPT_BACK = 10
"""So many refusals of the budget each rank leaves to those before it."""


class Rank(IntEnum):
    """Who goes first where several wait."""

    ANSWER = 0
    POST = 1
    RESULTS = 2
    PRIVATE = 3
    MEND = 4
    THREAD = 5


_RANK: ContextVar[Rank] = ContextVar("rank", default=Rank.ANSWER)


@contextmanager
def at(rank: Rank) -> Iterator[None]:
    """Have what is asked of the service inside the block wait among its equals."""
    before = _RANK.set(rank)
    try:
        yield
    finally:
        _RANK.reset(before)


def rank_now() -> Rank:
    """Return the rank of what is asked now: somebody waits for it unless `at` says otherwise."""
    return _RANK.get()


Wait = Callable[[asyncio.Event, float], Awaitable[None]]
"""Waits until the event is set, for so many seconds at most."""


async def wait_for(event: asyncio.Event, seconds: float) -> None:
    """Wait by the event loop's own clock."""
    try:
        async with asyncio.timeout(seconds):
            await event.wait()
    except TimeoutError:
        pass


class Pace:
    """`clock` counts seconds; `wait` waits by it."""

    def __init__(
        self,
        a_second: float = REQUESTS_A_SECOND,
        *,
        clock: Callable[[], float] | None = None,
        wait: Wait = wait_for,
    ) -> None:
        self._gap = 1.0 / a_second
        self._clock = clock
        self._wait = wait
        self._free_at = 0.0
        self._numbers = count()
        self._waiting: list[tuple[Rank, int, asyncio.Future[None]]] = []
        self._giving: asyncio.Task[None] | None = None
        self._changed = asyncio.Event()
        self._under_way = 0
        self._refused: deque[tuple[float, bool]] = deque()
        """When, and whether it was because of a limit."""

    async def turn(self, rank: Rank) -> None:
        """Return when it is the turn of a request of this rank."""
        own: asyncio.Future[None] = asyncio.get_running_loop().create_future()
        heappush(self._waiting, (rank, next(self._numbers), own))
        self._changed.set()
        if self._giving is None or self._giving.done():
            self._giving = asyncio.create_task(self._give_turns(), name="discord pace")
        await own

    async def begin(self, rank: Rank) -> None:
        """Return when a request that had its turn may go out; it is under way until `over`."""
        while not self._is_allowed(rank):
            await self.turn(rank)
        self._under_way += 1

    def over(self) -> None:
        """Hear that a request is answered, or will not be."""
        self._under_way -= 1
        self._changed.set()

    def refused(self, *, by_limit: bool, hold: float = 0.0) -> None:
        """Hear of a refusal; after one for the whole bot all hold for so many seconds."""
        now = self._now()
        self._refused.append((now, by_limit))
        self._free_at = max(self._free_at, now + hold)

    async def _give_turns(self) -> None:
        """Give one turn at a time, so that a busy loop, coming round late, lets no crowd go."""
        while self._waiting:
            held_for = self._held_for(self._waiting[0][0])
            if held_for > 0.0:
                self._changed.clear()
                await self._wait(self._changed, held_for)
                continue
            _, _, chosen = heappop(self._waiting)
            if not chosen.done():
                # Who was cancelled meanwhile takes no turn.
                chosen.set_result(None)
                self._free_at = self._now() + self._gap_now()

    def _held_for(self, rank: Rank) -> float:
        """Return in how many seconds a turn can be given, or anything may have changed."""
        now = self._now()
        if now < self._free_at:
            return self._free_at - now
        if self._is_allowed(rank):
            return 0.0
        return self._refused[0][0] + REFUSALS_WITHIN - now if self._refused else REFUSALS_WITHIN

    def _is_allowed(self, rank: Rank) -> bool:
        """Tell whether the budget would stand it if all that is under way were refused."""
        while self._refused and self._refused[0][0] <= self._now() - REFUSALS_WITHIN:
            self._refused.popleft()
        return len(self._refused) + self._under_way < REFUSALS - KEPT_BACK * rank

    def _gap_now(self) -> float:
        """Return the seconds between two turns: longer, the more were beyond the limits."""
        limited = sum(by_limit for _, by_limit in self._refused)
        return self._gap * REFUSALS / max(1, REFUSALS - limited)

    def _now(self) -> float:
        return self._clock() if self._clock else asyncio.get_running_loop().time()
