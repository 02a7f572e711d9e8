"""How values of the config file are read, and what the table of a platform is.

A reader takes what TOML gave and returns the value, or raises ValueError; where and in which file,
`bot.settings` knows. Nothing here is of any one platform.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Generic, TypeVar

Own = TypeVar("Own")

Reader = Callable[[Any], Any]

Keys = Mapping[str, tuple[Reader, str]]
"""Key -> (how to read it, a line that works). `config.example.toml` explains each; a test compares.
"""


def accept_any_room(room: str) -> str:
    """Find nothing wrong with a room's name."""
    return ""


def is_for_own(table: object) -> bool:
    """Tell that a platform serves no clubs but its own, whatever its table says."""
    return False


@dataclass(frozen=True, slots=True)
class PlatformTable(Generic[Own]):
    """The table of one platform, and what becomes of it.

    - `keys`, of which `required` have no value that would do for all.
    - `make`: takes the values of a table, and the config's own folder.
    - `founds_clubs`: clubs can be founded from its rooms, so its table alone has it served; the
      others are served where the config names a club of theirs,
    - `is_for_all`: or where what the table was made into serves the clubs of every platform.
    - `find_fault`: takes a club's room; returns a line that works where this one cannot.
    """

    keys: Keys
    make: Callable[[Mapping[str, Any], Path], Own]
    required: tuple[str, ...] = ()
    founds_clubs: bool = True
    is_for_all: Callable[[Own], bool] = is_for_own
    find_fault: Callable[[str], str] = accept_any_room


def text(value: Any) -> str:
    """Read a text that is more than spaces."""
    if not isinstance(value, str) or not value.strip():
        raise ValueError(value)
    return value.strip()


def list_of(read_one: Reader) -> Callable[[Any], Any]:
    """Return the reader of a list."""

    def read(value: Any) -> tuple[Any, ...]:
        if not isinstance(value, list):
            raise ValueError(value)
        return tuple(read_one(each) for each in value)

    return read


def matching(pattern: str) -> Callable[[Any], str]:
    """Return the reader of texts that a regular expression matches whole."""

    def read(value: Any) -> str:
        if not isinstance(value, str) or not re.fullmatch(pattern, value):
            raise ValueError(value)
        return value

    return read


def address(*schemes: str) -> Callable[[Any], str]:
    """Return the reader of addresses that begin with one of the schemes."""

    def read(value: Any) -> str:
        if not isinstance(value, str) or not value.startswith(tuple(f"{s}://" for s in schemes)):
            raise ValueError(value)
        return value

    return read
