"""Digits written stroke by stroke, in the shapes that people in different countries learn.

European ones with a long upstroke, crossed sevens, open and closed fours are rare among the other
samples. The tests judge by a generator of their own, which shares nothing with this one.
"""

from __future__ import annotations

from collections.abc import Sequence

import cv2
import numpy as np

from tests.photo_training.glyphs import Glyph, crop

Stroke = Sequence[tuple[float, float]]

FORMS: dict[int, Sequence[Sequence[Stroke]]] = {
    1: (
        (((0.5, 0), (0.5, 1)),),
        (((0.15, 0.35), (0.35, 0.2), (0.55, 0), (0.55, 0.5), (0.55, 1)),),
        (((0, 0.55), (0.3, 0.28), (0.55, 0), (0.55, 0.5), (0.55, 1)),),
        (((0.2, 0.25), (0.5, 0), (0.5, 0.5), (0.5, 1)), ((0.2, 1), (0.8, 1))),
    ),
    2: (
        (((0.05, 0.25), (0.3, 0), (0.75, 0.1), (0.75, 0.4), (0.35, 0.75), (0, 1)),
         ((0, 1), (0.45, 0.98), (0.9, 1))),
        (((0.05, 0.2), (0.4, 0), (0.8, 0.2), (0.6, 0.55), (0.2, 0.9), (0.05, 0.95), (0.1, 0.75),
          (0.3, 0.85), (0.6, 1), (0.9, 0.9)),),
    ),
    3: (
        (((0.05, 0.12), (0.4, 0), (0.75, 0.15), (0.65, 0.4), (0.3, 0.47), (0.7, 0.55),
          (0.85, 0.8), (0.45, 1), (0, 0.88)),),
        (((0.05, 0), (0.75, 0), (0.35, 0.4)),
         ((0.35, 0.4), (0.75, 0.5), (0.8, 0.8), (0.4, 1), (0, 0.9))),
    ),
    4: (
        (((0.35, 0), (0.2, 0.3), (0, 0.6), (0.5, 0.6), (0.95, 0.58)), ((0.7, 0.3), (0.65, 1))),
        (((0.65, 0), (0.3, 0.35), (0, 0.68)), ((0, 0.68), (0.95, 0.68)), ((0.65, 0), (0.65, 1))),
        (((0.1, 0), (0.08, 0.3), (0.1, 0.5)), ((0.1, 0.5), (0.75, 0.5)), ((0.75, 0), (0.73, 1))),
    ),
    5: (
        (((0.15, 0), (0.1, 0.4)),
         ((0.1, 0.4), (0.5, 0.35), (0.8, 0.6), (0.65, 0.9), (0.3, 1), (0, 0.9)),
         ((0.15, 0), (0.8, 0))),
        (((0.75, 0), (0.4, 0.02), (0.2, 0.05), (0.12, 0.4), (0.5, 0.38), (0.75, 0.65), (0.5, 0.95),
          (0, 0.95)),),
    ),
    6: (
        (((0.7, 0), (0.3, 0.25), (0.05, 0.65), (0.25, 0.98), (0.65, 0.95), (0.75, 0.65),
          (0.45, 0.5), (0.1, 0.7)),),
        (((0.5, 0), (0.15, 0.4), (0.1, 0.8), (0.4, 1), (0.7, 0.8), (0.5, 0.58), (0.12, 0.75)),),
    ),
    7: (
        (((0, 0), (0.8, 0)), ((0.8, 0), (0.5, 0.45), (0.3, 1))),
        (((0, 0), (0.8, 0)), ((0.8, 0), (0.5, 0.45), (0.3, 1)), ((0.2, 0.5), (0.75, 0.46))),
        (((0, 0.18), (0.02, 0)), ((0.02, 0), (0.8, 0.02)), ((0.8, 0.02), (0.45, 0.5), (0.35, 1))),
        (((0, 0.15), (0.03, 0.02)), ((0.03, 0.02), (0.4, 0.08), (0.8, 0)),
         ((0.8, 0), (0.45, 0.5), (0.3, 1)), ((0.1, 0.48), (0.8, 0.5))),
    ),
    8: (
        (((0.7, 0.15), (0.4, 0), (0.1, 0.2), (0.4, 0.48), (0.8, 0.75), (0.45, 1), (0.05, 0.78),
          (0.4, 0.48), (0.72, 0.2), (0.62, 0.08)),),
        (((0.4, 0), (0.12, 0.22), (0.4, 0.46), (0.7, 0.22), (0.4, 0)),
         ((0.4, 0.46), (0.05, 0.75), (0.4, 1), (0.78, 0.75), (0.4, 0.46))),
    ),
    9: (
        (((0.75, 0.2), (0.4, 0), (0.05, 0.25), (0.35, 0.5), (0.72, 0.25)),
         ((0.72, 0.1), (0.7, 0.55), (0.65, 1))),
        (((0.75, 0.2), (0.4, 0), (0.08, 0.25), (0.35, 0.48), (0.75, 0.2), (0.72, 0.6), (0.5, 1),
          (0.1, 0.92)),),
    ),
}  # fmt: skip
"""Control points, from the top left of a digit to its bottom right."""

_TALL = 56


def write(digit: int, random: np.random.Generator) -> Glyph:
    """Return a digit as somebody may write it."""
    forms = FORMS[digit]
    form = forms[int(random.integers(len(forms)))]
    wide = float(random.uniform(0.5, 0.95)) * _TALL
    shaking = float(random.uniform(0.01, 0.05))
    page = np.zeros((_TALL * 2, _TALL * 2), np.uint8)
    pen = int(random.integers(3, 10))
    moved: dict[tuple[float, float], np.ndarray] = {}
    for stroke in form:
        points = np.array(
            [
                moved.setdefault(point, np.array(point) + random.normal(0, shaking, 2))
                for point in stroke
            ]
        )
        if len(points) > 2:
            points = _curve(points)
        scaled = points * (wide, _TALL) + _TALL / 2
        if random.random() < 0.5:
            scaled[-1] += random.normal(0, 1.5, 2)
        lines = np.round(scaled * 8).astype(np.int32)
        cv2.polylines(page, [lines], False, 255, pen, cv2.LINE_AA, shift=3)
    return crop(page.astype(np.float32) / 255)


def _curve(points: np.ndarray) -> np.ndarray:
    """Return a smooth curve through the points (Catmull and Rom's)."""
    ends = np.vstack([2 * points[0] - points[1], points, 2 * points[-1] - points[-2]])
    t = np.linspace(0, 1, 8, endpoint=False)[:, None]
    parts = []
    for a, b, c, d in zip(ends, ends[1:], ends[2:], ends[3:], strict=False):
        parts.append(
            0.5
            * (
                2 * b
                + (c - a) * t
                + (2 * a - 5 * b + 4 * c - d) * t**2
                + (3 * b - a - 3 * c + d) * t**3
            )
        )
    return np.vstack([*parts, points[-1:]])
