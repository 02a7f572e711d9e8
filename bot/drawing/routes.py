"""Where the lines of a chain run: curves between candidates that keep clear of what is written.

Each link tries a few bends and takes the one that hides least and lies least on lines drawn before
it. Only places are decided here; the canvas draws them.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot

from PIL import Image

from bot.drawing.geometry import Rect

Point = tuple[float, float]

_SHORT_BENDS = (15, -15, 20, -20, 25, -25)
"""For a link inside a cell, which bows out beside the two candidates."""
_BENDS = (0, 9, -9, 16, -16, 24, -24, 34, -34, 46, -46, 60, -60)  # pixels, not a size
_STRIDE = 2.0
_ON_WRITING, _ON_A_LINE, _OFF_THE_BOARD = 5.0, 4.0, 60.0
_NEAR = 6
"""Two lines are on each other where they pass through the same square of so many pixels."""


@dataclass(frozen=True, slots=True)
class Curve:
    """A line from one candidate to another, as points a few pixels apart."""

    points: tuple[Point, ...]
    is_dashed: bool
    has_head: bool
    is_short: bool = False


class Router:
    """Finds the routes of one picture, one after the other. `writing` is 255 where a digit is."""

    def __init__(self, writing: Image.Image, board: Rect) -> None:
        self._writing, self._width = writing.tobytes(), writing.width
        self._board = board
        self._taken: set[tuple[int, int]] = set()
        self._labels: list[tuple[int, int]] = []

    def route(self, start: Rect, end: Rect, *, is_dashed: bool, has_head: bool) -> Curve:
        """Return the best curve from the edge of one candidate's place to that of another."""
        far = hypot(end.middle[0] - start.middle[0], end.middle[1] - start.middle[1])
        is_short = far <= start.width * 3
        room = start.width / 2 + (0 if is_short else 1)
        best: tuple[float, int, tuple[Point, ...]] | None = None
        for order, bend in enumerate(_SHORT_BENDS if is_short else _BENDS):
            points = _trimmed(_bent(start.middle, end.middle, bend), room)
            if len(points) < 2:
                continue
            cost = self._cost(points) + 0.35 * abs(bend)
            if best is None or (cost, order) < best[:2]:
                best = cost, order, points
        points = best[2] if best is not None else (start.middle, end.middle)
        self._taken.update(map(_square, points[2:-2]))
        return Curve(points, is_dashed, has_head, is_short)

    def free_spot(self, curve: Curve, radius: int) -> tuple[int, int]:
        """Return a point of the line with so much room around it, the nearest to its middle.

        The room is taken from then on. Where there is none it is the point that hides least.
        """
        points, reach = curve.points, 2 * radius + 2
        best: tuple[float, int] | None = None
        for number, (x, y) in enumerate(points):
            hidden = sum(
                self._writing[int(y + dy) * self._width + int(x + dx)] > 0
                for dy in range(-radius, radius + 1, 2)
                for dx in range(-radius, radius + 1, 2)
            )
            crowd = sum(hypot(x - left, y - top) < reach for left, top in self._labels)
            off = abs(number - len(points) // 2) / len(points)
            cost = (hidden + 40 * crowd + off, number)
            if best is None or cost < best:
                best = cost
        assert best is not None
        spot = int(points[best[1]][0]), int(points[best[1]][1])
        self._labels.append(spot)
        return spot

    def _cost(self, points: tuple[Point, ...]) -> float:
        cost = 0.0
        for x, y in points:
            if not (self._board.left < x < self._board.right):
                return float(_OFF_THE_BOARD * len(points))
            if not (self._board.top < y < self._board.bottom):
                return float(_OFF_THE_BOARD * len(points))
            if self._writing[int(y) * self._width + int(x)]:
                cost += _ON_WRITING
            if _square((x, y)) in self._taken:
                cost += _ON_A_LINE
        return cost


def _square(point: Point) -> tuple[int, int]:
    return int(point[0]) // _NEAR, int(point[1]) // _NEAR


def _bent(start: Point, end: Point, bend: float) -> tuple[Point, ...]:
    """Return a curve whose middle lies `bend` pixels beside the straight line."""
    (x0, y0), (x1, y1) = start, end
    far = hypot(x1 - x0, y1 - y0) or 1.0
    across = -(y1 - y0) / far, (x1 - x0) / far
    mid_x, mid_y = (x0 + x1) / 2 + 2 * bend * across[0], (y0 + y1) / 2 + 2 * bend * across[1]
    count = max(int((far + 2 * abs(bend)) / _STRIDE), 4)
    points = []
    for number in range(count + 1):
        t = number / count
        near, middle, away = (1 - t) ** 2, 2 * t * (1 - t), t**2
        points.append(
            (near * x0 + middle * mid_x + away * x1, near * y0 + middle * mid_y + away * y1)
        )
    return tuple(points)


def _trimmed(points: tuple[Point, ...], room: float) -> tuple[Point, ...]:
    """Leave out what lies within `room` of either end, so that no line enters a mark."""
    first, last = points[0], points[-1]
    return tuple(
        point
        for point in points
        if hypot(point[0] - first[0], point[1] - first[1]) > room
        and hypot(point[0] - last[0], point[1] - last[1]) > room
    )
