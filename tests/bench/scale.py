"""Commands in a club of 200 members over three years, against the same in a small one.

Both clubs are written into files of the same run, and each line goes through the service: read,
loaded, decided and saved on the real store. What is measured is the processor's time of all
threads, which other load on the machine hardly changes. Of the day's clockwork it measures what
keeps others waiting most: the closing that ends a week and the opening after it, and an erasure.
"""

from __future__ import annotations

import asyncio
import time
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

from bot.club.acts import Event
from bot.club.due import Due
from bot.club.replies import Erased, Reply
from bot.club.service import ClubService
from bot.commands import table as commands
from bot.storage import SqliteStore, open_store
from bot.wiring.platforms import MEMORIES
from tests.bench import Figure, median
from tests.bench.big_club import LAST, BigClub, build_club

ROUNDS = 9
AIM_MS = 20.0
SMALL, BIG = (10, 30), (200, 3 * 365 + 1)
"""Members and days."""

LINES = (
    "today",
    "start",
    "hand-in 123456789 123456789",
    "hand-in {answer}",
    "me",
    "leaderboard {before}",
    "leaderboard week",
    "leaderboard month",
    "leaderboard all",
    "leaderboard last week",
    "privacy",
    "club report",
    "club plan",
    "club preview",
    "club queue",
    "club setup",
    "club result m1 unrank {before} for a test",
    "club result m1 restore {before} it was one",
)
"""What is said, by members in turn who have not solved the open puzzle."""


class Commander:
    """Says lines to a club, a second after one another."""

    def __init__(self, store: SqliteStore, club: BigClub) -> None:
        self.service = ClubService(store=store, courses=commands.COURSES)
        self._store, self._club = store, club
        self._said = 0

    async def say(self, line: str, by: str) -> tuple[float, Reply]:
        """Say a line; return the reply, and the milliseconds that it took the processor."""
        self._said += 1
        act = commands.parse(line, {}, in_open=False)
        assert not isinstance(act, Reply), act
        at = LAST + timedelta(hours=23, seconds=self._said)
        event = Event(f"said {self._said}", self._club.club_id, by, by, True, at, at, act)
        begin = time.process_time()
        reply = await self.service.answer(event)
        return (time.process_time() - begin) * 1e3, reply

    async def turn(self) -> tuple[float, ...]:
        """Close the open day and open the next; return the milliseconds of each."""
        spent = []
        for due in await self.due():
            begin = time.process_time()
            await self.service.carry_out(due)
            spent.append((time.process_time() - begin) * 1e3)
        return tuple(spent)

    async def due(self) -> tuple[Due, ...]:
        """Return what is due as the open day is over: its closing, and the next opening."""
        (club,) = await self._store.load_clubs()
        return await self.service.due(club, LAST + timedelta(days=1, seconds=1))


async def words_of(store: SqliteStore, club: BigClub) -> dict[str, str]:
    """Return what stands in `LINES` between braces."""
    day = await store.load_day(club.club_id, LAST.date())
    assert day is not None
    solution = day.puzzle.solution
    return {
        "answer": f"{solution[27:36]} {solution[45:54]}",
        "before": (LAST - timedelta(days=3)).date().isoformat(),
    }


async def measure(club: BigClub) -> dict[str, float]:
    """Return the milliseconds of each line, the median of several."""
    async with open_store(club.path, now=lambda: LAST, memories=MEMORIES) as store:
        words, commander = await words_of(store, club), Commander(store, club)
        day = await store.load_day(club.club_id, LAST.date())
        assert day is not None
        solved = {member.user_id for member, _ in await store.load_entries(day.id)}
        waiting = [f"m{number}" for number in range(1, club.members + 1)]
        waiting = [each for each in waiting if each not in solved][:ROUNDS]
        taken: dict[str, list[float]] = {}
        for line in LINES:
            for by in waiting:
                spent, _ = await commander.say(line.format(**words), by)
                taken.setdefault(line, []).append(spent)
        figures = {line: median(each) for line, each in taken.items()}
        figures["closing a day"], figures["opening a day"] = await commander.turn()
        begin = time.process_time()
        await store.prune()
        figures["forgetting each hour"] = (time.process_time() - begin) * 1e3
        spent, reply = await commander.say("privacy erase sure", "m1")
        assert isinstance(reply, Erased), reply
        return {**figures, "privacy erase sure": spent}


async def _figures(folder: Path) -> tuple[dict[str, float], dict[str, float]]:
    clubs = [
        await build_club(folder / f"{members}.db", members=members, days=days)
        for members, days in (SMALL, BIG)
    ]
    small, big = [await measure(club) for club in clubs]
    return small, big


def find_figures() -> Iterator[Figure]:
    with TemporaryDirectory() as folder:
        small, big = asyncio.run(_figures(Path(folder)))
    for line, spent in big.items():
        ratio = spent / small[line]
        yield Figure(f"{line}: times a small club's", ratio, "x")
        yield Figure(line, spent, "ms", f"< {AIM_MS:g}", spent < AIM_MS)
