"""The two connections to the database, one to write by and one to read by, each with its thread.

All work is a plain function that takes the raw connection; it is handed over whole, so that a
read or a transaction is one hop to the thread and back, and a caller that is cancelled while it
waits can neither stop it halfway nor leave a transaction open. No read waits for a commit to reach
the disk: the log lets one read while another writes (https://sqlite.org/wal.html). A second bot on
the same file is refused by a lock that the system drops when a process dies.
"""

from __future__ import annotations

import asyncio
import logging
import sqlite3
from collections import deque
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from datetime import date
from functools import partial
from pathlib import Path
from typing import Any, Generic, TypeVar

import aiosqlite

from bot.storage.backup import copy_whole
from bot.storage.dated import dated_copy
from bot.storage.errors import DatabaseDamagedError, SaveFailedError, SqliteTooOldError
from bot.storage.files import error_of, error_of_folder, make_private, take_lock
from bot.storage.founding import begin_founding, end_founding
from bot.storage.migrations import MIGRATIONS, OVERWRITTEN, migrate, read_version
from bot.storage.results import is_kept, keep_all

T = TypeVar("T")
Work = Callable[[sqlite3.Connection], T]

_LOG = logging.getLogger(__name__)

BUSY_TIMEOUT_MS = 5_000

MOST_TOGETHER = 64
"""Writes of one transaction."""

OLDEST_SQLITE = (3, 37, 0)
"""STRICT tables came with 3.37.0 (SQLite's release notes, 2021-11-27)."""

_PRAGMAS = (
    "PRAGMA journal_mode = WAL",
    # FULL syncs the log at each commit: with NORMAL a power cut could lose an acknowledged answer.
    "PRAGMA synchronous = FULL",
    # What is deleted is overwritten: an erased member is in no freed page either.
    "PRAGMA secure_delete = ON",
    "PRAGMA foreign_keys = ON",
    "PRAGMA trusted_schema = OFF",
    "PRAGMA temp_store = MEMORY",
)


# At its most talkative the library tells of each statement twice, from its own thread: also after
# the bot's last words.
logging.getLogger("aiosqlite").setLevel(logging.INFO)


class _Guarded(sqlite3.Connection):
    """A connection that lets go of the lock when it is closed."""

    guard: sqlite3.Connection | None = None

    def close(self) -> None:
        super().close()
        if self.guard is not None:
            self.guard.close()


class _Write(Generic[T]):
    """Work that waits to be saved, and what came of it."""

    def __init__(self, work: Work[T]) -> None:
        self.work = work
        self._result: T
        self._problem: BaseException | None = None

    def run_alone(self, connection: sqlite3.Connection) -> None:
        """Run it as a transaction of its own."""
        try:
            self._result = _run_block(self.work, "BEGIN IMMEDIATE", connection)
        except BaseException as problem:
            self._problem = problem

    def keep(self, result: T) -> None:
        """Keep what came of it in a transaction with others."""
        self._result = result

    def outcome(self) -> T:
        """Return its result, or raise what it raised."""
        if self._problem is not None:
            raise self._problem
        return self._result


class Database:
    """Runs work on the database's threads, one piece at a time on each.

    Writes that wait at the same time are saved in one transaction: a disk takes about as long to
    sync one as many. None is acknowledged before its commit, and no read sees it before that; one
    that begins after it was acknowledged does. In memory there is one connection for both.
    """

    def __init__(self, link: aiosqlite.Connection, reading: aiosqlite.Connection) -> None:
        self._link = link
        self._reading = reading
        self._waiting: deque[_Write[Any]] = deque()

    async def read(self, work: Work[T]) -> T:
        """Run `work` on one unchanging state of the database."""
        return await _hand_over(self._reading, partial(_run_block, work, "BEGIN"))

    async def write(self, work: Work[T]) -> T:
        """Run `work` as one transaction: all of it is saved, or nothing."""
        write = _Write(work)
        self._waiting.append(write)
        # Whoever comes first saves for all that wait; the others find nothing left to do.
        await _hand_over(self._link, self._save_waiting)
        return write.outcome()

    def _save_waiting(self, connection: sqlite3.Connection) -> None:
        writes: list[_Write[Any]] = []
        while self._waiting and len(writes) < MOST_TOGETHER:
            writes.append(self._waiting.popleft())
        if len(writes) > 1:
            try:
                results = _run_block(
                    lambda link: [write.work(link) for write in writes],
                    "BEGIN IMMEDIATE",
                    connection,
                )
            except BaseException:
                _LOG.debug("saved one by one: one of %s failed", len(writes))
            else:
                for write, result in zip(writes, results, strict=True):
                    write.keep(result)
                return
        for write in writes:
            write.run_alone(connection)

    async def run_bare(self, work: Work[T]) -> T:
        """Run `work` outside a transaction, for what SQLite allows only there, where is written."""
        return await _hand_over(self._link, work)


async def _hand_over(link: aiosqlite.Connection, job: Work[T]) -> T:
    # aiosqlite's public methods are one statement each, so a transaction made of them would
    # be a hop per statement, with a window for cancellation between any two. `_execute` is
    # what they all call: it queues a function for the thread. A test guards that it stays.
    result: T = await link._execute(job, link._conn)  # type: ignore[no-untyped-call] # aiosqlite's own
    return result


