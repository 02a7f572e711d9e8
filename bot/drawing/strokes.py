"""The lines of chains as one shape: solid or dashed strokes with arrow heads, outlines of groups.

Coverage without colour, like all shapes; what it must not hide is taken out by the canvas.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise
from math import atan2, cos, hypot, pi, sin

from PIL import Image, ImageDraw

from bot.drawing.geometry import Rect
from bot.drawing.routes import Curve, Point
from bot.drawing.shapes import Coverage

_LARGE = 4
_SOLID, _DASHED, _OUTLINE = 4.0, 3.0, 2.5
_DASH, _GAP = 8.0, 6.0
_HEAD_LENGTH, _HEAD_BREADTH = 12.0, 11.0
_SMALL = 0.62
"""How much smaller the arrow head of a link inside a cell is."""
_Pen = ImageDraw.ImageDraw


def strokes_shape(
    size: tuple[int, int], curves: Iterable[Curve], groups: Iterable[Rect]
) -> Coverage:
    """Return all lines of a picture as one coverage of the picture's `size`."""
    sheet = Image.new("L", (size[0] * _LARGE, size[1] * _LARGE), 0)
    pen = ImageDraw.Draw(sheet)
    for rect in groups:
        _outline(pen, rect)
    for curve in curves:
        _stroke(pen, curve)
    return sheet.reduce(_LARGE)


def disc_into(shape: Coverage, middle: tuple[int, int], radius: int) -> None:
    """Draw a full disc into a coverage."""
    side = 2 * radius + 1
    sheet = Image.new("L", (side * _LARGE, side * _LARGE), 0)
    ImageDraw.Draw(sheet).ellipse((0, 0, side * _LARGE - 1, side * _LARGE - 1), fill=255)
    disc = sheet.reduce(_LARGE)
    corner = middle[0] - radius, middle[1] - radius
    shape.paste(255, corner, disc)


def _outline(pen: _Pen, rect: Rect) -> None:
    edges = tuple(edge * _LARGE for edge in rect)
    radius = min(rect.width, rect.height) * _LARGE // 2
    pen.rounded_rectangle(edges, radius, outline=255, width=round(_OUTLINE * _LARGE))


def _stroke(pen: _Pen, curve: Curve) -> None:
    points = list(curve.points)
    if curve.has_head:
        scale = _SMALL if curve.is_short else 1.0
        points = _without_tip(points, _HEAD_LENGTH * scale)
        _head(pen, points[-1], curve.points[-1], scale)
    width = round((_DASHED if curve.is_dashed else _SOLID) * _LARGE)
    for part in _dashes(points) if curve.is_dashed else (points,):
        if len(part) > 1:
            pen.line([_enlarged(point) for point in part], fill=255, width=width, joint="curve")


def _enlarged(point: Point) -> Point:
    return point[0] * _LARGE, point[1] * _LARGE


def _without_tip(points: list[Point], length: float) -> list[Point]:
    """Return the points up to where the arrow head begins, at least one."""
    tip = points[-1]
    kept = [p for p in points if hypot(p[0] - tip[0], p[1] - tip[1]) >= length - 2]
    return kept or points[:1]


def _head(pen: _Pen, base: Point, tip: Point, scale: float) -> None:
    angle = atan2(tip[1] - base[1], tip[0] - base[0])
    length = min(_HEAD_LENGTH * scale, hypot(tip[0] - base[0], tip[1] - base[1]) + 4)
    foot = tip[0] - length * cos(angle), tip[1] - length * sin(angle)
    half = _HEAD_BREADTH * scale / 2
    sides = [
        (foot[0] + half * cos(angle + turn), foot[1] + half * sin(angle + turn))
        for turn in (pi / 2, -pi / 2)
    ]
    pen.polygon([_enlarged(tip), _enlarged(sides[0]), _enlarged(sides[1])], fill=255)


def _dashes(points: Sequence[Point]) -> list[list[Point]]:
    """Cut a line into dashes; it begins with a whole one."""
    parts: list[list[Point]] = [[points[0]]]
    gone, is_on = 0.0, True
    for before, after in pairwise(points):
        length = hypot(after[0] - before[0], after[1] - before[1])
        done = 0.0
        while length - done > 1e-9:
            left = (_DASH if is_on else _GAP) - gone
            taken = min(left, length - done)
            done += taken
            gone += taken
            share = done / length
            here = (
                before[0] + (after[0] - before[0]) * share,
                before[1] + (after[1] - before[1]) * share,
            )
            if is_on:
                parts[-1].append(here)
            if taken >= left - 1e-9:
                is_on, gone = not is_on, 0.0
                if is_on:
                    parts.append([here])
    return parts
