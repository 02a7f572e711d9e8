"""Digits alone, each as if it stood in the middle of a cell: held-out ones, and those by hand."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache

import cv2
import numpy as np

from bot.photo.cells import SIDE
from bot.photo.network import load_network
from tests.bench.photo.hands import Supplies, draw
from tests.bench.photo.no_grid import EXAMPLES
from tests.photo_training.glyphs import Glyph, crop

_TALL = 18
_AT_ONCE = 300

EUROPEAN = ((1, 2, "1 with an upstroke"), (7, 1, "7 crossed"), (7, 3, "7 crossed, with a serif"),
            (4, 0, "4 open"), (4, 1, "4 closed"), (4, 2, "4 open, square"))  # fmt: skip
"""Digit, way of `hands.draw`, and what it is."""


def find_rate(glyphs: Sequence[tuple[int, Glyph]]) -> float:
    """Return which share of some digits is read right, all kinds of a cell being possible."""
    right = 0
    for start in range(0, len(glyphs), _AT_ONCE):
        part = glyphs[start : start + _AT_ONCE]
        cells = np.stack([in_cell(glyph) for _, glyph in part])
        kinds = load_network().tell_surely(cells).argmax(axis=1)
        right += int((kinds == np.array([digit for digit, _ in part])).sum())
    return right / len(glyphs)


def in_cell(glyph: Glyph) -> Glyph:
    """Return a cell with a digit in it, and nothing else."""
    scale = min(_TALL / glyph.shape[0], 24 / glyph.shape[1])
    smaller = cv2.resize(glyph, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    high, wide = smaller.shape
    cell = np.zeros((SIDE, SIDE), np.float32)
    top, left = (SIDE - high) // 2, (SIDE - wide) // 2
    cell[top : top + high, left : left + wide] = np.asarray(smaller) * 0.8
    return cell


@cache
def load_sheet() -> list[tuple[int, Glyph]]:
    """Return the digits of OpenCV's sheet, but the zeros: 50 rows of 100, ten to a row of five."""
    sheet = cv2.imread(str(EXAMPLES / "digits.png"), cv2.IMREAD_GRAYSCALE)
    cells = np.asarray(sheet, np.float32).reshape(50, 20, 100, 20).transpose(0, 2, 1, 3) / 255
    return [(row // 5, crop(cells[row, column])) for row in range(5, 50) for column in range(100)]


@cache
def find_sheets_rate(every: int) -> float:
    """Return the share of OpenCV's sheet that is read right, each so many-th of its digits."""
    return find_rate(load_sheet()[::every])


def find_figures(supplies: Supplies, count: int, every: int = 1) -> Iterator[str]:
    """Yield the shares, a line each: `count` of each way to write a digit, and of OpenCV's sheet
    each so many-th."""
    if supplies.held_out is not None:
        held = supplies.held_out.of
        glyphs = [(digit, glyph) for digit in held for glyph in held[digit]]
        yield f"  held-out MNIST: {find_rate(glyphs):.2%} of {len(glyphs)}"
    if EXAMPLES.exists():
        read = len(load_sheet()[::every])
        yield f"  OpenCV's digits.png: {find_sheets_rate(every):.2%} of {read}"
    random = np.random.default_rng(7)
    for digit, way, name in EUROPEAN:
        glyphs = [(digit, draw(digit, way, random)) for _ in range(count)]
        yield f"  {name}: {find_rate(glyphs):.2%} of {count}"
