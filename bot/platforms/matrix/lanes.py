"""Work in lanes: jobs of one lane run one after another, different lanes at the same time. A job
that sends goes through every outage."""

from __future__ import annotations

import asyncio
import logging
from collections import deque
from collections.abc import Awaitable, Callable

from bot.platforms.message import RoomUnreachableError

FIRST_REST, LONGEST_REST = 1.0, 60.0

_LOG = logging.getLogger("ninebark.matrix")

Job = Callable[[], Awaitable[None]]
"""Never raises but to be cancelled."""


class Lanes:
    """Runs jobs. A lane comes with its first job and goes with its last."""

    def __init__(self) -> None:
        self._jobs: dict[str, deque[Job]] = {}
        self._tasks: set[asyncio.Task[None]] = set()

    def put(self, lane: str, job: Job) -> None:
        """Add a job to a lane, behind those that wait there; returns at once."""
        waiting = self._jobs.get(lane)
        if waiting is not None:
            waiting.append(job)
            return
        self._jobs[lane] = deque((job,))
        task = asyncio.create_task(self._run(lane), name=f"lane {lane}")
        self._tasks.add(task)
        task.add_done_callback(self._tasks.discard)

    def put_if_idle(self, lane: str, job: Job) -> None:
        """Begin a job, unless its lane has one."""
        if lane not in self._jobs:
            self.put(lane, job)

    async def finish(self, seconds: float) -> None:
        """Wait for the jobs that are there, so long at most, then cancel the rest."""
        tasks = tuple(self._tasks)
        if tasks:
            await asyncio.wait(tasks, timeout=seconds)
        for task in tasks:
            task.cancel()
        await asyncio.gather(*tasks, return_exceptions=True)
        self._jobs.clear()

    async def _run(self, lane: str) -> None:
        waiting = self._jobs[lane]
        try:
            while waiting:
                await waiting.popleft()()
        finally:
            self._jobs.pop(lane, None)


async def patiently(
    send: Callable[[], Awaitable[None]], wait: Callable[[float], Awaitable[None]]
) -> None:
    """Send what is saved, through every outage; what is refused is left, and noted."""
    rest = FIRST_REST
    while True:
        try:
            await send()
        except RoomUnreachableError as problem:
            _LOG.warning("what is unsent waits: %s", problem)
            await wait(rest)
            rest = min(LONGEST_REST, rest * 2)
        except Exception:
            _LOG.exception("what was unsent could not be sent")
            return
        else:
            return
