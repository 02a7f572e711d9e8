"""Whether a club may be founded in a folder: only where none has been.

A database that is gone, or empty, beside what only a club leaves is a loss that a copy mends; a new
club in its place would hide it. A mark stands while a club is founded, so that a kill in between is
no such loss.
"""

from __future__ import annotations

from pathlib import Path

from bot.storage.dated import list_dated
from bot.storage.errors import DatabaseLostError
from bot.storage.files import LOGS, beside, make_private


def begin_founding(path: Path) -> None:
    """Mark the folder of a database that is not there yet; DatabaseLostError where one was."""
    if _has_content(path):
        return
    mark = _mark_of(path)
    left = _find_leftovers(path)
    # In this order: another process may have founded the club meanwhile, and ended its mark.
    if left and not mark.exists() and not _has_content(path):
        raise DatabaseLostError(path, left)
    make_private(mark)


def end_founding(path: Path) -> None:
    """Take the mark away: the database is there."""
    _mark_of(path).unlink(missing_ok=True)


def _mark_of(path: Path) -> Path:
    return beside(path, ".founding")


def _has_content(path: Path) -> bool:
    return path.is_file() and path.stat().st_size > 0


def _find_leftovers(path: Path) -> tuple[Path, ...]:
    """Return what only a club leaves, the copies that could be put back first and newest first."""
    older = path.parent.glob(f"{path.name}.before-restore-*")
    names = [beside(path, ending) for ending in (*LOGS, ".lock")]
    return (*reversed(list_dated(path)), *sorted(older), *(each for each in names if each.exists()))
