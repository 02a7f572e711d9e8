"""The shape of what is kept as JSON, by version, so that no row is lost when a shape changes.

Replies (in events and in the outbox) and entries (a board, its history, what is known, the hint
under way, the charges) are saved with the version that wrote them. A reader brings older ones up to
now, one version at a time. A new field with a default needs no new version; a new required field,
or another name or meaning, is one more line at the end of UPGRADES.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

Kept = dict[str, Any]
"""Something kept, as plain JSON values by field."""


def as_it_is(kept: Kept) -> Kept:
    """Change nothing: for what a version left alone."""
    return kept


@dataclass(frozen=True, slots=True)
class Upgrade:
    """What leads from one version to the next. A `reply` has its kind as `type`; an `entry` has
    board, history, known, and hint or None; each `charge` is by itself, as tables read them."""

    reply: Callable[[Kept], Kept] = as_it_is
    entry: Callable[[Kept], Kept] = as_it_is
    charge: Callable[[Kept], Kept] = as_it_is


UPGRADES: Sequence[Upgrade] = (
    Upgrade(),  # to 1: from now on the version stands with what is kept
)

VERSION = len(UPGRADES)


class FutureVersionError(Exception):
    """A newer Ninebark has written this; it is left as it is."""

    def __init__(self, version: int) -> None:
        super().__init__(f"version {version} is newer than {VERSION}, the newest known")
        self.version = version


def upgrades_from(version: int) -> Sequence[Upgrade]:
    """Return what leads from a version to now, in order. Raises FutureVersionError."""
    if not 0 <= version <= len(UPGRADES):
        raise FutureVersionError(version)
    return UPGRADES[version:]
