"""Sheets to print: grids on pages of paper, one to six on each, and their answers.

The answers stand on pages of their own at the end, or upside down at the foot of the page, so that
nobody reads them by chance. How large a grid is follows from the paper and from how many share it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil
from textwrap import wrap

from bot.club.facts_sheets import MOST_A_PAGE, PrintedGrid, PrintedSheet
from bot.drawing.fonts import ELLIPSIS, Face, lacking
from bot.drawing.paper_grid import Place, draw_answer, draw_puzzle
from bot.drawing.pen import SIZES, Pen
from engine import layout_with

_MARGIN, _GAP = 10.0, 4.0
_TITLE, _HEADING, _NOTE, _SMALL = 5.0, 3.9, 3.2, 2.2
"""Sizes of letters, in millimetres."""

_LEADING = 1.25
"""From the foot of a line to the next one's, for each millimetre of size."""

_ANSWERS_ACROSS, _ANSWERS_DOWN = 3, 4
_LEAST = 2.0
"""Millimetres of the smallest letters."""

_LETTER_WIDTH = 0.55
"""How wide a letter is on average, as a share of its size."""


@dataclass(frozen=True, slots=True)
class Area:
    """A rectangle of a page, in millimetres from its top left."""

    left: float
    top: float
    width: float
    height: float

    def slots(self, across: int, down: int) -> Iterator[Area]:
        """Yield its parts, row by row, with a gap between."""
        width = (self.width - (across - 1) * _GAP) / across
        height = (self.height - (down - 1) * _GAP) / down
        for row in range(down):
            for column in range(across):
                left, top = self.left + column * (width + _GAP), self.top + row * (height + _GAP)
                yield Area(left, top, width, height)


def draw_sheet(sheet: PrintedSheet) -> bytes:
    """Return the PDF of a sheet. Raises ImportError where nothing that writes one is installed."""
    pen = Pen(sheet.paper, sheet.title)
    pages = list(_batches(sheet.grids, sheet.a_page))
    at_end = [each for each in sheet.grids if each.answer or each.found]
    if sheet.answers != "last":
        at_end = []
    answers = list(_batches(at_end, _ANSWERS_ACROSS * _ANSWERS_DOWN))
    count = len(pages) + len(answers)
    for number, grids in enumerate(pages, start=1):
        area = _begin(pen, sheet, sheet.title, f"{number} / {count}")
        if sheet.answers == "below":
            area = _draw_below(pen, area, grids)
        _draw_grids(pen, area, grids, min(sheet.a_page, len(sheet.grids)))
    for number, grids in enumerate(answers, start=len(pages) + 1):
        area = _begin(pen, sheet, sheet.answers_title, f"{number} / {count}")
        for grid, slot in zip(grids, area.slots(_ANSWERS_ACROSS, _ANSWERS_DOWN), strict=False):
            _draw_answer(pen, slot, grid)
    return pen.finish()


def letters_lacking(sheet: PrintedSheet) -> str:
    """Return the letters that a sheet is to show and the shipped ones lack, each once."""
    texts = [sheet.title, *(grid.heading for grid in sheet.grids)]
    texts += [note for grid in sheet.grids for note in grid.notes]
    return lacking("".join(texts))


def _batches(grids: Sequence[PrintedGrid], size: int) -> Iterator[Sequence[PrintedGrid]]:
    for start in range(0, len(grids), size):
        yield grids[start : start + size]


def _begin(pen: Pen, sheet: PrintedSheet, title: str, number: str) -> Area:
    """Begin a page with its title and number; return what is left of it."""
    wide, high = SIZES[sheet.paper]
    width = wide - 2 * _MARGIN
    pen.new_page()
    top = _MARGIN
    if title:
        pen.line(title, (_MARGIN, top + _TITLE), _TITLE, width=width, face=Face.HEAVY)
        top += _TITLE * 1.6
    foot = high - _MARGIN
    pen.line(number, (wide - _MARGIN - 12, foot), _NOTE, width=12, face=Face.MEDIUM)
    return Area(_MARGIN, top, width, foot - 1.5 * _NOTE - top)


