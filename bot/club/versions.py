"""The shape of what is kept as JSON, by version, so that no row is lost when a shape changes.

Replies (in events and in the outbox) and entries (a board, its history, what is known, the hint
under way, the charges) are saved with the version that wrote them. A reader brings older ones up to
now, one version at a time. A new field with a default needs no new version; a new required field,
or another name or meaning, is one more line at the end of UPGRADES.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

Kept = dict[str, Any]
"""Something kept, as plain JSON values by field."""


def as_it_is(kept: Kept) -> Kept:
    """Change nothing: for what a version left alone."""
    return kept


@dataclass(frozen=True, slots=True)
class Upgrade:
    """What leads from one version to the next. A `reply` has its kind as `type`; an `entry` has
    board, history, known, and hint or None; each `charge` is by itself, as tables read them; so is
    a `picture`, its kind as `type`."""

    reply: Callable[[Kept], Kept] = as_it_is
    entry: Callable[[Kept], Kept] = as_it_is
    charge: Callable[[Kept], Kept] = as_it_is
    picture: Callable[[Kept], Kept] = as_it_is


def _with_facts_of_their_own(reply: Kept) -> Kept:
    """Give what was told by a field meant for something else a field, or a problem, of its own."""
    outcomes = reply.get("outcomes", ())
    if outcomes:  # of several puzzles
        reply = {**reply, "outcomes": [_with_facts_of_their_own(each) for each in outcomes]}
    match reply:
        case {"type": "InputRefused", "problem": "repeat-puzzle"}:
            return {**reply, "is_disguised": bool(reply.get("digit")), "digit": 0}
        case {"type": "InputRefused", "command": "club queue", "problem": "date", "text": str(day)}:
            return {**reply, "problem": "day-taken"} if _is_date(day) else reply
    return reply


def _is_date(text: str) -> bool:
    try:
        return date.fromisoformat(text).isoformat() == text
    except ValueError:
        return False


UPGRADES: Sequence[Upgrade] = (
    Upgrade(),  # to 1: from now on the version stands with what is kept
    Upgrade(reply=_with_facts_of_their_own),  # to 2
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
