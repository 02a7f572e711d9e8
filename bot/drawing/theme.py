"""The colours by what they are for, light and dark, and every pair that may meet in a picture.

A module of this package names a `Paint`, never a colour. `PAIRS` lists each paint that is ever
drawn upon another, with what it is there for, so that a test can compute the contrast of all of
them (WCAG 2.2, 1.4.3 and 1.4.11) and the canvas can refuse one that is not listed. The tints come
from the palette of Okabe and Ito (Color Universal Design, 2008), darkened or lightened until they
pass; meaning never hangs on them alone.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from functools import lru_cache
from typing import Literal

Look = Literal["light", "dark"]
Rgb = tuple[int, int, int]


class Paint(Enum):
    """What a colour is for. First the surfaces, then what is drawn on them."""

    PAPER = "page"
    CARD = "cell"
    MARKED = "cell of a marked line"
    HOUSE = "cell of the house to look at"
    PATTERN = "cell of the pattern"
    SETTLED = "ground of a placement"
    STRIPE = "every other line of a table"
    PLATE = "ground of a pattern candidate"
    INK = "givens, heavy lines and headings"
    SOFT = "lesser words and the numbers on the edges"
    PLACED = "placed digits"
    CANDIDATE = "candidates"
    PLATE_INK = "a pattern candidate"
    THIN = "thin lines"
    OUTLINE = "outline of a pattern cell, ring of a digit that the reasoning uses"
    SLASH = "stroke through an eliminated candidate, dashes around a mistake"
    BOX = "box around a placement"
    LINK = "lines of a chain and outlines of its groups"
    BAND = "filling of a house's band"
    FLORET = "petals of the emblem"
    FLORET_HEART = "hearts of the emblem's flowers"
    LEAF = "leaves and stalks of the emblem"


class Use(Enum):
    """What a pair is for; the value is the least contrast that it needs.

    A SURFACE only supports what a shape says already, so it needs none. All text is held to the
    ratio of small text (WCAG 2.2, 1.4.3), since pictures are shrunk on phones.
    """

    TEXT = 4.5
    GRAPHIC = 3.0
    SURFACE = 0.0


@dataclass(frozen=True, slots=True)
class Pair:
    """A paint drawn on another, and for what: the use sets the contrast that is needed."""

    front: Paint
    back: Paint
    use: Use


_CELLS = (Paint.CARD, Paint.MARKED, Paint.HOUSE, Paint.PATTERN)
_PAGE = (Paint.PAPER, Paint.STRIPE)

PAIRS: tuple[Pair, ...] = (
    *(Pair(Paint.INK, back, Use.TEXT) for back in (*_CELLS, *_PAGE)),
    *(Pair(Paint.PLACED, back, Use.TEXT) for back in (*_CELLS, Paint.SETTLED)),
    *(Pair(Paint.CANDIDATE, back, Use.TEXT) for back in _CELLS),
    *(Pair(Paint.SOFT, back, Use.TEXT) for back in _PAGE),
    Pair(Paint.PLATE_INK, Paint.PLATE, Use.TEXT),
    Pair(Paint.PLATE_INK, Paint.LINK, Use.TEXT),
    *(Pair(Paint.PLATE, back, Use.GRAPHIC) for back in (Paint.CARD, *_CELLS[2:])),
    *(Pair(Paint.SLASH, back, Use.GRAPHIC) for back in _CELLS),
    *(Pair(Paint.OUTLINE, back, Use.GRAPHIC) for back in (Paint.CARD, *_CELLS[2:])),
    *(Pair(Paint.LINK, back, Use.GRAPHIC) for back in (Paint.CARD, *_CELLS[2:], Paint.SETTLED)),
    *(Pair(Paint.BOX, back, Use.GRAPHIC) for back in (Paint.CARD, *_CELLS[2:], Paint.SETTLED)),
    *(Pair(Paint.INK, back, Use.GRAPHIC) for back in (*_CELLS, Paint.PAPER, Paint.BAND)),
    *(Pair(Paint.THIN, back, Use.GRAPHIC) for back in (*_CELLS, Paint.PAPER)),
    Pair(Paint.LEAF, Paint.PAPER, Use.GRAPHIC),
    Pair(Paint.FLORET, Paint.PAPER, Use.GRAPHIC),
    Pair(Paint.FLORET_HEART, Paint.FLORET, Use.GRAPHIC),
    *(Pair(front, Paint.CARD, Use.SURFACE) for front in _CELLS[1:]),
    *(Pair(Paint.SETTLED, back, Use.SURFACE) for back in (Paint.CARD, *_CELLS[2:])),
    Pair(Paint.PATTERN, Paint.HOUSE, Use.SURFACE),
    Pair(Paint.CARD, Paint.PAPER, Use.SURFACE),
    Pair(Paint.STRIPE, Paint.PAPER, Use.SURFACE),
)
LISTED = frozenset(PAIRS)

_LIGHT = {
    Paint.PAPER: "F6EEDD",
    Paint.CARD: "FDF9EF",
    Paint.MARKED: "F1E2BF",
    Paint.HOUSE: "FAF0BE",
    Paint.PATTERN: "D6E9F4",
    Paint.SETTLED: "D2EEE2",
    Paint.STRIPE: "EDE2CA",
    Paint.PLATE: "075C91",
    Paint.INK: "241C14",
    Paint.SOFT: "5F5546",
    Paint.PLACED: "075C91",
    Paint.CANDIDATE: "574D40",
    Paint.PLATE_INK: "FDF9EF",
    Paint.THIN: "837866",
    Paint.OUTLINE: "075C91",
    Paint.SLASH: "B23F00",
    Paint.BOX: "00664A",
    Paint.LINK: "8A2F68",
    Paint.BAND: "E69F00",
    Paint.FLORET: "B25486",
    Paint.FLORET_HEART: "FBF1D2",
    Paint.LEAF: "1F6B50",
}

_DARK = {
    Paint.PAPER: "1A1714",
    Paint.CARD: "25211C",
    Paint.MARKED: "3D3322",
    Paint.HOUSE: "3B3717",
    Paint.PATTERN: "183549",
    Paint.SETTLED: "123F30",
    Paint.STRIPE: "29241E",
    Paint.PLATE: "8CCBF0",
    Paint.INK: "F4ECDC",
    Paint.SOFT: "B9AE9B",
    Paint.PLACED: "8CCBF0",
    Paint.CANDIDATE: "C6BCAB",
    Paint.PLATE_INK: "14202A",
    Paint.THIN: "8F8573",
    Paint.OUTLINE: "8CCBF0",
    Paint.SLASH: "FF8B4D",
    Paint.BOX: "54D6AA",
    Paint.LINK: "F0A0CC",
    Paint.BAND: "9A6A00",
    Paint.FLORET: "D98AB5",
    Paint.FLORET_HEART: "2B2019",
    Paint.LEAF: "4FB891",
}

BLEND_STEPS = 6
"""How many steps the edge of a shape takes from its ground to its paint."""

_PAINTS = tuple(Paint)


@dataclass(frozen=True, slots=True)
class Theme:
    """One look as a fixed palette: the paints first, then the blends at the edges of shapes.

    `blends` holds for each (front, back) a table of 256 bytes from coverage to palette index.
    """

    look: Look
    colours: dict[Paint, Rgb]
    palette: bytes
    blends: dict[tuple[Paint, Paint], bytes]


def index_of(paint: Paint) -> int:
    """Return the palette index of a paint, the same in every look."""
    return _INDICES[paint]


def paint_of(index: int) -> Paint | None:
    """Return the paint at a palette index, None where it is the blend of two."""
    return _PAINTS[index] if index < len(_PAINTS) else None


_INDICES = {paint: index for index, paint in enumerate(_PAINTS)}


@lru_cache(maxsize=2)
def theme_of(look: Look) -> Theme:
    """Return the theme of a look. Raises ValueError for a look that there is none of."""
    if look not in ("light", "dark"):
        raise ValueError(f"no look is called {look!r}")
    named = _LIGHT if look == "light" else _DARK
    colours = {paint: _parse_rgb(text) for paint, text in named.items()}
    palette = [colours[paint] for paint in _PAINTS]
    blends = {}
    by_colours: dict[tuple[Rgb, Rgb], int] = {}
    for pair in PAIRS:
        ends = colours[pair.front], colours[pair.back]
        if pair.use is Use.SURFACE:
            continue
        if ends not in by_colours:
            by_colours[ends] = len(palette)
            palette += [_mix(*ends, step) for step in range(1, BLEND_STEPS)]
        first = by_colours[ends]
        table = [index_of(pair.back), *range(first, first + BLEND_STEPS - 1), index_of(pair.front)]
        blends[pair.front, pair.back] = bytes(
            table[(coverage * BLEND_STEPS + 127) // 255] for coverage in range(256)
        )
    if len(palette) > 256:
        raise ValueError(f"{len(palette)} colours do not fit one palette")
    return Theme(look, colours, bytes(part for colour in palette for part in colour), blends)


def _parse_rgb(text: str) -> Rgb:
    return int(text[0:2], 16), int(text[2:4], 16), int(text[4:6], 16)


def _mix(front: Rgb, back: Rgb, step: int) -> Rgb:
    red, green, blue = (
        round(b + (f - b) * step / BLEND_STEPS) for f, b in zip(front, back, strict=True)
    )
    return red, green, blue
