"""What a member may take away of an entry: all that is kept, less what is still to be paid for.

A hint under way is kept whole, and so is a mistake whose cell was not told yet; an export is free.
Once the puzzle is solved or closed nothing is left out. Values are JSON-ready, as storage gives
them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

WHAT = 2
"""The rung that names a hint's technique."""


def without_untold(
    kept: Mapping[str, object], open_dates: frozenset[str]
) -> tuple[Mapping[str, object], bool]:
    """Return an export without what the open days' entries hold back, and whether they do."""
    entries = kept.get("entries")
    if not isinstance(entries, Sequence):
        return kept, False
    shown = [
        _told(entry) if entry["date"] in open_dates and entry["finished_at"] is None else entry
        for entry in entries
    ]
    return {**kept, "entries": shown}, shown != list(entries)


def _told(entry: Mapping[str, Any]) -> Mapping[str, Any]:
    hint, charges = entry["hint"], entry["charges"]
    deepest: dict[str, int] = {}
    for charge in charges:
        deepest[charge["key"]] = max(charge["rung"], deepest.get(charge["key"], 0))
    number = {key: place for place, key in enumerate(deepest, start=1)}
    return {
        **entry,
        "hint": hint and {"rung": hint["rung"]},
        "charges": [
            {
                **charge,
                "key": _plain_key(charge["key"], number[charge["key"]]),
                "technique": charge["technique"] if deepest[charge["key"]] >= WHAT else "",
            }
            for charge in charges
        ],
    }


def _plain_key(key: str, number: int) -> str:
    """Return a key that tells charges apart and nothing else; a hint's names its cells."""
    kind, _, _ = key.partition(":")
    return f"{kind}:{number}" if kind in ("hint", "mistake") else key
