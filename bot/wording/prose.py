"""Small pieces of English that the other modules share: lists, counts, names, buttons' costs.

Names come from outside and may hold anything: they are made safe to print here, and nowhere are
they marked up (rooms escape). This module knows nothing of the club.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable

from bot.club.facts import FORMER_MEMBER

NAME_LIMIT = 32
"""Visible characters of a name; what is longer ends in an ellipsis."""

UNNAMED_CLUB = "Sudoku Club"
"""What a club is called until its leader names it, where its place has no name."""

_MARKS_PER_LETTER = 3
_READ_PER_LETTER = 16
"""So much of a text is looked at for each letter that may be shown."""

_JOINERS = "\u200c\u200d"
"""Invisible, but part of ordinary writing in some scripts; all other format characters go."""

_NUMBER_WORDS = (
    "no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
)  # fmt: skip


def join_words(items: Iterable[object], last: str = "and") -> str:
    """Write `a`, `a and b` or `a, b and c`."""
    words = [str(item) for item in items]
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {last} {words[-1]}"


def number_word(number: int) -> str:
    """Write a small number as a word; a larger one in digits."""
    return _NUMBER_WORDS[number] if 0 <= number < len(_NUMBER_WORDS) else str(number)


def count_of(number: int, one: str, many: str = "") -> str:
    """Write `1 cell`, `3 cells`."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def capitalise(text: str) -> str:
    """Raise the first letter and leave the rest as it is (unlike `str.capitalize`)."""
    return text[:1].upper() + text[1:]


def paragraphs(*parts: str) -> str:
    """Join the parts that are not empty, one blank line between them."""
    return "\n\n".join(part for part in parts if part)


def in_lines(*parts: str) -> str:
    """Join the parts that are not empty, each on a line of its own."""
    return "\n".join(part for part in parts if part)


def sentences(*parts: str) -> str:
    """Join the parts that are not empty by a space."""
    return " ".join(part for part in parts if part)


FORMER, SOMEONE = "a former member", "someone"
"""Said where a name is gone, and where there never was one that shows."""


def clean_text(text: str, limit: int) -> str:
    """Return a text from outside on one line, without control or direction characters.

    At most `limit` visible characters; combining marks are not counted, but few are kept on one
    letter. Empty where nothing visible is left.
    """
    kept: list[str] = []
    visible = marks = 0
    # Putting marks in order takes far longer than the text is long, so no more of it than can show.
    for letter in unicodedata.normalize("NFC", text[: limit * _READ_PER_LETTER]):
        kind = unicodedata.category(letter)
        if letter.isspace():
            letter, kind = " ", "Zs"
        if kind[0] == "C" and letter not in _JOINERS:
            continue
        if kind[0] == "M" or letter in _JOINERS:
            marks += 1
            if kept and marks <= _MARKS_PER_LETTER:
                kept.append(letter)
            continue
        if letter == " " and (not kept or kept[-1] == " "):
            continue
        marks = 0
        visible += 1
        if visible > limit:
            kept[-1] = "…"
            break
        kept.append(letter)
    return "".join(kept).strip()


def clean_name(name: str) -> str:
    """Return a person's name fit to print, `someone` where nothing visible is left of it."""
    if name == FORMER_MEMBER:
        return FORMER
    return clean_text(name, NAME_LIMIT) or SOMEONE


def opening_name(name: str) -> str:
    """Return a person's name fit to print, as it stands at the head of a sentence or a line."""
    shown = clean_name(name)
    return capitalise(shown) if shown in (FORMER, SOMEONE) else shown


def quote(text: str, limit: int = 40) -> str:
    """Quote what somebody typed, shortened and safe."""
    return f"“{clean_text(text, limit)}”"
