"""Where a grid's lines cross, found by following each of them through curls and an uneven hand.

First all lines together bend one smooth sheet, which undoes a page's curl; then each line is
followed by itself. A line is found even where parts of it are faint: the path that is darkest as a
whole is taken, near where the line should be.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from bot.photo.cells import Image, Points
from bot.photo.finder import Candidate

_CELL = 24
"""So many pixels is a cell wide where lines are followed."""

_STEP = 4
"""A line is looked at each so many pixels."""

_REACHES = (10, 6)
"""So far from its place a line is looked for, at first and once the page's curl is undone."""

_MOST_BEND = 1
"""From one look to the next a line moves so many pixels at most."""

_BENDING = 0.08
"""What moving by a pixel costs, in darkness."""

_STRAYING = 0.3
"""What lying as far from its place as possible costs, once the page's curl is undone."""

_STIFFNESS = np.array([0.2, 0.5, 2, 4])
"""How a line resists a shift, a tilt and two bends of its own, besides those of the page."""

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Straightened:
    """The crossings of a grid's lines in its picture, and which share of the lines is there."""

    crossings: Points
    lines: float


def straighten(image: Image, candidate: Candidate) -> Straightened:
    """Return where the lines of a candidate's grid cross in the picture."""
    size = candidate.size
    ideal = np.array([[0, 0], [size, 0], [size, size], [0, size]], np.float32)
    view = cv2.getPerspectiveTransform(ideal, candidate.corners)
    sheet = _Sheet(np.asarray(view, np.float64))
    for reach in _REACHES[:-1]:
        followed = _follow_all(image, sheet, size, reach, 0)
        sheet = sheet.bent_to(followed)
    followed = _follow_all(image, sheet, size, _REACHES[-1], _STRAYING)
    places = _find_crossings(followed, size)
    crossings = sheet.to_picture(places.reshape(-1, 2)).reshape(size + 1, size + 1, 2)
    return Straightened(crossings.astype(np.float32), followed.share_there())


@dataclass(frozen=True, slots=True)
class _Sheet:
    """A page: what maps places of the grid, in cells, to places in the picture.

    `bends` are the weights of a cubic surface for each coordinate, from straight to bent places.
    """

    view: Floats
    bends: Floats | None = None

    def to_picture(self, places: Floats) -> Floats:
        flat = places if self.bends is None else _terms(places) @ self.bends
        full = np.column_stack([flat, np.ones(len(flat))]) @ self.view.T
        return np.asarray(full[:, :2] / full[:, 2:], np.float64)

    def bent_to(self, followed: _Followed) -> _Sheet:
        """Return the page bent so that its lines lie where they were found."""
        should, found, weights, axes = followed.as_places()
        bends = np.zeros((10, 2))
        terms = _terms(should)
        bends[1, 0] = bends[2, 1] = 1
        for axis in (0, 1):
            # A line tells where it is across, and nothing of along.
            told = axes == axis
            bends[:, axis] = _fit(
                terms[told], found[told], weights[told], bends[:, axis], np.full(10, 1e-3)
            )
        return _Sheet(self.view, bends)


def _terms(places: Floats) -> Floats:
    """Return the terms of a cubic surface at each place."""
    x, y = places[:, 0], places[:, 1]
    return np.column_stack(
        [np.ones(len(x)), x, y, x * x, x * y, y * y, x**3, x * x * y, x * y * y, y**3]
    )


def _fit(
    terms: Floats, values: Floats, weights: Floats, start: Floats, stiffness: Floats
) -> Floats:
    """Return the best weights of terms, whatever a few values that lie far off say.

    Where little is told, what comes out stays near the start, the more the stiffer a term is.
    """
    chosen, stiff = start, np.diag(stiffness)
    for _ in range(5):
        off = np.abs(terms @ chosen - values)
        trust = weights / np.maximum(off / 0.06, 1)
        pulled = terms * trust[:, None]
        change = np.linalg.solve(pulled.T @ terms + stiff, pulled.T @ (values - terms @ start))
        chosen = start + change
    return np.asarray(chosen, np.float64)


@dataclass(frozen=True, slots=True)
class _Followed:
    """All lines of a grid, looked at again and again along them.

    `off` is how far each lies from its place, `dark` how dark it is there, both `(2, lines,
    looks)`; the upright lines come first. `along` are the looks' places. All is told in cells.
    """

    off: Floats
    dark: Floats
    along: Floats

    def share_there(self) -> float:
        """Return which share of the lines is there, cell by cell."""
        lines = self.dark.shape[1]
        inside = [
            self.dark[:, :, (self.along > cell + 0.1) & (self.along < cell + 0.9)].mean(axis=2)
            for cell in range(lines - 1)
        ]
        return float((np.stack(inside) > 0.3).mean())

    def as_places(self) -> tuple[Floats, Floats, Floats, NDArray[np.intp]]:
        """Return each look's place, where it found its line across, its weight and its axis."""
        axes, lines, _ = np.indices(self.off.shape)
        along = np.broadcast_to(self.along, self.off.shape)
        should = np.where(
            (axes == 0)[..., None], np.stack([lines, along], -1), np.stack([along, lines], -1)
        )
        found = lines + self.off
        return (
            should.reshape(-1, 2).astype(np.float64),
            found.ravel().astype(np.float64),
            self.dark.ravel() + 0.01,
            axes.ravel(),
        )


