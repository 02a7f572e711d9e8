"""Where in a picture a grid may be: four corners, and how well lines lie where a grid has lines.

What is darker than its surroundings falls into pieces; a grid is one of the large ones, or lies in
one. Whether four corners hold a grid is judged by the lines between them alone, for each size that
there is; what stands in the cells is not looked at.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass, replace
from itertools import combinations

import cv2
import numpy as np
from numpy.typing import NDArray

from bot.photo.cells import Image, Points
from engine import CLASSIC, layout_named

SIZES = (CLASSIC.size, layout_named("6x6").size)
"""A grid has so many rows and columns."""

_SIDE = 1000
"""The longer side of the picture in which grids are looked for."""

_FAINTEST = (0.10, 0.05)
"""So much darker than its surroundings is ink: a pen, a pencil."""

_CLOSINGS = (0, 3, 7)
"""Pieces that lie less than so many pixels apart are one: lines have gaps, paper has folds."""

_LEAST_SHARE = 0.2
"""A grid is at least so much of the picture's shorter side."""

_MOST_PIECES = 6
_MOST_CORNERS = 14
_CELL = 20
"""So many pixels is a cell wide where lines are judged."""

_NEAR = 44
"""So many pixels is a cell wide, at most, where its grid is straightened and cut."""

_TOLERANCE = 3
"""A line may lie so many of these pixels from its place."""

_SIDES = 6
"""A line is darker than what lies within so many of these pixels on both sides,"""

_SHALLOWEST = 0.025
"""by such a share of the brightness."""

LEAST_SCORE = 0.42
"""Below this, four corners hold no grid."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """Four corners in a picture, clockwise from the top left, that may hold a grid of a size."""

    corners: Points
    size: int
    score: float
    is_light_on_dark: bool

    def is_like(self, other: Candidate) -> bool:
        """Say whether two are of one size and one colour."""
        return self.size == other.size and self.is_light_on_dark == other.is_light_on_dark


def find_candidates(image: Image, sizes: Collection[int] = SIZES) -> list[Candidate]:
    """Return where grids may be, the likeliest first.

    Those that lie in each other differ in size, or in what is light and what dark.
    """
    small = make_small(image)
    scale = small.shape[1] / image.shape[1]
    found: list[Candidate] = []
    for faintest in _FAINTEST:
        for is_light in (False, True):
            mask = find_ink(small, faintest, is_light=is_light)
            for closing in _CLOSINGS:
                found += _judge(small, mask, closing, sizes, is_light=is_light)
    found.sort(key=lambda each: -each.score)
    apart: list[Candidate] = []
    for each in found:
        if not any(each.is_like(other) and overlap(each, other) for other in apart):
            apart.append(each)
    return [
        Candidate(each.corners / np.float32(scale), each.size, each.score, each.is_light_on_dark)
        for each in apart
    ]


def make_small(image: Image) -> Image:
    """Return a picture as small as it is looked at to find grids in it."""
    scale = min(_SIDE / max(image.shape), 1.0)
    resized = cv2.resize(image, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    return np.asarray(resized, np.uint8)


def find_ink(image: Image, faintest: float, *, is_light: bool) -> Image:
    """Return 255 where a picture is darker, or lighter, than its surroundings by a share."""
    soft = cv2.GaussianBlur(image, (3, 3), 0).astype(np.float32)
    around = max(round(max(image.shape) / 40), 5) * 2 + 1
    surroundings = cv2.blur(soft, (around, around))
    if is_light:
        ink = soft > surroundings * (1 + faintest) + 1
    else:
        ink = soft < surroundings * (1 - faintest) - 1
    return np.asarray(ink, np.uint8) * np.uint8(255)


def _judge(
    image: Image, mask: Image, closing: int, sizes: Collection[int], *, is_light: bool
) -> Iterator[Candidate]:
    """Yield what the large pieces of a mask may be."""
    joined = mask
    if closing:
        joined = np.asarray(cv2.dilate(mask, np.ones((closing, closing), np.uint8)), np.uint8)
    for hull in _find_pieces(joined):
        for corners in _find_corners(hull):
            for size in sizes:
                score = judge_lines(image, corners, size, is_light=is_light)
                if score >= LEAST_SCORE:
                    yield Candidate(corners, size, score, is_light)


def _find_pieces(mask: Image) -> Iterator[NDArray[np.int32]]:
    """Yield the hulls of the largest connected pieces."""
    least = min(mask.shape) * _LEAST_SHARE
    _, labels, boxes, _ = cv2.connectedComponentsWithStats(mask, connectivity=8)
    narrower = boxes[1:, [cv2.CC_STAT_WIDTH, cv2.CC_STAT_HEIGHT]].min(axis=1)
    wide = np.flatnonzero(narrower >= least) + 1
    largest = np.argsort(-boxes[wide, cv2.CC_STAT_AREA], kind="stable")
    for piece in wide[largest][:_MOST_PIECES]:
        left, top, width, height = (int(each) for each in boxes[piece, :4])
        part = labels[top : top + height, left : left + width] == piece
        # A hull touches nothing but the ends of rows.
        rows = np.arange(height)
        ends = np.concatenate([part.argmax(axis=1), width - 1 - part[:, ::-1].argmax(axis=1)])
        points = np.column_stack([ends + left, np.tile(rows, 2) + top])
        hull = cv2.convexHull(points[np.tile(part.any(axis=1), 2)].astype(np.int32))
        yield np.asarray(hull, np.int32)


def _find_corners(hull: NDArray[np.int32]) -> Iterator[Points]:
    """Yield the four of a hull's corners that hold most of it."""
    around = cv2.arcLength(hull, True)
    for share in (0.01, 0.02, 0.04):
        rough = cv2.approxPolyDP(hull, around * share, True)[:, 0]
        if len(rough) <= _MOST_CORNERS:
            break
    if not 4 <= len(rough) <= _MOST_CORNERS:
        return
    chosen = np.array(list(combinations(range(len(rough)), 4)))
    fours = rough[chosen].astype(np.float32)
    x, y = fours[:, :, 0], fours[:, :, 1]
    areas = np.abs((x * np.roll(y, -1, 1) - y * np.roll(x, -1, 1)).sum(axis=1)) / 2
    yield in_order(fours[int(areas.argmax())])


