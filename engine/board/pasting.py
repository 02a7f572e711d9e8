"""Reads a grid as people paste it: from a phone, a mail, a spreadsheet, a text editor.

Forgiving about marks, rulers and line breaks, strict about the number of cells. It returns digits
and never judges them: a member's grid may hold a slip, and finding it is somebody else's task.
Several ways of reading are tried, the most telling first, and the first that gives exactly one
mark for each cell wins.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass

from engine.board.layout import CLASSIC, Cell, Layout
from engine.board.pasted_marks import DIVIDERS, Line, only_divides, plain_lines, value_of
from engine.board.pasted_table import read_table, without_blank_ends
from engine.errors import GridCharacterError, GridLengthError

BLANK = "."

_UPRIGHT = "|¦! \t│║┃"
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


def read_pasted(text: str, layout: Layout = CLASSIC) -> Pasted:
    """Read a pasted grid. Raises GridCharacterError, GridLengthError.

    Accepted:
    - one character a cell, on one line, on one line a row, or broken anywhere;
    - a blank as `.`, `0`, `_`, `*`, `?`, `x`, `#`, a middle dot, a small square, or a dash; `…` as
      three; a space too, where there is one line a row;
    - digits in other dress (full-width, bold, in a circle, on a keycap, `:five:`);
    - rulers and frames: lines of `-`, `+`, `=`, `|`, `_`, box drawing, as it looks in Latin-1 too;
      the same marks, `!`, `:`, `,`, `;`, `/`, quotes or brackets between cells; a code fence around
      it all, `>` before each line;
    - cells of a spreadsheet or table: fields between tabs, commas, semicolons or `|`, empty ones
      blank; a list of rows or of lists as programs write it, `null`, `None`, `""` blank;
    - row labels (`row 1:`, `r1`, `1`, `A`) where every row has the right one and a full row after
      it, and then a line of column labels above or below (`1 2 3 …`, `c1 c2 …`).

    A line of dashes alone is a row of blanks or a ruler, whichever makes the number of cells right.
    A line of digits alone is never a label unless all rows have labels, since a row can read 1 to
    9. Where it stands one line a row, a row with more or fewer cells than most is refused, though
    another makes up for it. The index in GridCharacterError is into the text as given;
    GridLengthError counts the cells of such a row, else those of the plainest reading.

    >>> from engine import layout_named, read_pasted
    >>> read_pasted("1 _ _ _\\n_ _ 3 _\\n* 4 * *\\n0 0 0 2", layout_named("4x4")).text
    '1.....3..4.....2'
    """
    lines = plain_lines(text)
    labelled = _labelled_rows(lines, layout)
    if labelled and all(len(row) == layout.size for row in labelled):
        return Pasted(layout, tuple(value for row in labelled for value in row))
    fields = read_table(lines, layout)
    if fields is not None:
        return Pasted(layout, fields)
    _refuse_odd_row(labelled, layout)
    for is_ruler in (only_divides, _is_certain_ruler):
        rows = [list(_values(line, layout)) for line in lines if not is_ruler(line.text)]
        found = tuple(value for row in rows for value in row)
        if len(found) == layout.cell_count:
            _refuse_odd_row(rows, layout)
            return Pasted(layout, found)
    spaced = _read_spaced(lines, layout)
    if spaced is not None:
        return Pasted(layout, spaced)
    plainest = [line for line in lines if not only_divides(line.text)]
    rows = [list(_values(line, layout)) for line in plainest]
    _refuse_odd_row(rows, layout)
    raise GridLengthError(sum(map(len, rows)), layout.cell_count)


def holds_grid(text: str) -> bool:
    """Say whether a text is a grid rather than words, be it with too few cells or too many: of a
    row or an answer it has more, and a digit among them.

    >>> from engine import holds_grid
    >>> holds_grid("[[1, 0, 0, 0], [0, 0, 3, 0], [0, 4, 0, 0], [0, 0, 0, 2]]"), holds_grid("ask me")
    (False, False)
    >>> holds_grid("53..7...." * 8)
    True
    """
    try:
        return any(read_pasted(text).digits)
    except GridCharacterError:
        return False
    except GridLengthError as error:
        is_many = error.row > 0 or error.found > 2 * CLASSIC.size
        return is_many and any(map(str.isdigit, text))


def _refuse_odd_row(rows: Sequence[Sequence[int]], layout: Layout) -> None:
    """Raise GridLengthError for a row with more or fewer cells than most, which have a row's."""
    counts = [len(row) for row in rows if row]
    odd = [number for number, count in enumerate(counts, start=1) if count != layout.size]
    if len(counts) == layout.size and 0 < len(odd) < layout.size / 2:
        raise GridLengthError(counts[odd[0] - 1], layout.size, row=odd[0])


