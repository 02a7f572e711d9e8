"""The files beside a database: who may read them, the lock, and what SQLite's errors on them mean.

A database is one file with its log beside it (SQLite, "Temporary Files Used By SQLite"); nothing
here may take one for the other's.
"""

from __future__ import annotations

import errno
import os
import shutil
import sqlite3
from contextlib import suppress
from pathlib import Path

from bot.storage.errors import (
    DatabaseDamagedError,
    DataInUseError,
    DiskFullError,
    FolderUnwritableError,
    NotADatabaseError,
    StorageError,
)

LOGS = ("-wal", "-shm", "-journal")
"""What SQLite keeps beside a database while it is open, or after a kill."""

_FULL = frozenset({errno.ENOSPC, errno.EDQUOT, errno.EIO})


def beside(path: Path, ending: str) -> Path:
    """Return the file that stands beside another under its name with an ending."""
    return path.with_name(path.name + ending)


def make_private(path: Path) -> None:
    """Make an empty file for its owner alone where there is none; SQLite gives the log beside a
    database the rights of the database."""
    # One that is there is not even opened: closing it would drop SQLite's locks on it.
    with suppress(FileExistsError):
        os.close(os.open(path, os.O_CREAT | os.O_EXCL, 0o600))


def write_copy(source: Path, target: Path) -> None:
    """Copy a file's bytes to a new one for its owner alone, whole on the disk or not there."""
    part = beside(target, ".part")
    part.unlink(missing_ok=True)
    make_private(part)
    with source.open("rb") as origin, part.open("wb") as copy:
        shutil.copyfileobj(origin, copy, 1 << 20)
    sync_file(part)
    os.replace(part, target)


def sync_file(path: Path) -> None:
    """Make a finished file, or the names in a folder, outlast a power cut."""
    number = os.open(path, os.O_RDONLY)
    try:
        os.fsync(number)
    finally:
        os.close(number)


def take_lock(path: Path) -> sqlite3.Connection:
    """Hold the lock beside the database until closed, or until the process dies in any way.

    It is SQLite's own file lock on an empty file, so it works wherever the database does. Raises
    DataInUseError where another holds it, FolderUnwritableError where none can be made.
    """
    guard = None
    try:
        guard = sqlite3.connect(
            beside(path, ".lock"), isolation_level=None, timeout=0, check_same_thread=False
        )
        guard.execute("BEGIN EXCLUSIVE")
    except sqlite3.Error as problem:
        if guard is not None:
            guard.close()
        raise error_of(problem, path) from problem
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
    if kind in (sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR):
        return DiskFullError(path.parent, str(problem))
    return FolderUnwritableError(path.parent, str(problem))


def error_of_folder(problem: OSError, folder: Path) -> StorageError:
    """Return the fact behind an error of the system on a folder."""
    kind = DiskFullError if problem.errno in _FULL else FolderUnwritableError
    return kind(folder, problem.strerror or str(problem))
