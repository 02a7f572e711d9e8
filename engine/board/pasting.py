"""Reads a grid as people paste it: from a phone, a mail, a spreadsheet, a text editor.

Forgiving about marks, rulers and line breaks, strict about the number of cells. It returns digits
and never judges them: a member's grid may hold a slip, and finding it is somebody else's task.
Several ways of reading are tried, the most telling first, and the first that gives exactly one
mark for each cell wins.
"""

from __future__ import annotations

import re
import unicodedata
from collections import deque
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from engine.board.layout import CLASSIC, Cell, Layout
from engine.errors import GridCharacterError, GridLengthError

BLANK = "."
BLANKS = frozenset(".0_*?xX#·•∙⋅○□▢◻␣-")
DASHES = dict.fromkeys((0x2010, 0x2011, 0x2012, 0x2013, 0x2014, 0x2212), "-")
DIVIDERS = frozenset("|¦!+=:;,") | frozenset(map(chr, range(0x2500, 0x2580)))
"""Marks between cells or boxes that mean nothing by themselves; box drawing among them."""

FIELD_MARKS = "\t,;|"
_UPRIGHT = "|¦! \t│║┃"
_FENCE = re.compile(r"\s*(?:`{3}|~{3}).*")
_ONLY_DIVIDERS = re.compile(r"[\s+=|\-_:]*")
_SURE_OF_A_RULER = "+="


@dataclass(frozen=True, slots=True)
class Pasted:
    """What was read: a digit for each cell, row by row, 0 where it is blank. Nothing is judged."""

    layout: Layout
    digits: tuple[int, ...]

    @property
    def text(self) -> str:
        """One character a cell, `.` for a blank."""
        return "".join(str(digit) if digit else BLANK for digit in self.digits)

    @property
    def filled(self) -> tuple[tuple[Cell, int], ...]:
        """The (cell, digit) of every cell that holds a digit."""
        return tuple((Cell(cell), digit) for cell, digit in enumerate(self.digits) if digit)


@dataclass(frozen=True, slots=True)
class _Line:
    """A line with its characters made plain, and where each of them stands in the pasted text."""

    text: str
    places: tuple[int, ...]

    def after(self, start: int) -> _Line:
        return _Line(self.text[start:], self.places[start:])


def read_pasted(text: str, layout: Layout = CLASSIC) -> Pasted:
    """Read a pasted grid. Raises GridCharacterError, GridLengthError.

    Accepted:
    - one character a cell, on one line, on one line a row, or broken anywhere;
    - a blank as `.`, `0`, `_`, `*`, `?`, `x`, `#`, a middle dot, a small square, or a dash; `…` as
      three; a space too, where there is one line a row;
    - digits in other dress (full-width, bold, in a circle);
    - rulers and frames: lines of `-`, `+`, `=`, `|`, `_`, box drawing; the same marks, `!`, `:`,
      `,` or `;` between cells; a code fence around it all;
    - cells of a spreadsheet or table: fields between tabs, commas, semicolons or `|`, empty ones
      blank;
    - row labels (`row 1:`, `r1`, `1`, `A`) where every row has the right one and a full row after
      it, and then a line of column labels above or below (`1 2 3 …`, `c1 c2 …`).

    A line of dashes alone is a row of blanks or a ruler, whichever makes the number of cells right.
    A line of digits alone is never a label unless all rows have labels, since a row can read 1 to
    9. The index in GridCharacterError is into the text as given; GridLengthError counts the cells
    of the plainest reading.

    >>> from engine import layout_named, read_pasted
    >>> read_pasted("1 _ _ _\\n_ _ 3 _\\n* 4 * *\\n0 0 0 2", layout_named("4x4")).text
    '1.....3..4.....2'
    """
    lines = [line for line in _plain_lines(text) if not _FENCE.fullmatch(line.text)]
    for read in (_read_labelled, _read_fields):
        digits = read(lines, layout)
        if digits is not None:
            return Pasted(layout, digits)
    for is_ruler in (_only_divides, _is_certain_ruler):
        rows = [line for line in lines if not is_ruler(line.text)]
        found = tuple(value for line in rows for value in _values(line, layout))
        if len(found) == layout.cell_count:
            return Pasted(layout, found)
    spaced = _read_spaced(lines, layout)
    if spaced is not None:
        return Pasted(layout, spaced)
    plainest = [line for line in lines if not _only_divides(line.text)]
    raise GridLengthError(
        sum(1 for line in plainest for _ in _values(line, layout)), layout.cell_count
    )