def _draw_grids(pen: Pen, area: Area, grids: Sequence[PrintedGrid], shared_by: int) -> None:
    """Draw the grids of a page, all as large as where it is full."""
    caption = _HEADING * _LEADING + max(len(grid.notes) for grid in grids) * _NOTE * _LEADING + 1
    across = max(
        range(1, MOST_A_PAGE + 1), key=lambda across: _side(area, across, shared_by, caption)
    )
    side = _side(area, across, shared_by, caption)
    for grid, slot in zip(grids, area.slots(across, ceil(shared_by / across)), strict=False):
        left = slot.left + (slot.width - side) / 2
        y = slot.top + _HEADING
        pen.line(grid.heading, (left, y), _HEADING, width=side, face=Face.HEAVY)
        for note in grid.notes:
            y += _NOTE * _LEADING
            pen.line(note, (left, y), _NOTE, width=side, face=Face.MEDIUM)
        draw_puzzle(pen, Place(left, slot.top + caption, side), grid)


def _side(area: Area, across: int, count: int, caption: float) -> float:
    slot = next(area.slots(across, ceil(count / across)))
    return min(slot.width, slot.height - caption)


def _draw_answer(pen: Pen, slot: Area, grid: PrintedGrid) -> None:
    heading = _wrapped(grid.heading, slot.width, _NOTE)
    _draw_lines(pen, heading, slot, _NOTE, Face.HEAVY)
    head = _NOTE * (_LEADING * len(heading) + 0.75)
    if grid.answer:
        side = min(slot.width, slot.height - head)
        draw_answer(pen, Place(slot.left, slot.top + head, side), grid)
    else:
        _draw_found(pen, grid, Area(slot.left, slot.top + head, slot.width, slot.height - head))


def _draw_found(pen: Pen, grid: PrintedGrid, area: Area) -> None:
    """Write what is to be found, in letters so small that it fits; what never fits is cut off."""
    for size in (_NOTE, 2.8, 2.4, _LEAST):
        lines, most = _told(grid, area.width, size), int(area.height / (size * _LEADING))
        if len(lines) <= most:
            break
    kept = lines[:most]
    if len(lines) > most:
        kept[-1] += f" {ELLIPSIS}"
    _draw_lines(pen, kept, area, size)


def _draw_below(pen: Pen, area: Area, grids: Sequence[PrintedGrid]) -> Area:
    """Write the answers upside down at the foot of a page; return what is left above them."""
    answered = [grid for grid in grids if grid.answer or grid.found]
    across = max(1, len(answered))
    width = (area.width - (across - 1) * _GAP) / across
    told = [
        (*_wrapped(grid.heading, width, _SMALL), *_told(grid, width, _SMALL)) for grid in answered
    ]
    height = max(map(len, told), default=0) * _SMALL * _LEADING
    foot = Area(area.left, area.top + area.height - height, area.width, height)
    with pen.upside_down((foot.left + foot.width / 2, foot.top + height / 2)):
        for lines, slot in zip(told, foot.slots(across, 1), strict=False):
            _draw_lines(pen, lines, slot, _SMALL)
    return Area(area.left, area.top, area.width, area.height - height - _GAP)


def _told(grid: PrintedGrid, width: float, size: float) -> list[str]:
    """Return an answer as lines of text: the rows of a solution, or what is to be found."""
    if not grid.answer:
        return [part for line in grid.found.splitlines() for part in _wrapped(line, width, size)]
    row = layout_with(len(grid.answer)).size
    return [grid.answer[start : start + row] for start in range(0, len(grid.answer), row)]


def _wrapped(text: str, width: float, size: float) -> list[str]:
    return wrap(text, max(1, int(width / (size * _LETTER_WIDTH))))


def _draw_lines(
    pen: Pen, lines: Sequence[str], area: Area, size: float, face: Face = Face.MEDIUM
) -> None:
    for number, line in enumerate(lines, start=1):
        at = (area.left, area.top + number * size * _LEADING)
        pen.line(line, at, size, width=area.width, face=face)
