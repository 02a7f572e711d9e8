"""A command through the club's service, against one bare commit on the same disk.

The bare commit is what any bot that loses nothing must pay: one row inserted and committed by
aiosqlite in a WAL database at `synchronous=FULL`, nothing loaded, decided or kept besides. Bare
commit and command take turns, so that a busy moment of the disk hits both alike. The command is
read, decided and saved with its reply, on the real store; wording and drawing are measured apart.
"""

from __future__ import annotations

import asyncio
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

import aiosqlite

from bot.club.acts import Event
from bot.club.ports import MarkPosted
from bot.club.replies import BoardShown, ClockStarted, HintShown, Reply
from bot.club.service import ClubService
from bot.club.state import Club, ClubSettings, Puzzle
from bot.commands import table as commands
from bot.storage import SqliteStore, open_store
from tests.bench import Figure, median, percentile

MEMBERS = 40
AIM = 3.0
NOON = datetime(2026, 11, 23, 12, tzinfo=UTC)

# The encyclopaedia example, also in SQLite's documentation (`lang_with`).
PUZZLE = Puzzle(
    0,
    "53..7....6..195....98....6.8...6...34..8.3..17...2...6.6....28....419..5....8..79",
    "534678912672195348198342567859761423426853791713924856961537284287419635345286179",
    level=1,
)

ROUND: tuple[tuple[str, type[Reply]], ...] = (
    ("start", ClockStarted),
    ("place r5c5 5 r7c6 7", BoardShown),
    ("rule-out r1c3 1 2", BoardShown),
    ("board", BoardShown),
    ("undo", BoardShown),
    ("hint board sure", HintShown),
)
"""What every member says, and the kind of answer that shows that it was really carried out."""


class BareCommit:
    """Inserts and commits one row at a time."""

    def __init__(self, link: aiosqlite.Connection) -> None:
        self._link = link

    @staticmethod
    async def prepare(link: aiosqlite.Connection) -> None:
        await link.execute("PRAGMA journal_mode = WAL")
        await link.execute("PRAGMA synchronous = FULL")
        await link.execute("CREATE TABLE entry (id INTEGER PRIMARY KEY, board TEXT)")
        await link.commit()

    async def time(self) -> float:
        begin = time.perf_counter()
        await self._link.execute("INSERT INTO entry (board) VALUES (?)", (PUZZLE.givens,))
        await self._link.commit()
        return time.perf_counter() - begin


class Commander:
    """Says command lines to the service, each a minute after the one before."""

    def __init__(self, service: ClubService, club: Club) -> None:
        self._service = service
        self._club = club
        self._said = 0

    async def time(self, line: str, by: str, expected: type[Reply]) -> float:
        self._said += 1
        act = commands.parse(line, {}, in_open=False)
        assert not isinstance(act, Reply), act
        at = NOON + timedelta(minutes=self._said)
        event = Event(f"event {self._said}", self._club.id, by, by, False, at, at, act)
        begin = time.perf_counter()
        reply = await self._service.answer(event)
        seconds = time.perf_counter() - begin
        assert isinstance(reply, expected), reply
        return seconds


async def open_club(store: SqliteStore, service: ClubService) -> Club:
    """Add a club whose puzzle of the day is up."""
    await store.add_stock([PUZZLE])
    settings = ClubSettings("Maple Street Solvers", post_time="12:00")
    club = await store.add_club("web", "maple", settings)
    for due in await service.due(club, NOON):
        await service.carry_out(due)
    (day,) = await store.load_days(club.id)
    await store.save([MarkPosted(day.id, NOON, "post 1")])
    return club


async def measure(folder: Path) -> tuple[list[float], dict[str, list[float]]]:
    """Return the seconds of the bare commits, and those of each command."""
    bare: list[float] = []
    commanded: dict[str, list[float]] = {line: [] for line, _ in ROUND}
    async with (
        aiosqlite.connect(folder / "bare.db") as link,
        open_store(folder / "club.db", now=lambda: NOON) as store,
    ):
        await BareCommit.prepare(link)
        service = ClubService(store=store, courses=commands.COURSES)
        reference = BareCommit(link)
        commander = Commander(service, await open_club(store, service))
        for number in range(MEMBERS):
            for line, expected in ROUND:
                bare.append(await reference.time())
                commanded[line].append(await commander.time(line, f"member {number}", expected))
    return bare, commanded


def find_figures() -> Iterator[Figure]:
    with TemporaryDirectory() as folder:
        bare, commanded = asyncio.run(measure(Path(folder)))
    yield Figure("a bare commit, median", median(bare) * 1e3, "ms")
    yield Figure("a bare commit, 99th percentile", percentile(bare, 0.99) * 1e3, "ms")
    for line, seconds in commanded.items():
        ratio = median(seconds) / median(bare)
        yield Figure(f"`{line}`, times a bare commit", ratio, "x", f"<= {AIM:g}", ratio <= AIM)
    together = [seconds for each in commanded.values() for seconds in each]
    yield Figure("a command, median", median(together) * 1e3, "ms")
    yield Figure("a command, 99th percentile", percentile(together, 0.99) * 1e3, "ms")
    ratio = median(together) / median(bare)
    yield Figure("a command, times a bare commit", ratio, "x", f"<= {AIM:g}", ratio <= AIM)
