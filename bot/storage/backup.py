"""A copy of the data while the bot runs, and the way back.

Copies by SQLite's online backup, so a copy is one consistent state whatever is written meanwhile.
Neither direction overwrites a good file with a bad one: a copy is checked before it gets its name.
"""

from __future__ import annotations

import asyncio
import os
import sqlite3
from contextlib import closing
from pathlib import Path

from bot.storage.connection import error_of, make_private, take_lock
from bot.storage.errors import (
    DatabaseDamagedError,
    DatabaseMissingError,
    FolderUnwritableError,
    TargetExistsError,
)
from bot.storage.migrations import read_version

_FINDINGS = 5


async def backup_store(store_path: Path, target: Path) -> Path:
    """Copy the database of a running or stopped bot to `target`, a file that is not there yet.

    Raises StorageError; then nothing was left behind.
    """
    return await asyncio.to_thread(_backup, store_path, target)


async def restore_store(source: Path, store_path: Path) -> Path | None:
    """Put a backup in the place of the database, while no bot runs on it.

    Return where the database that was there is kept now, None if there was none. Raises
    StorageError; then all is as before.
    """
    return await asyncio.to_thread(_restore, source, store_path)


async def check_store(path: Path) -> None:
    """Read all of a database and raise DatabaseDamagedError unless it is sound and ours."""
    await asyncio.to_thread(_check, path)


def _backup(store_path: Path, target: Path) -> Path:
    if target.exists():
        raise TargetExistsError(target)
    _copy(store_path, target)
    return target


def _restore(source: Path, store_path: Path) -> Path | None:
    try:
        store_path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        raise FolderUnwritableError(store_path.parent, problem.strerror or "") from problem
    with closing(take_lock(store_path)):
        fresh = store_path.with_name(store_path.name + ".restoring")
        fresh.unlink(missing_ok=True)
        _copy(source, fresh)
        kept = _put_aside(store_path)
        os.replace(fresh, store_path)
        return kept


def _put_aside(store_path: Path) -> Path | None:
    """Rename the database with its log, so that the log cannot be taken for the new one's."""
    if not store_path.exists():
        return None
    number = 1
    while (kept := store_path.with_name(f"{store_path.name}.before-restore-{number}")).exists():
        number += 1
    for ending in ("-wal", "-shm"):
        beside = store_path.with_name(store_path.name + ending)
        if beside.exists():
            os.replace(beside, kept.with_name(kept.name + ending))
    os.replace(store_path, kept)
    return kept


def _copy(source: Path, target: Path) -> None:
    part = target.with_name(target.name + ".part")
    try:
        part.unlink(missing_ok=True)
        with closing(_open_to_read(source)) as origin, closing(_open_new(part)) as copy:
            read_version(origin, source)
            origin.backup(copy)
            # One file, complete in itself; the bot turns WAL on again when it opens it.
            copy.execute("PRAGMA journal_mode = DELETE")
        _check(part)
        _sync(part)
        os.replace(part, target)
    except sqlite3.Error as problem:
        raise error_of(problem, source) from problem
    except OSError as problem:
        raise FolderUnwritableError(target.parent, problem.strerror or "") from problem
    finally:
        if part.parent.is_dir():
            part.unlink(missing_ok=True)


def _check(path: Path) -> None:
    try:
        with closing(_open_to_read(path)) as connection:
            read_version(connection, path)
            findings = [row[0] for row in connection.execute("PRAGMA integrity_check")]
            orphans = connection.execute("PRAGMA foreign_key_check").fetchall()
    except sqlite3.Error as problem:
        raise error_of(problem, path) from problem
    if orphans:
        findings = [f"{table} {row} misses its {parent}" for table, row, parent, _ in orphans]
    if findings != ["ok"]:
        raise DatabaseDamagedError(path, tuple(map(str, findings[:_FINDINGS])))


def _open_to_read(path: Path) -> sqlite3.Connection:
    if not path.is_file():
        raise DatabaseMissingError(path)
    return sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro", uri=True)


def _open_new(path: Path) -> sqlite3.Connection:
    make_private(path)
    return sqlite3.connect(path)


def _sync(path: Path) -> None:
    """Make a finished file outlast a power cut."""
    with path.open("rb") as file:
        os.fsync(file.fileno())
