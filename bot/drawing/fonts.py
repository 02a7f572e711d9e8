"""The shipped letters, and what of a name they can show.

Three cuts of Atkinson Hyperlegible Next, a typeface made so that letters and digits are told
apart; its open licence stands beside the files. Layout is the plain one, so that every machine
sets the same pixels.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from enum import Enum
from functools import lru_cache
from pathlib import Path
from threading import Lock

from PIL import ImageFont

from bot import assets

RENDERING = Lock()
"""Held while letters are set or measured: a font object is not made for several threads."""

MISSING = "\N{WHITE VERTICAL RECTANGLE}"
"""Stands for a character that the font lacks; the font shows its own empty box for it."""

ELLIPSIS = "…"


class Face(Enum):
    """One of the shipped fonts; the value ends its file's name."""

    MEDIUM = "medium"
    HEAVY = "heavy"
    SLANTED = "slanted"


def file_of(face: Face) -> Path:
    """Return the file of a font."""
    return assets.path("fonts", f"atkinson-hyperlegible-next-{face.value}.ttf")


@lru_cache(maxsize=32)
def font_of(face: Face, size: int) -> ImageFont.FreeTypeFont:
    """Return a font in so many pixels; the latest ones are kept."""
    return ImageFont.truetype(file_of(face), size, layout_engine=ImageFont.Layout.BASIC)


@lru_cache(maxsize=512)
def width_of(text: str, face: Face, size: int) -> int:
    """Return how far a text of showable characters runs, in pixels."""
    with RENDERING:
        return round(font_of(face, size).getlength(text))


def showable(text: str) -> str:
    """Return `text` on one line with a visible box for each character that the font lacks.

    Marks that only steer (joiners, directions, variants) go; white space of any kind is a space.
    """
    shown = (each if each == " " or _has(each) else MISSING for each in _visible(text))
    return " ".join("".join(shown).split())


def lacking(text: str) -> str:
    """Return the visible characters of a text that the font lacks, each once, in order."""
    return "".join(dict.fromkeys(each for each in _visible(text) if each != " " and not _has(each)))


def _visible(text: str) -> Iterator[str]:
    for character in unicodedata.normalize("NFC", text):
        kind = unicodedata.category(character)
        if character.isspace():
            yield " "
        elif kind not in ("Cf", "Cc", "Cs") and not 0xFE00 <= ord(character) <= 0xFE0F:
            yield character


def fitted(text: str, face: Face, size: int, width: int) -> str:
    """Return the showable text, cut short with an ellipsis so that it runs at most `width`."""
    # No name needs more, and a name from outside can be as long as it likes.
    whole = showable(text[:200])
    if width_of(whole, face, size) <= width:
        return whole
    low, high = 0, len(whole)
    while low < high:
        middle = (low + high + 1) // 2
        if width_of(whole[:middle].rstrip() + ELLIPSIS, face, size) <= width:
            low = middle
        else:
            high = middle - 1
    return whole[:low].rstrip() + ELLIPSIS


@lru_cache(maxsize=1024)
def _has(character: str) -> bool:
    """Tell whether the font has its own shape for a character.

    Pillow does not show a font's table of characters, so the shape is compared with the one of a
    character that no font has.
    """
    with RENDERING:
        font = font_of(Face.MEDIUM, 24)
        lacking, shape = font.getmask("\uffff"), font.getmask(character)
        return (shape.size, bytes(shape)) != (lacking.size, bytes(lacking))
