"""Copies that a club makes of itself, in a folder beside the database, each with its date.

One is made each day, one before each migration, and a restore keeps there what it takes the place
of. They are what an erased member is still in, so none outlasts KEEP_COPIES; but the newest is
never removed before there is a newer one.
"""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

from bot.club.erasing import KEEP_COPIES
from bot.storage.backup import copy_whole
from bot.storage.files import error_of_folder

FOLDER = "backups"


def dated_copy(path: Path, on_date: date, why: str = "") -> Path:
    """Return the name of a database's copy of a date, in a folder that is there from now on.

    `why` tells it from that day's other copies. Raises FolderUnwritableError.
    """
    folder = path.parent / FOLDER
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as problem:
        raise error_of_folder(problem, folder) from problem
    return folder / f"{path.stem}-{on_date.isoformat()}{why}{path.suffix}"


def list_dated(path: Path) -> tuple[Path, ...]:
    """Return a database's dated copies, oldest first."""
    there = (path.parent / FOLDER).glob(f"{path.stem}-*{path.suffix}")
    return tuple(sorted(copy for copy in there if _date_of(path, copy)))


def keep_dated(path: Path, today: date) -> None:
    """Make the copy of today where there is none, and remove those that were kept long enough."""
    copy = dated_copy(path, today)
    if not copy.exists():
        copy_whole(path, copy)
    for copy in list_dated(path)[:-1]:
        day = _date_of(path, copy)
        if day is not None and day <= today - KEEP_COPIES:
            copy.unlink(missing_ok=True)


def _date_of(path: Path, copy: Path) -> date | None:
    """Return the date in a copy's name, None where it has none and so is no copy of ours."""
    found = re.match(rf"{re.escape(path.stem)}-(\d{{4}}-\d\d-\d\d)", copy.name)
    try:
        return found and date.fromisoformat(found[1])
    except ValueError:
        return None
