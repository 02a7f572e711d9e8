"""Which names people would take for each other: a Cyrillic letter, a zero, an accent, a space.

A name is reduced to what it looks like, by the table of Unicode's own security data (Technical
Standard 39; assets/look-alikes). Case, spaces, punctuation, invisible characters and accents are
left out on top of that, since nobody tells two people of a club apart by these. Pure.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator
from functools import cache

from bot import assets

ACCENTS = (
    (0x300, 0x36F), (0x1AB0, 0x1AFF), (0x1DC0, 0x1DFF), (0x20D0, 0x20FF), (0xFE20, 0xFE2F),
)  # fmt: skip
"""Blocks of marks above and below letters. The vowel signs of other scripts are no accents."""

INVISIBLE = frozenset("\u034f\u115f\u1160\u17b4\u17b5\u2800\u3164\uffa0")
"""Letters and marks that show nothing, though Unicode does not count them as controls."""

VARIANTS = frozenset(map(chr, (*range(0x180B, 0x1810), *range(0xFE00, 0xFE10))))
"""Marks that choose a form of the letter before them."""

ALPHABETS = frozenset(("LATIN", "GREEK", "CYRILLIC", "ARMENIAN", "CHEROKEE", "COPTIC", "LISU"))
"""Scripts whose letters look like each other's; no word is written in two of them."""

SHORTEST_HELD = 6
"""Letters of a name that is looked for inside others: a shorter one stands in many by chance."""

READ_LIMIT, SHOWN_BESIDE = 128, 16
"""Characters of a platform's name that are looked at, and that are shown beside a handle."""


@cache
def _table() -> dict[int, str]:
    table: dict[int, str] = {}
    for line in assets.path("look-alikes", "table.tsv").read_text(encoding="ascii").splitlines():
        target, sources = (
            tuple(int(each, 16) for each in part.split()) for part in line.split("\t")
        )
        table |= dict.fromkeys(sources, "".join(map(chr, target)))
    return table


def look_of(name: str) -> str:
    """Return what a name looks like; two names that people take for each other have the same.

    Empty where nothing of it is a letter or a digit.
    """
    seen = "".join(map(_plain, _without_accents(unicodedata.normalize("NFKC", name))))
    folded = "".join(map(_plain, _without_accents(seen.translate(_table())))).casefold()
    letters = "".join(each for each in folded if _is_written(each))
    # A capital I, an l and a 1 are one stroke; two v are a w. The table has m as rn already.
    return letters.replace("i", "l").replace("vv", "w")


def look_alike(one: str, other: str) -> bool:
    """Tell whether people would take one name for the other."""
    look = look_of(one)
    return look != "" and look == look_of(other)


def holds_look_of(name: str, held: str) -> bool:
    """Tell whether `held` can be read inside a name; a short one only as the whole of it."""
    look = look_of(held)
    if len(look) < SHORTEST_HELD:
        return look_alike(name, held)
    return look in look_of(name)


def tell_apart(name: str, handle: str, own: Iterable[str]) -> str:
    """Return a name as it is shown: with its bearer's handle where it reads as one of `own`.

    For platforms where anybody may choose any name, and people know each other's handles.
    """
    known = name[:READ_LIMIT]
    if any(holds_look_of(known, each) for each in own):
        return f"{known[:SHOWN_BESIDE].strip()} ({handle})"
    return name


def is_mixed(name: str) -> bool:
    """Tell whether a word of a name is written in two alphabets whose letters look alike."""
    return any(
        len({_script_of(letter) for letter in word if letter.isalpha()} & ALPHABETS) > 1
        for word in unicodedata.normalize("NFKC", name).split()
    )


def _script_of(letter: str) -> str:
    return unicodedata.name(letter, "").partition(" ")[0]


def _plain(letter: str) -> str:
    """Return a small capital (ʀ) as the capital that it is."""
    before, _, last = unicodedata.name(letter, "").rpartition(" ")
    return last if before == "LATIN LETTER SMALL CAPITAL" and len(last) == 1 else letter


def _is_written(letter: str) -> bool:
    return letter.isalnum() or unicodedata.category(letter)[0] == "M"


def _without_accents(text: str) -> Iterator[str]:
    for each in unicodedata.normalize("NFD", text):
        is_accent = any(first <= ord(each) <= last for first, last in ACCENTS)
        is_unseen = each in INVISIBLE or each in VARIANTS or unicodedata.category(each)[0] == "C"
        if not is_accent and not is_unseen:
            yield each
