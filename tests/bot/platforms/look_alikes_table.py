"""Makes assets/look-alikes/table.tsv from the Unicode table that confusable-homoglyphs carries:
`python -m tests.bot.platforms.look_alikes_table`.

Left out is what never stands in a cleaned name: what Unicode's own compatibility form replaces, and
control characters. The library lists both directions of a pair; the one listed first is the source.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from pathlib import Path
from typing import Any

TABLE = Path(__file__).resolve().parents[3] / "assets" / "look-alikes" / "table.tsv"
FORMATTING = "\u200e"
"""The library's table keeps a direction mark beside letters that run from right to left."""


def sources_of(pairs: Mapping[str, list[dict[str, Any]]]) -> dict[str, str]:
    """Return source -> what it looks like, of single characters."""
    found: dict[str, str] = {}
    for source, targets in pairs.items():
        letter, target = source.strip(FORMATTING), str(targets[0]["c"]).strip(FORMATTING)
        if len(targets) == 1 and len(letter) == 1 and letter not in found.values():
            found[letter] = target
    return found


def is_left_by_cleaning(letter: str) -> bool:
    return (
        unicodedata.normalize("NFKC", letter) == letter and unicodedata.category(letter)[0] != "C"
    )


def table_of(pairs: Mapping[str, list[dict[str, Any]]]) -> str:
    """Return the lines of the asset: what is looked like, then its sources, in hexadecimal."""
    by_target: dict[str, list[str]] = {}
    for letter, target in sources_of(pairs).items():
        if is_left_by_cleaning(letter):
            by_target.setdefault(target, []).append(letter)
    lines = [
        " ".join(f"{ord(each):X}" for each in target)
        + "\t"
        + " ".join(f"{ord(each):X}" for each in sorted(letters))
        for target, letters in sorted(by_target.items())
    ]
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    from confusable_homoglyphs.confusables import confusables_data

    TABLE.write_text(table_of(confusables_data), encoding="ascii")
