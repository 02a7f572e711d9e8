"""Seconds added to a member's time: once for each key and rung, and nothing after the answer."""

from __future__ import annotations

from msgspec.structs import replace

from bot.club.facts import Position
from bot.club.state import Charge, Entry


def rung_charged(entry: Entry, key: str) -> int:
    """Return the highest rung that was charged under a key, 0 for none."""
    return max((charge.rung for charge in entry.charges if charge.key == key), default=0)


def with_charge(
    entry: Entry,
    key: str,
    rung: int,
    seconds: int,
    *,
    technique: str = "",
    position: Position | None = None,
) -> tuple[Entry, int]:
    """Return the entry with a charge, and the seconds that it added now.

    Free where the key's rung was charged before, and once the puzzle is solved: a time that stands
    does not grow by looking back.
    """
    if entry.finished_at is not None or rung_charged(entry, key) >= rung:
        return entry, 0
    charge = Charge(key, rung, seconds, technique, position if rung == 1 else None)
    return replace(entry, charges=(*entry.charges, charge)), seconds
