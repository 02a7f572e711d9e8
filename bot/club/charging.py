"""Seconds added to a member's time: once for each key and rung, and nothing after the answer.

What is before and what after is decided by the stamps of acts, in whatever order they arrive.
"""

from __future__ import annotations

from datetime import datetime

from msgspec.structs import replace

from bot.club.facts import Position
from bot.club.state import Charge, MemberSolve


def rung_charged(entry: MemberSolve, key: str) -> int:
    """Return the highest rung that was charged under a key, 0 for none."""
    return max((charge.rung for charge in entry.charges if charge.key == key), default=0)


def with_charge(
    entry: MemberSolve,
    key: str,
    rung: int,
    seconds: int,
    *,
    technique: str = "",
    position: Position | None = None,
    at: datetime | None = None,
) -> tuple[MemberSolve, int]:
    """Return the entry with a charge, and the seconds that it added now.

    Free where the key's rung was charged before, and once the puzzle is solved: a time that stands
    does not grow by looking back.
    """
    if entry.finished_at is not None or rung_charged(entry, key) >= rung:
        return entry, 0
    charge = Charge(key, rung, seconds, technique, position if rung == 1 else None, at=at)
    return replace(entry, charges=(*entry.charges, charge)), seconds


def as_of(entry: MemberSolve, acted_at: datetime) -> MemberSolve:
    """Return the entry as it counts for an act: not finished yet where the act came before."""
    if entry.finished_at is not None and acted_at < entry.finished_at:
        return replace(entry, finished_at=None)
    return entry


def with_stamps(entry: MemberSolve, acted_at: datetime, *, after: int) -> MemberSolve:
    """Return the entry with the act's stamp on each charge but the first `after`."""
    new = tuple(replace(charge, at=acted_at) for charge in entry.charges[after:])
    return replace(entry, charges=(*entry.charges[:after], *new)) if new else entry


def charges_before(entry: MemberSolve, finished_at: datetime) -> tuple[Charge, ...]:
    """Return the charges that count for an answer of that stamp; of two acts with the same stamp
    the one that reached us first came first."""
    return tuple(each for each in entry.charges if each.at is None or each.at <= finished_at)
