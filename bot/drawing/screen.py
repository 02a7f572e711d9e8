"""A frame for a big screen: a grid's picture as large as fits, words beside it, and free room.

The picture is the one that everybody gets, only larger, so its marks are the same. Below the words
the room stays free for what is said and written while it is shown.
"""

from __future__ import annotations

from io import BytesIO

from PIL import Image

from bot.drawing.canvas import Canvas
from bot.drawing.fonts import Face, showable, width_of
from bot.drawing.geometry import Rect
from bot.drawing.theme import Paint, theme_of

LEAST, MOST = 640, 7680
"""Pixels of a side of a frame."""

_MARGIN = 0.025
"""Of the shorter side."""

_SHARE = 0.58
"""How much of the longer side the grid may take."""

_LARGEST, _SMALLEST = 0.034, 0.015
"""Sizes of letters, of the shorter side."""

_TOLD = 0.7
"""So much of the room beside the grid the words may take; the rest is left for notes."""

_LEADING = 1.35

Size = tuple[int, int]
"""Width and height, in pixels."""


def lay_out(canvas: Canvas, title: str, text: str, size: Size) -> bytes:
    """Return the PNG of a frame: the picture on a canvas, and its words beside or below it."""
    (width, height), theme = size, theme_of(canvas.look)
    margin, side = _margin_and_side(size)
    sheet = Canvas(width, height, canvas.look)
    _write(sheet, title, text, room_for_words(size))
    frame, picture = sheet.image, canvas.image.copy()
    for image in (frame, picture):
        image.putpalette(theme.palette)
    whole = frame.convert("RGB")
    scale = side / max(picture.size)
    shown = tuple(round(each * scale) for each in picture.size)
    large = picture.convert("RGB").resize((shown[0], shown[1]), Image.Resampling.LANCZOS)
    whole.paste(large, (margin, margin))
    target = BytesIO()
    few = whole.quantize(palette=frame, dither=Image.Dither.NONE)
    few.save(target, "PNG", compress_level=6)
    return target.getvalue()


def room_for_words(size: Size) -> Rect:
    """Return what a frame has beside its grid, or below it where it is higher than wide."""
    width, height = size
    margin, side = _margin_and_side(size)
    whole = Rect(0, 0, width, height).inset(2 * margin)
    if width >= height:
        return Rect(side + 3 * margin, whole.top, whole.right, whole.bottom)
    return Rect(whole.left, side + 3 * margin, whole.right, whole.bottom)


def _margin_and_side(size: Size) -> tuple[int, int]:
    """Return how far a frame's grid stands from the edges, and how large it is."""
    margin = round(min(size) * _MARGIN)
    return margin, int(min(min(size) - 2 * margin, max(size) * _SHARE))


def _write(sheet: Canvas, title: str, text: str, room: Rect) -> None:
    """Write the title and the words, as large as leaves room for notes."""
    shorter = min(sheet.image.size)
    sizes = range(int(shorter * _LARGEST), max(int(shorter * _SMALLEST), 8), -1)
    for size in sizes:
        lines = _wrapped(text, size, room.width)
        if (len(lines) + 2) * size * _LEADING <= room.height * _TOLD:
            break
    pitch = round(size * _LEADING)
    lines = lines[: room.height // pitch - 2]
    sheet.text(showable(title), room.left, room.top + size, Paint.INK, face=Face.HEAVY, size=size)
    for number, line in enumerate(lines, start=2):
        sheet.text(line, room.left, room.top + size + number * pitch, Paint.INK, size=size)


def _wrapped(text: str, size: int, width: int) -> list[str]:
    lines: list[str] = []
    for paragraph in text.splitlines():
        line = ""
        for word in showable(paragraph).split():
            longer = f"{line} {word}".strip()
            if line and width_of(longer, Face.MEDIUM, size) > width:
                lines.append(line)
                longer = word
            line = longer
        lines.append(line)
    return lines
