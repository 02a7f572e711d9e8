"""A member's `start` while the club's leader has grids judged that were made to hold a search up.

The club is real, on the real store, with the real workshop; a bare `start` in the same club, with
nobody judging, stands beside it. Each grid is judged anew, and members start all the while.
"""

from __future__ import annotations

import asyncio
import time
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

from bot.club.acts import Event
from bot.club.replies import ClockStarted, Reply
from bot.club.service import ClubService
from bot.club.state import Club
from bot.commands import table as commands
from bot.stock.workshop import Workshop
from bot.storage import open_store
from engine.board.grid import format_grid
from tests.bench import Figure, median, percentile
from tests.bench.commit import NOON, open_club
from tests.bench.hard_search import hard_puzzles
from tests.engine.test_limits import HOSTILE

MOST_MILLISECONDS = 200.0
ALONE = 2000


async def say(service: ClubService, club: Club, line: str, by: str) -> Reply:
    act = commands.parse(line, {}, in_open=False)
    assert not isinstance(act, Reply)
    return await service.answer(
        Event(f"{line} by {by}", club.id, by, by, by == "Rowan", NOON, NOON, act)
    )


async def time_start(service: ClubService, club: Club, member: str) -> float:
    begin = time.perf_counter()
    reply = await say(service, club, "start", member)
    assert isinstance(reply, ClockStarted), reply
    return time.perf_counter() - begin


async def measure(folder: Path) -> tuple[list[float], list[float]]:
    """Return the seconds of a member's `start`, alone and while the leader's grids are judged."""
    grids = [*HOSTILE, *map(format_grid, hard_puzzles())]
    workshop = Workshop()
    async with open_store(folder / "club.db", now=lambda: NOON) as store:
        service = ClubService(store=store, courses=commands.COURSES, puzzles=workshop)
        club = await open_club(store, service)
        alone = [await time_start(service, club, f"member {each}") for each in range(ALONE)]
        judging = asyncio.gather(
            *(say(service, club, f"club queue {grid}", "Rowan") for grid in grids)
        )
        beside: list[float] = []
        while not judging.done():
            beside.append(await time_start(service, club, f"other {len(beside)}"))
        await judging
    await asyncio.to_thread(workshop.close)
    return alone, beside


def find_figures() -> Iterator[Figure]:
    with TemporaryDirectory() as folder:
        alone, beside = asyncio.run(measure(Path(folder)))
    for name, seconds in (("nobody judging", alone), ("a leader's grids judged", beside)):
        yield Figure(f"`start` with {name}, median", median(seconds) * 1e3, "ms")
        yield Figure("  99.9th percentile", percentile(seconds, 0.999) * 1e3, "ms")
        longest = max(seconds) * 1e3
        yield Figure(
            f"  longest of {len(seconds)}",
            longest,
            "ms",
            "under 200",
            longest < MOST_MILLISECONDS,
        )