def _is_certain_ruler(text: str) -> bool:
    return only_divides(text) and any(mark in text for mark in _SURE_OF_A_RULER)


def _values(line: Line, layout: Layout) -> Iterator[int]:
    """Yield the cells of a line, spaces and dividers left out. Raises GridCharacterError."""
    for mark, place in zip(line.text, line.places, strict=True):
        value = value_of(mark, layout)
        if value is not None:
            yield value
        elif not mark.isspace() and mark not in DIVIDERS:
            raise GridCharacterError(mark, place)


def _labelled_rows(lines: Sequence[Line], layout: Layout) -> list[list[int]]:
    """Return the cells of rows that all carry their own label; none where they do not."""
    size = layout.size
    rows = [line for line in lines if not only_divides(line.text)]
    if len(rows) == size + 1:
        heading = "".join(re.findall(r"[0-9]+", rows[0].text))
        rows = rows[1:] if heading == layout.marks else rows[:-1]
    if len(rows) != size:
        return []
    found = [_values_after_label(line, number, layout) for number, line in enumerate(rows, start=1)]
    return found if all(found) else []


def _values_after_label(line: Line, number: int, layout: Layout) -> list[int]:
    """Return the cells after the label of row `number`, a full row if they can be one; none where
    there is no such label, or something else than cells."""
    letter = chr(ord("A") + number - 1)
    bare = rf"[\s\[({{\"']*(?:row\s*|r)?{number}[\"']?"
    readings: list[list[int]] = []
    for pattern in (rf"{bare}\s*[:.)\]]", rf"{bare}|\s*{letter}"):
        label = re.match(pattern, line.text, re.IGNORECASE)
        if label is not None:
            with suppress(GridCharacterError):
                readings.append(list(_values(line.part(label.end()), layout)))
    full = (values for values in readings if len(values) == layout.size)
    return next(full, readings[0] if readings else [])


def _read_spaced(lines: Sequence[Line], layout: Layout) -> tuple[int, ...] | None:
    """Read one line a row in which a space is a blank; None where the lines show no such rows."""
    texts = without_blank_ends(
        [line.text for line in lines if not _is_ruler(line.text)], layout.size
    )
    if len(texts) > layout.size:
        texts = [text for text in texts if text.strip()]
    if len(texts) != layout.size:
        return None
    texts[0] = _with_start(texts)
    for dress in _DRESSES:
        rows = [_spaced_row(text, layout, dress) for text in texts]
        marks = "".join(filter(None, rows))
        if len(marks) == layout.cell_count:
            # Where no space stands for a blank, a row that is short was not cut short by an editor.
            return tuple(value_of(mark, layout) or 0 for mark in marks) if " " in marks else None
    return None


def _with_start(texts: Sequence[str]) -> str:
    """Return the first row with the blanks that it lost where the text as a whole was trimmed."""
    lengths = {len(text) for text in texts[1:-1]}
    has_kept_ends = len(lengths) == 1 and any(text.endswith(" ") for text in texts[1:-1])
    return texts[0].rjust(max(lengths)) if has_kept_ends else texts[0]


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


_LOST = "."


def _spaced_row(text: str, layout: Layout, dress: _Dress) -> str:
    """Return a row's marks by columns, blanks that were lost as `.`; none where it does not wear
    this dress."""
    boxes = layout.size // layout.box_width if layout.is_regular else 1
    parts = dress.divider.split(text)
    if len(parts) == boxes + 2:
        parts = parts[1:-1]  # a frame around the row
    if len(parts) not in (1, boxes):
        return ""
    row = [
        _marks_of(part, layout.size // len(parts), dress, is_last=place == len(parts))
        for place, part in enumerate(parts, start=1)
    ]
    marks = "".join(row)
    is_of_cells = all(mark == " " or value_of(mark, layout) is not None for mark in marks)
    return marks if is_of_cells and all(row) else ""


def _marks_of(part: str, count: int, dress: _Dress, *, is_last: bool) -> str:
    """Return the marks of the cells in a part of a row; none where it has another width.

    Blanks at the end of a line are often lost; anywhere else every column counts.
    """
    width = dress.lead + dress.stride * (count - 1) + 1
    if not is_last and not width <= len(part) < width + dress.stride:
        return ""
    if part[width:].strip():
        return ""
    columns = re.sub(r"\s", " ", part[:width])
    marks = columns[dress.lead :: dress.stride]
    is_whole = len(columns.replace(" ", "")) == len(marks.replace(" ", ""))
    return marks.ljust(count, _LOST) if is_whole else ""
