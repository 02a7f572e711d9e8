"""Shapes as coverage: how much of each pixel a letter, a stroke or a plate covers, without colour.

Each is made once and kept; strokes are drawn large and reduced, so that their edges are smooth.
Only the canvas gives a shape its paint.
"""

from __future__ import annotations

from functools import lru_cache
from math import cos, pi, sin

from PIL import Image, ImageDraw

from bot.drawing.fonts import RENDERING, Face, font_of, width_of

Coverage = Image.Image
"""An image of mode L: 0 leaves the ground as it is, 255 covers it."""

_LARGE = 8


def _reduced(large: Image.Image) -> Coverage:
    return large.reduce(_LARGE)


def _sheet(width: int, height: int) -> tuple[Image.Image, ImageDraw.ImageDraw]:
    sheet = Image.new("L", (width * _LARGE, height * _LARGE), 0)
    return sheet, ImageDraw.Draw(sheet)


@lru_cache(maxsize=256)
def digit_shape(text: str, face: Face, size: int, side: int) -> Coverage:
    """Return a digit in the middle of a square of `side`; all digits stand on one line."""
    shape = Image.new("L", (side, side), 0)
    with RENDERING:
        font = font_of(face, size)
        left, _, right, _ = font.getbbox(text, anchor="ls")
        _, top, _, bottom = font.getbbox("8", anchor="ls")
        x, y = (side - (left + right)) / 2, (side - (top + bottom)) / 2
        ImageDraw.Draw(shape).text((round(x), round(y)), text, font=font, fill=255, anchor="ls")
    return shape


@lru_cache(maxsize=512)
def text_shape(text: str, face: Face, size: int) -> Coverage:
    """Return a line of text; its height depends on the size alone, so that lines stand level."""
    width = width_of(text, face, size)
    with RENDERING:
        font = font_of(face, size)
        ascent, descent = font.getmetrics()
        shape = Image.new("L", (width + 4, ascent + descent), 0)
        ImageDraw.Draw(shape).text((2, ascent), text, font=font, fill=255, anchor="ls")
    return shape


@lru_cache(maxsize=32)
def plate_shape(side: int) -> Coverage:
    """Return a square with rounded corners."""
    sheet, pen = _sheet(side, side)
    edge = side * _LARGE - 1
    pen.rounded_rectangle((0, 0, edge, edge), radius=side * _LARGE // 4, fill=255)
    return _reduced(sheet)


@lru_cache(maxsize=32)
def slash_shape(side: int, width: float) -> Coverage:
    """Return a stroke from the upper left to the lower right of a square.

    That way it crosses the slanting strokes of 2, 4 and 7 and does not hide them.
    """
    sheet, pen = _sheet(side, side)
    near, far = width * _LARGE / 2, side * _LARGE - width * _LARGE / 2
    pen.line((near, near, far, far), fill=255, width=round(width * _LARGE))
    return _reduced(sheet)


@lru_cache(maxsize=32)
def ring_shape(side: int, width: int) -> Coverage:
    """Return a circle's line that touches the sides of a square."""
    sheet, pen = _sheet(side, side)
    edge = side * _LARGE - 1
    pen.ellipse((0, 0, edge, edge), outline=255, width=width * _LARGE)
    return _reduced(sheet)


@lru_cache(maxsize=32)
def square_shape(side: int, width: int) -> Coverage:
    """Return a square's line."""
    shape = Image.new("L", (side, side), 0)
    ImageDraw.Draw(shape).rectangle((0, 0, side - 1, side - 1), outline=255, width=width)
    return shape


@lru_cache(maxsize=32)
def disc_shape(side: int) -> Coverage:
    """Return a filled circle as wide as `side` pixels."""
    sheet, pen = _sheet(side, side)
    edge = side * _LARGE - 1
    pen.ellipse((0, 0, edge, edge), fill=255)
    return _reduced(sheet)


Corners = tuple[tuple[float, float], ...]


def arrow_corners(width: float, height: float, towards: str) -> Corners:
    """Return the corners of an arrow head that fills a rectangle, from its top left."""
    return {
        "right": ((0, 0), (width, height / 2), (0, height)),
        "left": ((width, 0), (0, height / 2), (width, height)),
        "down": ((0, 0), (width / 2, height), (width, 0)),
        "up": ((0, height), (width / 2, 0), (width, height)),
    }[towards]


@lru_cache(maxsize=16)
def arrow_shape(width: int, height: int, towards: str) -> Coverage:
    """Return an arrow head that points `towards` left, right, up or down."""
    sheet, pen = _sheet(width, height)
    pen.polygon(arrow_corners(width * _LARGE - 1, height * _LARGE - 1, towards), fill=255)
    return _reduced(sheet)


def wedge_corners(side: float, is_left: bool, is_top: bool) -> Corners:
    """Return the corners of half a square, from its top left: the half in one of its corners."""
    x, y = 0 if is_left else side, 0 if is_top else side
    return ((x, y), (side - x, y), (x, side - y))


@lru_cache(maxsize=32)
def wedge_shape(side: int, is_left: bool, is_top: bool) -> Coverage:
    """Return half of a square: the half in its left or right, upper or lower corner."""
    sheet, pen = _sheet(side, side)
    pen.polygon(wedge_corners(side * _LARGE - 1, is_left, is_top), fill=255)
    return _reduced(sheet)


@lru_cache(maxsize=4)
def florets_shape(
    width: int, height: int, heads: tuple[tuple[int, int], ...], breadth: int
) -> Coverage:
    """Return flowers of five round petals, one with its middle at each of `heads`."""
    sheet, pen = _sheet(width, height)
    reach, petal, core = (breadth * _LARGE * share for share in (0.26, 0.21, 0.17))
    for head_x, head_y in heads:
        for turn in range(5):
            x = head_x * _LARGE + reach * sin(turn * 2 * pi / 5)
            y = head_y * _LARGE - reach * cos(turn * 2 * pi / 5)
            pen.ellipse((x - petal, y - petal, x + petal, y + petal), fill=255)
        x, y = head_x * _LARGE, head_y * _LARGE
        pen.ellipse((x - core, y - core, x + core, y + core), fill=255)
    return _reduced(sheet)


@lru_cache(maxsize=4)
def stalks_shape(width: int, height: int, heads: tuple[tuple[int, int], ...]) -> Coverage:
    """Return stalks that rise from one stem to each of `heads`, and a lobed leaf on each side."""
    sheet, pen = _sheet(width, height)
    s = _LARGE
    fork = (width / 2 * s, height * 0.66 * s)
    for x, y in heads:
        pen.line((*fork, x * s, y * s), fill=255, width=3 * s)
    pen.line((*fork, width / 2 * s, height * s), fill=255, width=5 * s)
    for side in (-1, 1):
        pen.line(
            (width / 2 * s, height * 0.94 * s, *_leaf(width * s, height * s, side)[0]), 255, 4 * s
        )
        pen.polygon(_leaf(width * s, height * s, side), fill=255)
    return _reduced(sheet)


def _leaf(width: float, height: float, side: int) -> list[tuple[float, float]]:
    """Return the outline of a leaf with three lobes, from its foot round and back."""
    foot_x, foot_y, length = width / 2 + side * width * 0.07, height * 0.87, width * 0.27
    outline = [(foot_x, foot_y)]
    for degree in range(-108, 109, 2):
        turn = degree * pi / 180
        reach = length * (0.76 + 0.24 * cos(6 * turn)) * (1 - 0.5 * abs(degree) / 108)
        leaning = turn - 0.55
        outline.append((foot_x + side * reach * cos(leaning), foot_y + reach * sin(leaning)))
    return outline
