"""Pages to fill in by hand, as a PDF: a grid with its givens, and in lines below what to write.

What is to be written stands in lines of text, not in a second grid: a photo of the page has one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO
from math import isqrt

from PIL import Image, ImageDraw

from bot.drawing.fonts import RENDERING, Face, font_of

_WIDE, _HIGH, _DOTS = 1240, 1754, 150
"""A sheet of A4 at so many dots an inch."""

_LEFT, _TOP, _SIDE = 170, 200, 900
_BLACK, _WHITE = 0, 255
_THIN, _THICK = 2, 6


@dataclass(frozen=True, slots=True)
class FormPage:
    """What stands on a page: a title, the givens, the shape of a box, and lines of text."""

    title: str
    givens: str
    box: tuple[int, int]
    lines: tuple[str, ...]


def draw_form(pages: Sequence[FormPage]) -> bytes:
    """Return the PDF of some pages."""
    with RENDERING:
        drawn = [_draw(page) for page in pages]
    target = BytesIO()
    drawn[0].save(
        target, "PDF", save_all=True, append_images=drawn[1:], resolution=_DOTS, quality=90
    )
    return target.getvalue()


def _draw(page: FormPage) -> Image.Image:
    sheet = Image.new("L", (_WIDE, _HIGH), _WHITE)
    pen = ImageDraw.Draw(sheet)
    pen.text((_LEFT, 90), page.title, font=font_of(Face.HEAVY, 40), fill=_BLACK)
    size = isqrt(len(page.givens))
    cell = _SIDE // size
    for number in range(size + 1):
        at, end = number * cell, size * cell
        for is_across, each in ((True, page.box[0]), (False, page.box[1])):
            width = _THICK if number % each == 0 else _THIN
            line = (_LEFT, _TOP + at, _LEFT + end, _TOP + at)
            if not is_across:
                line = (_LEFT + at, _TOP, _LEFT + at, _TOP + end)
            pen.line(line, fill=_BLACK, width=width)
    font = font_of(Face.HEAVY, cell * 6 // 10)
    for index, mark in enumerate(page.givens):
        row, column = divmod(index, size)
        if mark not in ".0":
            middle = (_LEFT + column * cell + cell // 2, _TOP + row * cell + cell // 2)
            pen.text(middle, mark, font=font, fill=_BLACK, anchor="mm")
    for number, text in enumerate(page.lines):
        place = (_LEFT, _TOP + _SIDE + 60 + number * 40)
        pen.text(place, text, font=font_of(Face.MEDIUM, 28), fill=_BLACK)
    return sheet
