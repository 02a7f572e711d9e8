"""Hands that fill grids in: digits drawn of arcs and lines, held-out samples, held-out fonts.

Nothing here is shared with what the network was trained on: the shapes are built in another way,
and of MNIST and of the fonts those are taken that training leaves out. Where the folder that they
come from is not given, the arcs stand alone.
"""

from __future__ import annotations

import itertools
import os
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from tests.photo_training.glyphs import (
    MNIST,
    PRINTED_HELD_OUT,
    WRITTEN_HELD_OUT,
    Glyph,
    Glyphs,
    crop,
    load_fonts,
    load_mnist,
)

FOLDER = "NINEBARK_PHOTO_FROM"
"""The environment's name for the folder that `python -m tests.photo_training --from` takes."""

Hand = Callable[[int, np.random.Generator], Glyph]
Path2 = NDArray[np.float64]

_TALL = 72


@dataclass(frozen=True, slots=True)
class Supplies:
    """What grids are printed and filled in with. MNIST counts twice: many hands wrote it."""

    hands: Sequence[Hand]
    printers: Sequence[Hand]
    held_out: Glyphs | None = None
    """The samples that training leaves out, where they are there."""


def find_supplies() -> Supplies:
    """Return all that there is: the held-out samples too, where their folder is named."""
    folder = find_folder()
    return supplies_from(folder) if folder else own_supplies()


def find_folder() -> Path | None:
    """Return the folder of samples and fonts, where it is named."""
    named = os.environ.get(FOLDER)
    return Path(named) if named else None


@cache
def own_supplies() -> Supplies:
    """Return what needs nothing from outside: the arcs, and the font that Pillow brings."""
    own = Glyphs({digit: (_print(digit),) for digit in range(1, 10)})
    return Supplies((write,), (own.pick,))


@cache
def supplies_from(folder: Path) -> Supplies:
    """Return the arcs, Pillow's font, and what training leaves out of its folder."""
    own = own_supplies()
    _, held = load_mnist(folder / MNIST)
    written = load_fonts((folder,), WRITTEN_HELD_OUT)
    printed = load_fonts((folder,), PRINTED_HELD_OUT)
    return Supplies(
        (*own.hands, held.pick, held.pick, *(font.pick for font in written)),
        (*own.printers, *(font.pick for font in printed)),
        held_out=held,
    )


def _print(digit: int) -> Glyph:
    page = Image.new("L", (_TALL * 3, _TALL * 3))
    font = ImageFont.load_default(_TALL)
    ImageDraw.Draw(page).text((_TALL, _TALL), str(digit), font=font, fill=255)
    return crop(np.asarray(page, np.float32) / 255)


def _arc(
    middle: tuple[float, float], radii: tuple[float, float], start: float, end: float
) -> Path2:
    """Return part of an ellipse; angles in degrees, 0 to the right, growing clockwise."""
    angles = np.radians(np.linspace(start, end, 24))
    return np.column_stack(
        [middle[0] + radii[0] * np.cos(angles), middle[1] + radii[1] * np.sin(angles)]
    )


def _line(*points: tuple[float, float]) -> Path2:
    return np.array(points, np.float64)