def _follow_all(image: Image, sheet: _Sheet, size: int, reach: int, straying: float) -> _Followed:
    """Follow every line, at most so many pixels from its place."""
    margin = reach + 4
    wide = size * _CELL + 2 * margin
    at = (np.arange(wide) + 0.5 - margin) / _CELL
    x, y = np.meshgrid(at, at)
    places = sheet.to_picture(np.column_stack([x.ravel(), y.ravel()])).astype(np.float32)
    flat = cv2.remap(
        image,
        places[:, 0].reshape(wide, wide),
        places[:, 1].reshape(wide, wide),
        interpolation=cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_REPLICATE,
    )
    darkness = _find_lines(np.asarray(flat, np.uint8))
    looks = np.arange(margin, wide - margin + 1, _STEP)
    both = [
        _follow(_smear(each)[looks], margin + np.arange(size + 1) * _CELL, reach, straying)
        for each in (darkness, np.ascontiguousarray(darkness.T))
    ]
    off, dark = (np.stack([each[part] for each in both]) for part in (0, 1))
    return _Followed(off / _CELL, dark, (looks - margin) / _CELL)


def _find_lines(flat: Image) -> NDArray[np.float32]:
    """Return how dark what is thin and darker than its two sides is, from 0 to 1."""
    closed = cv2.morphologyEx(flat, cv2.MORPH_CLOSE, np.ones((9, 9), np.uint8))  # not a size
    thin = (closed.astype(np.float32) - flat) / np.maximum(closed, 16)
    # About so many pixels lie on lines: a digit's thick stroke is no better than a thin line.
    full = max(float(np.percentile(thin, 86)), 0.04)
    return np.minimum(thin / full, 1).astype(np.float32)


def _smear(darkness: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return darkness as seen along upright lines: a mean over a cell."""
    return np.asarray(cv2.blur(darkness, (1, _CELL + 1)), np.float32)


def _follow(
    looks: NDArray[np.float32], places: NDArray[np.intp], reach: int, straying: float
) -> tuple[Floats, ...]:
    """Return how far each upright line is from its place at each look, and how dark it is there.

    `looks` are rows of darkness. All paths are weighed at once, each step moving a little.
    """
    offs = np.arange(-reach, reach + 1)
    # What lies on the right of a line's left edge: a pixel's middle is half a pixel on.
    near = places[:, None] + offs[None, :]
    seen = ((looks[:, near] + looks[:, near - 1]) / 2).astype(np.float64)
    worth = seen - straying * (offs / reach) ** 2
    best = worth[0]
    steps = np.arange(-_MOST_BEND, _MOST_BEND + 1)
    came = np.zeros(seen.shape, np.intp)
    for look in range(1, len(seen)):
        padded = np.pad(best, ((0, 0), (_MOST_BEND, _MOST_BEND)), constant_values=-np.inf)
        ways = np.stack(
            [
                padded[:, _MOST_BEND + step : _MOST_BEND + step + len(offs)]
                - _BENDING * abs(int(step))
                for step in steps
            ]
        )
        chosen = ways.argmax(axis=0)
        came[look] = np.clip(np.arange(len(offs)) + steps[chosen], 0, len(offs) - 1)
        best = ways.max(axis=0) + worth[look]
    path = np.zeros((len(seen), len(places)), np.intp)
    path[-1] = best.argmax(axis=1)
    lines = np.arange(len(places))
    for look in range(len(seen) - 1, 0, -1):
        path[look - 1] = came[look][lines, path[look]]
    dark = seen[np.arange(len(seen))[:, None], lines, path]
    return offs[path].T.astype(np.float64), dark.T.astype(np.float64)


def _find_crossings(followed: _Followed, size: int) -> Floats:
    """Return where the lines cross, in cells, `(size + 1, size + 1, 2)`, x before y."""
    curves = np.array(
        [
            [_fit_curve(followed.along / size, off, dark) for off, dark in zip(*each, strict=True)]
            for each in zip(followed.off, followed.dark, strict=True)
        ]
    )
    numbers = np.arange(size + 1, dtype=np.float64)
    x, y = np.meshgrid(numbers, numbers)
    for _ in range(4):
        x, y = (
            numbers[None, :] + _along(curves[0][None, :, :], y / size),
            numbers[:, None] + _along(curves[1][:, None, :], x / size),
        )
    return np.stack([x, y], axis=2)


def _fit_curve(along: Floats, off: Floats, dark: Floats) -> Floats:
    """Return the weights of a cubic through what one line's looks found."""
    return _fit(_curve_terms(along), off, dark**2 + 0.001, np.zeros(4), _STIFFNESS)


def _curve_terms(along: Floats) -> Floats:
    """Return the terms of a line's curve: shift, tilt, and two bends (Legendre's polynomials)."""
    at = 2 * along - 1
    return np.stack([np.ones(at.shape), at, 1.5 * at**2 - 0.5, 2.5 * at**3 - 1.5 * at], -1)


def _along(curve: Floats, at: Floats) -> Floats:
    """Return a curve's value at each place."""
    return np.asarray((curve * _curve_terms(at)).sum(axis=-1), np.float64)
