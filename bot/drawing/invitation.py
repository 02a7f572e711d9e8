"""A link as a code to scan, and the small sheet to print that bears it. Nothing here is kept."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO, StringIO

import segno
from PIL import Image, ImageDraw

from bot.drawing.fonts import RENDERING, Face, font_of

_WIDE, _HIGH, _DOTS = 1240, 1748, 300
"""A sheet of A6 at so many dots an inch."""

_MARGIN, _SIDE, _QUIET = 110, 900, 4
_BLACK, _WHITE = 0, 255
_ADDRESS_LINE = 40
"""Characters of an address on one line: it is copied by hand where nothing can scan."""


def code_squares(address: str) -> tuple[str, ...]:
    """Return a code to scan, row by row, 1 for dark; without the quiet border around it."""
    rows = StringIO()
    segno.make(address, error="m", micro=False).save(rows, kind="txt", border=0)
    return tuple(rows.getvalue().split())


def draw_invitation(title: str, lines: Sequence[str], address: str) -> bytes:
    """Return the PDF of a sheet: a title, lines of text, the code, and the address in letters."""
    sheet = Image.new("L", (_WIDE, _HIGH), _WHITE)
    pen = ImageDraw.Draw(sheet)
    with RENDERING:
        pen.text((_MARGIN, 90), title, font=font_of(Face.HEAVY, _fitting(title)), fill=_BLACK)
        for number, line in enumerate(lines):
            face = Face.HEAVY if number == 0 else Face.MEDIUM
            pen.text((_MARGIN, 190 + 60 * number), line, font=font_of(face, 40), fill=_BLACK)
        _draw_code(pen, code_squares(address), 200 + 60 * len(lines))
        starts = range(0, len(address), _ADDRESS_LINE)
        for number, start in enumerate(starts):
            at = (_MARGIN, 1400 + 56 * number)
            text = address[start : start + _ADDRESS_LINE]
            pen.text(at, text, font=font_of(Face.MEDIUM, 40), fill=_BLACK)
    target = BytesIO()
    sheet.save(target, "PDF", resolution=_DOTS, quality=90)
    return target.getvalue()


def _fitting(title: str) -> int:
    """Return the size, in pixels, at which a title fits the sheet."""
    return max(24, min(64, int(1.6 * (_WIDE - 2 * _MARGIN) / max(1, len(title)))))


def _draw_code(pen: ImageDraw.ImageDraw, squares: Sequence[str], top: int) -> None:
    size = _SIDE // (len(squares) + 2 * _QUIET)
    for row, cells in enumerate(squares):
        for column, cell in enumerate(cells):
            if cell == "1":
                left, above = _MARGIN + (column + _QUIET) * size, top + (row + _QUIET) * size
                pen.rectangle((left, above, left + size - 1, above + size - 1), fill=_BLACK)