def _shapes(random: np.random.Generator) -> Mapping[int, Sequence[Sequence[Path2]]]:
    """Return the ways to write each digit, in a square from 0 to 1, proportions varied."""
    belly = float(random.uniform(0.24, 0.32))
    lower = 1 - belly
    return {
        1: (
            [_line((0.5, 0), (0.48, 1))],
            [_line((0.2, 0.3), (0.52, 0), (0.5, 1))],
            [_line((0.05, 0.48), (0.55, 0), (0.52, 1))],
        ),
        2: (
            [np.vstack([_arc((0.45, 0.28), (0.36, 0.28), 190, 380), _line((0.1, 1), (0.85, 1))])],
            [np.vstack([_arc((0.45, 0.26), (0.36, 0.26), 200, 400), _line((0.05, 0.97))]),
             _line((0.05, 0.97), (0.85, 0.94))],
        ),
        3: (
            [_arc((0.4, belly * 0.9), (0.36, belly * 0.9), 200, 450),
             _arc((0.4, lower - 0.06), (0.42, 1.06 - lower), 270, 520)],
            [np.vstack([_line((0.08, 0), (0.75, 0)), _line((0.4, 0.42))]),
             _arc((0.38, 0.71), (0.42, 0.29), 270, 510)],
        ),
        4: (
            [_line((0.4, 0), (0.05, 0.6), (0.95, 0.6)), _line((0.68, 0.3), (0.64, 1))],
            [_line((0.7, 0), (0.02, 0.66), (0.95, 0.66)), _line((0.7, 0), (0.7, 1))],
            [_line((0.12, 0), (0.08, 0.52), (0.85, 0.5)), _line((0.78, 0.02), (0.72, 1))],
        ),
        5: (
            [_line((0.18, 0), (0.14, 0.42)), _arc((0.4, 0.68), (0.4, 0.3), 220, 510),
             _line((0.18, 0), (0.8, 0.02))],
            [np.vstack([_line((0.8, 0), (0.2, 0), (0.14, 0.45)),
                        _arc((0.38, 0.69), (0.4, 0.3), 235, 500)])],
        ),
        6: (
            [np.vstack([_line((0.62, 0)), _arc((0.42, 0.7), (0.36, 0.3), 195, -170)])],
            [np.vstack([_arc((0.75, 0.62), (0.68, 0.62), 265, 190),
                        _arc((0.42, 0.7), (0.34, 0.3), 170, -185)])],
        ),
        7: (
            [_line((0.05, 0.02), (0.85, 0), (0.4, 1))],
            [_line((0.05, 0.02), (0.85, 0), (0.4, 1)), _line((0.3, 0.5), (0.85, 0.46))],
            [_line((0.05, 0.2), (0.06, 0.02), (0.85, 0.02), (0.42, 0.5), (0.36, 1))],
            [_line((0.04, 0.15), (0.08, 0), (0.85, 0), (0.38, 1)), _line((0.2, 0.48), (0.8, 0.5))],
        ),
        8: (
            [_arc((0.45, belly), (0.32, belly), 90, 450),
             _arc((0.45, 0.5 + belly * 0.82), (0.4, 0.5 - belly * 0.7), 270, 630)],
            [np.vstack([_line((0.75, 0.1)), _arc((0.42, 0.24), (0.3, 0.23), 330, 110),
                        _arc((0.45, 0.74), (0.38, 0.26), 290, 560),
                        _line((0.72, 0.15))])],
        ),
        9: (
            [_arc((0.42, 0.28), (0.34, 0.28), 0, 360), _line((0.76, 0.2), (0.7, 1))],
            [np.vstack([_arc((0.4, 0.28), (0.34, 0.27), -10, -360),
                        _arc((0.2, 0.45), (0.56, 0.5), -10, 95)])],
        ),
    }  # fmt: skip


def write(digit: int, random: np.random.Generator) -> Glyph:
    """Return a digit drawn of arcs and lines, shaken a little."""
    return draw(digit, None, random)


def draw(digit: int, way: int | None, random: np.random.Generator) -> Glyph:
    """Return a digit written in one of the ways that there are, or in any."""
    ways = _shapes(random)[digit]
    chosen = ways[int(random.integers(len(ways))) if way is None else way]
    wide = float(random.uniform(0.5, 0.85))
    pen = float(random.uniform(3, 9))
    page = np.zeros((_TALL * 2, _TALL * 2), np.uint8)
    for path in chosen:
        fine = np.vstack(
            [np.linspace(start, end, 6, endpoint=False) for start, end in itertools.pairwise(path)]
            + [path[-1:]]
        )
        shaking = cv2.GaussianBlur(random.normal(0, 0.09, fine.shape), (1, 0), 0, sigmaY=6)
        moved = (fine + shaking.reshape(fine.shape)) * (wide, 1) + random.normal(0, 0.012, 2)
        points = np.round((moved * _TALL + _TALL / 2) * 16).astype(np.int32)
        cv2.polylines(page, [points], False, 255, max(round(pen), 1), cv2.LINE_AA, shift=4)
    return crop(page.astype(np.float32) / 255)