def _only_divides(text: str) -> bool:
    return bool(_ONLY_DIVIDERS.fullmatch(text))


def _is_certain_ruler(text: str) -> bool:
    return _only_divides(text) and any(mark in text for mark in _SURE_OF_A_RULER)


def _plain_lines(text: str) -> list[_Line]:
    """Split the text, and give every character its plain form (full-width digits, `…`, dashes)."""
    lines: list[_Line] = []
    marks: list[str] = []
    places: list[int] = []
    for index, character in enumerate(text.replace("\r\n", " \n")):
        if character in "\n\r\u2028\u2029":
            lines.append(_Line("".join(marks), tuple(places)))
            marks, places = [], []
            continue
        if character in BLANKS or character in DIVIDERS:
            plain = character
        else:
            plain = unicodedata.normalize("NFKC", character).translate(DASHES)
        marks.extend(plain)
        places.extend([index] * len(plain))
    lines.append(_Line("".join(marks), tuple(places)))
    return lines


def _value_of(mark: str, layout: Layout) -> int | None:
    """Return the digit, 0 for a blank, None for anything else."""
    if mark in BLANKS:
        return 0
    return int(mark) if mark in layout.marks else None


def _values(line: _Line, layout: Layout) -> Iterator[int]:
    """Yield the cells of a line, spaces and dividers left out. Raises GridCharacterError."""
    for mark, place in zip(line.text, line.places, strict=True):
        value = _value_of(mark, layout)
        if value is not None:
            yield value
        elif not mark.isspace() and mark not in DIVIDERS and mark != "\ufeff":
            raise GridCharacterError(mark, place)


def _read_labelled(lines: Sequence[_Line], layout: Layout) -> tuple[int, ...] | None:
    """Read rows that all carry their own label; None where they do not."""
    size = layout.size
    rows = [line for line in lines if not _only_divides(line.text)]
    if len(rows) == size + 1:
        heading = "".join(re.findall(r"[0-9]+", rows[0].text))
        rows = rows[1:] if heading == layout.marks else rows[:-1]
    if len(rows) != size:
        return None
    digits: list[int] = []
    for number, line in enumerate(rows, start=1):
        values = _values_after_label(line, number, layout)
        if values is None:
            return None
        digits += values
    return tuple(digits)


def _values_after_label(line: _Line, number: int, layout: Layout) -> list[int] | None:
    """Return a full row of cells after the label of row `number`; None where that is not there."""
    letter = chr(ord("A") + number - 1)
    bare = rf"\s*(?:row\s*|r)?{number}"
    for pattern in (rf"{bare}\s*[:.)\]]", rf"{bare}|\s*{letter}"):
        label = re.match(pattern, line.text, re.IGNORECASE)
        if label is not None:
            try:
                values = list(_values(line.after(label.end()), layout))
            except GridCharacterError:
                continue
            if len(values) == layout.size:
                return values
    return None


def _read_fields(lines: Sequence[_Line], layout: Layout) -> tuple[int, ...] | None:
    """Read a table of one field a cell; None where the lines are no such table."""
    for mark in FIELD_MARKS:
        rows = [line.text for line in lines if mark in line.text]
        rows = [row for row in rows if not _only_divides(row) or row.isspace()]
        digits: list[int] = []
        for row in rows:
            fields = row.split(mark)
            if len(fields) == layout.size + 2 and not fields[0].strip() and not fields[-1].strip():
                fields = fields[1:-1]  # a frame around the row
            if len(fields) != layout.size:
                break
            values = [_value_of(field.strip() or BLANK, layout) for field in fields]
            digits += [value for value in values if value is not None]
        if len(rows) == layout.size and len(digits) == layout.cell_count:
            return tuple(digits)
    return None


