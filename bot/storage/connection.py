"""The one connection to the database, and its thread.

All work is a plain function that takes the raw connection; it is handed over whole, so that a
read or a transaction is one hop to the thread and back, and a caller that is cancelled while it
waits can neither stop it halfway nor leave a transaction open. The only writer of the process;
a second bot on the same file is refused by a lock that the system drops when a process dies.
"""

from __future__ import annotations

import asyncio
import logging
import os
import sqlite3
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager, suppress
from functools import partial
from pathlib import Path
from typing import TypeVar

import aiosqlite

from bot.storage.errors import (
    DatabaseDamagedError,
    DataInUseError,
    FolderUnwritableError,
    NotADatabaseError,
    SaveFailedError,
    SqliteTooOldError,
    StorageError,
)
from bot.storage.migrations import migrate, read_version

T = TypeVar("T")
Work = Callable[[sqlite3.Connection], T]

BUSY_TIMEOUT_MS = 5_000
OLDEST_SQLITE = (3, 37, 0)
"""STRICT tables came with 3.37.0 (SQLite's release notes, 2021-11-27)."""

_PRAGMAS = (
    "PRAGMA journal_mode = WAL",
    # FULL syncs the log at each commit: with NORMAL a power cut could lose an acknowledged answer.
    "PRAGMA synchronous = FULL",
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


class Database:
    """Runs work on the database's thread, one piece at a time, in the order it was asked."""

    def __init__(self, link: aiosqlite.Connection) -> None:
        self._link = link

    async def read(self, work: Work[T]) -> T:
        """Run `work` on one unchanging state of the database."""
        return await self._hand_over(partial(_run_block, work, "BEGIN"))

    async def write(self, work: Work[T]) -> T:
        """Run `work` as one transaction: all of it is saved, or nothing."""
        return await self._hand_over(partial(_run_block, work, "BEGIN IMMEDIATE"))

    async def run_bare(self, work: Work[T]) -> T:
        """Run `work` outside a transaction, for what SQLite allows only there."""
        return await self._hand_over(work)

    async def _hand_over(self, job: Work[T]) -> T:
        # aiosqlite's public methods are one statement each, so a transaction made of them would
        # be a hop per statement, with a window for cancellation between any two. `_execute` is
        # what they all call: it queues a function for the thread. A test guards that it stays.
        connection = self._link._conn
        result: T = await self._link._execute(job, connection)  # type: ignore[no-untyped-call]
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
async def open_database(path: Path | None, *, alone: bool = True) -> AsyncIterator[Database]:
    """Open the database file, made if absent and migrated; None is one in memory.

    `alone`: hold the lock that a second bot would need. Raises StorageError.
    """
    # Opened before aiosqlite has it: after a connector that raises, aiosqlite's thread may outlive
    # the event loop, and then ends with a traceback of its own.
    connection = await asyncio.to_thread(_connect, path, alone)
    async with aiosqlite.Connection(lambda: connection, iter_chunk_size=64) as link:
        yield Database(link)


def _connect(path: Path | None, alone: bool) -> sqlite3.Connection:
    """Open, set up and migrate."""
    if sqlite3.sqlite_version_info < OLDEST_SQLITE:
        needed = ".".join(map(str, OLDEST_SQLITE))
        raise SqliteTooOldError(sqlite3.sqlite_version, needed)
    if path is None:
        return _set_up(_open(":memory:"))
    try:
        # A folder that we make is ours alone: boards and answers are private.
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        guard = take_lock(path) if alone else None
        make_private(path)
    except OSError as problem:
        raise FolderUnwritableError(path.parent, problem.strerror or str(problem)) from problem
    try:
        connection = _open(path)
    except sqlite3.Error as problem:
        if guard is not None:
            guard.close()
        raise error_of(problem, path) from problem
    connection.guard = guard
    try:
        return _set_up(connection, path)
    except BaseException as problem:
        connection.close()
        if isinstance(problem, sqlite3.Error):
            raise error_of(problem, path) from problem
        raise


def make_private(path: Path) -> None:
    """Make an empty file for its owner alone where there is none; SQLite gives the log beside a
    database the rights of the database."""
    # One that is there is not even opened: closing it would drop SQLite's locks on it.
    with suppress(FileExistsError):
        os.close(os.open(path, os.O_CREAT | os.O_EXCL, 0o600))


def _open(path: Path | str) -> _Guarded:
    # Made on one thread, used on another, never on two at once.
    return sqlite3.connect(
        path,
        isolation_level=None,
        timeout=BUSY_TIMEOUT_MS / 1000,
        check_same_thread=False,
        factory=_Guarded,
    )


def _set_up(connection: _Guarded, path: Path | None = None) -> sqlite3.Connection:
    connection.row_factory = sqlite3.Row
    # Before anything is written: a file that is refused is left as it is.
    named = path or Path(":memory:")
    read_version(connection, named)
    for pragma in _PRAGMAS:
        connection.execute(pragma)
    migrate(connection, named)
    return connection


def take_lock(path: Path) -> sqlite3.Connection:
    """Hold the lock beside the database until closed, or until the process dies in any way.

    It is SQLite's own file lock on an empty file, so it works wherever the database does. Raises
    DataInUseError where another holds it, FolderUnwritableError where none can be made.
    """
    beside = path.with_name(path.name + ".lock")
    guard = None
    try:
        guard = sqlite3.connect(beside, isolation_level=None, timeout=0, check_same_thread=False)
        guard.execute("BEGIN EXCLUSIVE")
    except sqlite3.Error as problem:
        if guard is not None:
            guard.close()
        if problem.sqlite_errorcode == sqlite3.SQLITE_BUSY:
            raise DataInUseError(path) from problem
        raise FolderUnwritableError(path.parent, str(problem)) from problem
    return guard


def error_of(problem: sqlite3.Error, path: Path) -> StorageError:
    """Return the fact behind an error of SQLite on a file."""
    # The lower byte is the kind, the rest says more (SQLite, "Result and Error Codes").
    kind = getattr(problem, "sqlite_errorcode", 0) & 0xFF
    if kind == sqlite3.SQLITE_NOTADB:
        return NotADatabaseError(path)
    if kind == sqlite3.SQLITE_CORRUPT:
        return DatabaseDamagedError(path, (str(problem),))
    if kind in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return DataInUseError(path)
    return FolderUnwritableError(path.parent, str(problem))