def _run_block(work: Work[T], begin: str, connection: sqlite3.Connection) -> T:
    try:
        connection.execute(begin)
        result = work(connection)
        connection.execute("COMMIT")
    except BaseException as problem:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        if isinstance(problem, sqlite3.Error):
            code = getattr(problem, "sqlite_errorname", "")
            raise SaveFailedError(code, str(problem)) from problem
        raise
    return result


@asynccontextmanager
async def open_database(
    path: Path | None, *, alone: bool = True, on_date: date | None = None
) -> AsyncIterator[Database]:
    """Open the database file, made if absent and migrated; None is one in memory.

    `alone`: hold the lock that a second bot would need. `day` dates the copy that is made before a
    migration; None: none is made. Raises StorageError.
    """
    # Opened before aiosqlite has it: after a connector that raises, aiosqlite's thread may outlive
    # the event loop, and then ends with a traceback of its own.
    connection = await asyncio.to_thread(_connect, path, alone, on_date)
    async with aiosqlite.Connection(lambda: connection, iter_chunk_size=64) as link:
        if path is None:
            yield Database(link, link)
            return
        async with aiosqlite.Connection(partial(_connect_to_read, path), 64) as reading:
            yield Database(link, reading)


def _connect(path: Path | None, alone: bool, on_date: date | None) -> sqlite3.Connection:
    """Open, set up and migrate."""
    if sqlite3.sqlite_version_info < OLDEST_SQLITE:
        needed = ".".join(map(str, OLDEST_SQLITE))
        raise SqliteTooOldError(sqlite3.sqlite_version, needed)
    if path is None:
        return _set_up(_open(":memory:"))
    try:
        # A folder that we make is ours alone: boards and answers are private.
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        begin_founding(path)
        guard = take_lock(path) if alone else None
        make_private(path)
    except OSError as problem:
        raise error_of_folder(problem, path.parent) from problem
    try:
        connection = _open(path)
    except sqlite3.Error as problem:
        if guard is not None:
            guard.close()
        raise error_of(problem, path) from problem
    connection.guard = guard
    try:
        _set_up(connection, path, on_date, alone=alone)
        end_founding(path)
        return connection
    except BaseException as problem:
        connection.close()
        if isinstance(problem, sqlite3.Error):
            raise error_of(problem, path) from problem
        raise


def _connect_to_read(path: Path) -> sqlite3.Connection:
    """Open what was set up already, for reading alone."""
    connection = _open(path)
    connection.row_factory = sqlite3.Row
    for pragma in (*_PRAGMAS, "PRAGMA query_only = ON"):
        connection.execute(pragma)
    return connection


def _open(path: Path | str) -> _Guarded:
    # Made on one thread, used on another, never on two at once.
    return sqlite3.connect(
        path,
        isolation_level=None,
        timeout=BUSY_TIMEOUT_MS / 1000,
        check_same_thread=False,
        factory=_Guarded,
    )


def open_plainly(path: Path) -> sqlite3.Connection:
    """Open and migrate a database that is nobody's yet; the caller closes it, on any thread."""
    connection = _open(path)
    try:
        return _set_up(connection, path)
    except BaseException:
        connection.close()
        raise


def _set_up(
    connection: _Guarded,
    path: Path | None = None,
    on_date: date | None = None,
    *,
    alone: bool = False,
) -> sqlite3.Connection:
    connection.row_factory = sqlite3.Row
    # Before anything is written: a file that is refused is left as it is.
    named = path or Path(":memory:")
    found = read_version(connection, named)
    if alone:
        _check_quickly(connection, named)
    if path is not None and on_date is not None and 0 < found < len(MIGRATIONS):
        _copy_before_migrating(path, on_date, found)
    for pragma in _PRAGMAS:
        connection.execute(pragma)
    if 0 < found <= MIGRATIONS.index(OVERWRITTEN):
        # Before the version says that it was done: a disk that is full now is tried again.
        connection.execute("VACUUM")
    migrate(connection, named)
    if not is_kept(connection):
        _run_block(keep_all, "BEGIN IMMEDIATE", connection)
    if alone:
        # What a kill left in the log is in the one file from now on.
        fold_log(connection)
    return connection


def _check_quickly(connection: sqlite3.Connection, path: Path) -> None:
    findings = [str(row[0]) for row in connection.execute("PRAGMA quick_check(5)")]
    if findings != ["ok"]:
        raise DatabaseDamagedError(path, tuple(findings))


def _copy_before_migrating(path: Path, on_date: date, version: int) -> None:
    copy = dated_copy(path, on_date, f"-before-version-{len(MIGRATIONS)}")
    # One that is there was made at a start that ended before it had migrated.
    if not copy.exists():
        copy_whole(path, copy)


def write_anew(connection: sqlite3.Connection) -> bool:
    """Write the whole file anew, without what was deleted; False where the disk has no room."""
    try:
        connection.execute("VACUUM")
    except sqlite3.OperationalError:
        return False
    return True


def fold_log(connection: sqlite3.Connection) -> bool:
    """Bring all of the log into the database and empty it; False while another reads from it."""
    return bool(connection.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()[0] == 0)
