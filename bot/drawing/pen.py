"""A pen for pages of paper: black shapes and letters, in millimetres from the top left of a page.

What it writes is a PDF whose lines and letters stay sharp at any size. The library that writes it
is an extra (`print`), loaded only where something is printed. The letters are the shipped ones,
carried along in the file; what they lack is drawn as a box, as in pictures.
"""

from __future__ import annotations

import logging
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime
from importlib.util import find_spec
from typing import TYPE_CHECKING

from bot.club.facts_sheets import PaperSize
from bot.drawing.fonts import MISSING, Face, file_of, fitted

if TYPE_CHECKING:
    from fpdf import FPDF

SIZES = {PaperSize.A4: (210.0, 297.0), PaperSize.LETTER: (215.9, 279.4)}
"""Width and height of each paper, in millimetres."""

_POINTS = 72 / 25.4
_CAPITAL = 0.668
"""How tall a digit of the shipped letters is, as a share of their size."""

_MEASURED = 200
"""Pixels of the size at which a text is measured: so large that rounding them does not show."""

_MADE = datetime(2026, 1, 1, tzinfo=UTC)
"""The same sheet is always the same file, whenever it is made."""


def can_print() -> bool:
    """Tell whether the library that writes PDFs is installed."""
    return find_spec("fpdf") is not None


class Pen:
    """Writes on the pages of one PDF, each as it comes. Raises ImportError without the library."""

    def __init__(self, paper: PaperSize, title: str) -> None:
        self._pdf = _start(paper)
        if title:
            self._pdf.set_title(title)

    def new_page(self) -> None:
        """Go on to a new page."""
        self._pdf.add_page()

    def bar(self, left: float, top: float, width: float, height: float) -> None:
        """Fill a rectangle."""
        self._pdf.rect(left, top, width, height, style="F")

    def polygon(self, corners: Sequence[tuple[float, float]]) -> None:
        """Fill a shape with straight sides."""
        self._pdf.polygon(corners, style="F")

    def digit(self, text: str, middle: tuple[float, float], size: float, face: Face) -> None:
        """Write a digit with its middle at a place; `size` is that of the letters."""
        x, y = middle
        self._use(face, size)
        width = self._pdf.get_string_width(text)
        self._pdf.text(x - width / 2, y + size * _CAPITAL / 2, text)

    def line(
        self, text: str, at: tuple[float, float], size: float, *, width: float, face: Face
    ) -> None:
        """Write a text on one line from its foot on the left, cut short where it runs too far."""
        x, y = at
        kept = fitted(text, face, _MEASURED, int(width / size * _MEASURED))
        for number, piece in enumerate(kept.split(MISSING)):
            if number:
                self._box(x + size * 0.1, y, size)
                x += size * 0.6
            self._use(face, size)
            if piece:
                self._pdf.text(x, y, piece)
                x += self._pdf.get_string_width(piece)

    @contextmanager
    def upside_down(self, middle: tuple[float, float]) -> Iterator[None]:
        """Turn what is written within by half around a point."""
        with self._pdf.rotation(180, *middle):
            yield

    def finish(self) -> bytes:
        """Return the PDF."""
        return bytes(self._pdf.output())

    def _use(self, face: Face, size: float) -> None:
        self._pdf.set_font(face.value, size=size * _POINTS)

    def _box(self, left: float, foot: float, size: float) -> None:
        self._pdf.set_line_width(size * 0.05)
        high = size * _CAPITAL
        self._pdf.rect(left, foot - high, size * 0.4, high)


def _start(paper: PaperSize) -> FPDF:
    from fpdf import FPDF

    # It would tell of every letter on a sheet.
    logging.getLogger("fontTools.subset").setLevel(logging.WARNING)
    pdf = FPDF(unit="mm", format=SIZES[paper])
    pdf.set_auto_page_break(False)
    pdf.set_creation_date(_MADE)
    pdf.set_fill_color(0)
    for face in Face:
        pdf.add_font(face.value, fname=str(file_of(face)))
    return pdf