def _read_spaced(lines: Sequence[_Line], layout: Layout) -> tuple[int, ...] | None:
    """Read one line a row in which a space is a blank; None where the lines show no such rows."""
    texts = _without_blank_ends(
        [line.text for line in lines if not _is_ruler(line.text)], layout.size
    )
    if len(texts) > layout.size:
        texts = [text for text in texts if text.strip()]
    if len(texts) != layout.size:
        return None
    for dress in _DRESSES:
        rows = [_spaced_row(text, layout, dress) for text in texts]
        if None not in rows:
            return tuple(value for row in rows if row is not None for value in row)
    return None


def _without_blank_ends(texts: Sequence[str], size: int) -> list[str]:
    """Drop blank lines at both ends while there are more than rows.

    The first or the last row may be blank, too: the shorter of two blank lines is no row, and of
    equal ones the last goes first, since texts often end in a line break, and then by turns.
    """
    kept = deque(texts)
    is_last_next = True
    while len(kept) > size and (not kept[0].strip() or not kept[-1].strip()):
        if kept[0].strip() or kept[-1].strip():
            is_last = not kept[-1].strip()
        else:
            lead = len(kept[0]) - len(kept[-1])
            is_last = lead > 0 or (lead == 0 and is_last_next)
        if is_last:
            kept.pop()
        else:
            kept.popleft()
        is_last_next = not is_last
    return list(kept)


def _is_ruler(text: str) -> bool:
    """Say whether the line only divides. Upright bars alone are a row of blanks."""
    marks = set(text) - set(_UPRIGHT)
    return bool(marks) and marks <= (DIVIDERS | set("-_ ")) and not text.isspace()


@dataclass(frozen=True, slots=True)
class _Dress:
    """How all rows are spaced: what stands between boxes, columns a cell, columns before."""

    divider: re.Pattern[str]
    stride: int
    lead: int


_BAR = r"[|¦!\u2500-\u257f]"
_DRESSES = tuple(
    _Dress(re.compile(divider), stride, lead)
    for divider in (_BAR, rf"(?:^| ){_BAR}(?: |$)")
    for stride, lead in ((1, 0), (2, 0), (2, 1))
)


def _spaced_row(text: str, layout: Layout, dress: _Dress) -> list[int] | None:
    """Read a row by columns; None where it does not wear this dress."""
    boxes = layout.size // layout.box_width if layout.is_regular else 1
    parts = dress.divider.split(text)
    if len(parts) == boxes + 2:
        parts = parts[1:-1]  # a frame around the row
    if len(parts) not in (1, boxes):
        return None
    row: list[int] = []
    for place, part in enumerate(parts, start=1):
        marks = _marks_of(part, layout.size // len(parts), dress, is_last=place == len(parts))
        values = [0 if mark.isspace() else _value_of(mark, layout) for mark in marks]
        if not values or None in values:
            return None
        row += [value for value in values if value is not None]
    return row


def _marks_of(part: str, count: int, dress: _Dress, *, is_last: bool) -> str:
    """Return the marks of the cells in a part of a row; none where it has another width.

    Blanks at the end of a line are often lost; anywhere else every column counts.
    """
    width = dress.lead + dress.stride * (count - 1) + 1
    if not is_last and not width <= len(part) < width + dress.stride:
        return ""
    if part[width:].strip():
        return ""
    columns = part[:width].ljust(width)
    marks = columns[dress.lead :: dress.stride]
    return marks if len("".join(columns.split())) == len("".join(marks.split())) else ""
