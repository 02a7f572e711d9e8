"""A copy of the data while the bot runs, checked before it gets its name.

Copies by SQLite's online backup, so a copy is one consistent state whatever is written meanwhile.
"""

from __future__ import annotations

import asyncio
import os
import sqlite3
from contextlib import closing
from pathlib import Path

from bot.storage.errors import (
    DatabaseDamagedError,
    DatabaseMissingError,
    NoClubError,
    TargetExistsError,
)
from bot.storage.files import LOGS, beside, error_of, error_of_folder, make_private, sync_file
from bot.storage.migrations import read_version

_FINDINGS = 5


async def backup_store(store_path: Path, target: Path) -> Path:
    """Copy the database of a running or stopped bot to `target`, a file that is not there yet.

    Raises StorageError; then nothing was left behind.
    """
    return await asyncio.to_thread(backup, store_path, target)


async def check_store(path: Path) -> None:
    """Read all of a database and raise DatabaseDamagedError unless it is sound and ours."""
    await asyncio.to_thread(check, path)


def backup(store_path: Path, target: Path) -> Path:
    """Do what `backup_store` does, on the caller's thread."""
    if target.exists():
        raise TargetExistsError(target)
    copy_whole(store_path, target)
    return target


def copy_whole(source: Path, target: Path) -> None:
    """Write a checked copy of a database in the place of `target`; NoClubError for an empty one."""
    part = beside(target, ".part")
    try:
        part.unlink(missing_ok=True)
        with closing(_open_to_read(source)) as origin, closing(_open_new(part)) as copy:
            if read_version(origin, source) == 0:
                raise NoClubError(source)
            origin.backup(copy)
            # One file, complete in itself; the bot turns WAL on again when it opens it.
            copy.execute("PRAGMA journal_mode = DELETE")
        check(part)
        sync_file(part)
        os.replace(part, target)
        sync_file(target.parent)
    except sqlite3.Error as problem:
        raise error_of(problem, source) from problem
    except OSError as problem:
        raise error_of_folder(problem, target.parent) from problem
    finally:
        if part.parent.is_dir():
            for name in (part, *(beside(part, ending) for ending in LOGS)):
                name.unlink(missing_ok=True)


def check(path: Path) -> None:
    """Do what `check_store` does, on the caller's thread."""
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
