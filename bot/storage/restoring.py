"""The way back: a copy takes the place of the database, in one step or not at all.

The copy is proved by opening it, migrated, before anything is touched. What was there is copied
aside first, so that up to the one rename the old club is whole in its place, and the new one from
then on; a kill at any moment leaves one of the two.
"""

from __future__ import annotations

import asyncio
import os
import sqlite3
from collections.abc import Callable
from contextlib import closing, suppress
from datetime import datetime
from pathlib import Path

from bot.storage.backup import check, copy_whole
from bot.storage.connection import fold_log, open_plainly
from bot.storage.dated import dated_copy
from bot.storage.errors import DatabaseDamagedError, NotADatabaseError
from bot.storage.files import (
    LOGS,
    beside,
    error_of,
    error_of_folder,
    sync_file,
    take_lock,
    write_copy,
)
from bot.storage.rows import utc_now


async def restore_store(
    source: Path, store_path: Path, now: Callable[[], datetime] = utc_now
) -> Path | None:
    """Put a backup in the place of the database, while no bot runs on it.

    Return where the database that was there is kept now, among the dated copies; None if there was
    none. Raises StorageError; then all is as before.
    """
    return await asyncio.to_thread(_restore, source, store_path, now())


def _restore(source: Path, store_path: Path, now: datetime) -> Path | None:
    try:
        store_path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as problem:
        raise error_of_folder(problem, store_path.parent) from problem
    fresh = beside(store_path, ".restoring")
    with closing(take_lock(store_path)):
        try:
            copy_whole(source, fresh)
            _prove(fresh)
            kept = _keep_aside(store_path, now)
            # A log that is still here could not be folded in, and would be taken for the new one's.
            for ending in LOGS:
                beside(store_path, ending).unlink(missing_ok=True)
            os.replace(fresh, store_path)
            sync_file(store_path.parent)
        except OSError as problem:
            raise error_of_folder(problem, store_path.parent) from problem
        finally:
            for name in (fresh, *(beside(fresh, ending) for ending in LOGS)):
                name.unlink(missing_ok=True)
    return kept


def _prove(fresh: Path) -> None:
    """Open the copy as the bot will, and leave it as one file, whole on the disk."""
    try:
        with closing(open_plainly(fresh)) as connection:
            connection.execute("SELECT count(*) FROM club").fetchone()
            connection.execute("PRAGMA journal_mode = DELETE")
    except sqlite3.Error as problem:
        raise error_of(problem, fresh) from problem
    check(fresh)
    sync_file(fresh)


def _keep_aside(store_path: Path, now: datetime) -> Path | None:
    """Copy what is in the database's place; with its log, where that cannot be folded in."""
    # What is no database any more is kept as it is, for somebody who knows how to mend it.
    with suppress(NotADatabaseError, DatabaseDamagedError):
        _fold(store_path)
    there = [ending for ending in ("", *LOGS) if beside(store_path, ending).exists()]
    if not there:
        return None
    number = 1
    while True:
        kept = dated_copy(store_path, now.date(), f"-before-restore-{number}")
        if not any(beside(kept, ending).exists() for ending in ("", *LOGS)):
            break
        number += 1
    for ending in there:
        write_copy(beside(store_path, ending), beside(kept, ending))
    sync_file(kept.parent)
    return kept if "" in there else None


def _fold(store_path: Path) -> None:
    """Bring the log into the database; DataInUseError while another program reads it."""
    if not store_path.is_file() or store_path.stat().st_size == 0:
        return
    try:
        with closing(sqlite3.connect(store_path, isolation_level=None)) as connection:
            fold_log(connection)
            connection.execute("PRAGMA journal_mode = DELETE")
    except sqlite3.Error as problem:
        raise error_of(problem, store_path) from problem