def in_order(corners: Points) -> Points:
    """Return four corners clockwise, from the one nearest to the picture's top left."""
    middle = corners.mean(axis=0)
    angles = np.arctan2(corners[:, 1] - middle[1], corners[:, 0] - middle[0])
    turned = corners[np.argsort(angles)]
    first = int(turned.sum(axis=1).argmin())
    return np.ascontiguousarray(np.roll(turned, -first, axis=0), dtype=np.float32)


def judge_lines(image: Image, corners: Points, size: int, *, is_light: bool) -> float:
    """Return which share of a grid's lines is there, cell by cell, between four corners.

    What looks like a line in the middle of cells, where none should be, counts against it.
    """
    side, edge = size * _CELL, _CELL // 2
    square = np.array([[0, 0], [side, 0], [side, side], [0, side]], np.float32) + edge
    view = cv2.getPerspectiveTransform(corners, square)
    wide = side + 2 * edge
    warped = cv2.warpPerspective(
        image, view, (wide, wide), flags=cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
    )
    flat = np.asarray(warped, np.uint8)
    both = [_judge_across(each, size, edge, is_light=is_light) for each in (flat, flat.T)]
    # All of one way and half of the other may be a part of a grid, as wide as half its columns.
    return float(np.sqrt(max(both[0], 0) * max(both[1], 0)))


def _judge_across(flat: Image, size: int, edge: int, *, is_light: bool) -> float:
    """Return which share of the upright lines' parts is there."""
    rows = flat[edge : edge + size * _CELL].astype(np.float32)
    # The middle of each part: where lines cross, everything is dark.
    parts = rows.reshape(size, _CELL, -1)[:, 3:-3].mean(axis=1)
    depths = _find_depths(-parts if is_light else parts) / np.maximum(parts, 8)
    least = max(_SHALLOWEST, 2 * float(np.median(depths)))
    near = np.arange(-_TOLERANCE, _TOLERANCE + 1)
    lines = edge + np.arange(size + 1) * _CELL
    middles = edge + np.arange(size) * _CELL + _CELL // 2
    found, stray = (
        (depths[:, places[:, None] + near].max(axis=2) > least).mean()
        for places in (lines, middles)
    )
    return float(found - stray / 3)


def _find_depths(parts: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return by how much each place is darker than what lies within a few pixels on both sides."""
    wide = parts.shape[1]
    around = np.pad(parts, ((0, 0), (_SIDES, _SIDES)), mode="edge")
    before = np.max([around[:, off : off + wide] for off in range(_SIDES - 1)], axis=0)
    after = np.max(
        [around[:, off : off + wide] for off in range(_SIDES + 2, 2 * _SIDES + 1)], axis=0
    )
    return np.asarray(np.maximum(np.minimum(before, after) - parts, 0), np.float32)


def as_dark_on_light(image: Image, candidate: Candidate) -> Image:
    """Return a picture in which a candidate's lines are dark, whatever they were."""
    if not candidate.is_light_on_dark:
        return image
    left, top, wide, high = cv2.boundingRect(candidate.corners)
    part = image[max(top, 0) : top + high, max(left, 0) : left + wide]
    lightest = max(float(np.percentile(part, 99.5)), 1.0)
    return np.asarray(255 - np.minimum(image / np.float32(lightest), 1) * 250, np.uint8)


def come_near(image: Image, candidate: Candidate) -> tuple[Image, Candidate]:
    """Return a picture as small as a candidate's cells allow, and the candidate in it.

    What looks at single pixels of a large picture misses thin lines, and sees its noise.
    """
    around = np.linalg.norm(candidate.corners - np.roll(candidate.corners, 1, axis=0), axis=1)
    scale = _NEAR * candidate.size / float(around.mean())
    if scale >= 1:
        return image, candidate
    nearer = cv2.resize(image, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    share = np.array([nearer.shape[1] / image.shape[1], nearer.shape[0] / image.shape[0]])
    corners = (candidate.corners * share).astype(np.float32)
    return np.asarray(nearer, np.uint8), replace(candidate, corners=corners)


def overlap(one: Candidate, other: Candidate) -> bool:
    """Say whether two candidates lie on the same part of a picture."""
    shared, _ = cv2.intersectConvexConvex(one.corners, other.corners)
    smaller = min(cv2.contourArea(one.corners), cv2.contourArea(other.corners))
    return bool(shared > 0.2 * smaller)
