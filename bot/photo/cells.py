"""The cells of a grid, cut out along its own lines and brought to one size and one ink.

Nothing is segmented: a cell is cut whole, its lines at the edges, and what is in it is the
network's business. Shade is divided out by an estimate of the paper around each cell, and the ink
of a faint pencil is brought near that of a pen.
"""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

Image = NDArray[np.uint8]
"""Grey, rows first; 0 is black."""

Points = NDArray[np.float32]
"""Crossings of a grid's lines, `(size + 1, size + 1, 2)`, each x before y."""

Ink = NDArray[np.float32]
"""Darkness from 0, the paper, to 1; cells first, `(cells, SIDE, SIDE)`."""

SIDE = 32
"""So many pixels is a cell wide and high."""

_PAPER = 75.0
"""The percentile of a cell's brightness that is its paper, however much is written in it."""

_DARKEST = 97.0
"""The percentile of the darkness of a grid that counts as full ink: lines alone are more."""

_LEAST_INK = 0.12
"""What is fainter than this is never stretched to full ink: paper has a grain."""

_MOST = 1.4
"""Darker than full ink by so much is black."""


def flatten(image: Image, crossings: Points) -> Image:
    """Return the grid as a square picture, each cell `SIDE` wide."""
    size = len(crossings) - 1
    x, y = (_between(crossings[:, :, axis], size) for axis in (0, 1))
    flat = cv2.remap(image, x, y, interpolation=cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(flat, dtype=np.uint8)


def _between(corners: NDArray[np.float32], size: int) -> NDArray[np.float32]:
    """Return one coordinate for each pixel, between the corners of its cell."""
    steps = (np.arange(size * SIDE, dtype=np.float32) + 0.5) / SIDE
    first = np.minimum(steps.astype(np.intp), size - 1)
    part = (steps - first).astype(np.float32)
    rows = corners[first] * (1 - part)[:, None] + corners[first + 1] * part[:, None]
    both = rows[:, first] * (1 - part)[None, :] + rows[:, first + 1] * part[None, :]
    return np.asarray(both, np.float32)


def find_ink(flat: Image, size: int) -> NDArray[np.float32]:
    """Return how dark each pixel of a flat grid is against its paper, full ink being 1."""
    by_cell = flat.reshape(size, SIDE, size, SIDE).transpose(0, 2, 1, 3).reshape(size, size, -1)
    paper = np.percentile(by_cell, _PAPER, axis=2).astype(np.float32)
    paper = np.asarray(cv2.medianBlur(paper, 3), dtype=np.float32)
    wide = cv2.resize(paper, (size * SIDE, size * SIDE), interpolation=cv2.INTER_LINEAR)
    darkness = np.clip(1 - flat / np.maximum(wide, 8), 0, 1)
    full = max(float(np.percentile(darkness, _DARKEST)), _LEAST_INK)
    return (np.minimum(darkness / full, _MOST) / _MOST).astype(np.float32)


def split(ink: NDArray[np.float32], size: int) -> Ink:
    """Return the cells of a square picture, row by row."""
    parts = ink.reshape(size, SIDE, size, SIDE).transpose(0, 2, 1, 3)
    return np.ascontiguousarray(parts.reshape(size * size, SIDE, SIDE))
