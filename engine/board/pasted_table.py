"""Reads pasted grids that are tables: one field a cell, empty ones blank.

A spreadsheet, a list of values, a table with bars. What is lost where lines or the whole text were
trimmed is put back where only one reading is left, and never guessed.
"""

from __future__ import annotations

import re
from collections import deque
from collections.abc import Sequence

from engine.board.layout import Layout
from engine.board.pasted_marks import BRACKETS, Line, only_divides, value_of

_LISTED = ",;|"
_TAB = "\t"
_DECIMAL = re.compile(r"([0-9])\.0?")

Row = list[str]


def read_table(lines: Sequence[Line], layout: Layout) -> tuple[int, ...] | None:
    """Read a table of one field a cell; None where the lines are no such table."""
    for mark, find in ((_TAB, _tabbed), *((mark, _listed) for mark in _LISTED)):
        table = _with_width(find([line.text for line in lines], mark, layout.size), layout.size)
        if table is None:
            continue
        values = [_field_value(field, layout) for row in table for field in row]
        digits = tuple(value for value in values if value is not None)
        if len(digits) == layout.cell_count:
            return digits
    return None


def _field_value(field: str, layout: Layout) -> int | None:
    """Return the digit of a field, 0 where it is empty, None where it holds something else."""
    decimal = _DECIMAL.fullmatch(field)
    return value_of(decimal[1] if decimal else field or ".", layout)


def _fields(text: str, mark: str) -> Row:
    return [field.strip().strip(BRACKETS).strip() for field in text.split(mark)]


def _listed(texts: Sequence[str], mark: str, size: int) -> list[Row]:
    """Return the fields of each line that has any. Of bars alone, a line may be a blank row."""
    rows = [text for text in texts if mark in text]
    return [_fields(row, mark) for row in rows if not only_divides(row) or not row.strip(" |")]


def _tabbed(texts: Sequence[str], mark: str, size: int) -> list[Row]:
    """Return the fields of each line, with those that it lost by trimming."""
    if not any(mark in text for text in texts):
        return []
    lines = without_blank_ends(texts, size)
    if len(lines) > size:
        lines = [line for line in lines if line.strip()]
    rows = [_fields(line, mark) for line in lines]
    if len(rows) != size or any(len(row) > size for row in rows):
        return rows
    has_kept_ends = any(len(row) == size and not row[-1] for row in rows)
    if has_kept_ends and any(len(row) < size for row in rows[1:-1]):
        return []
    first = rows[0]
    if len(first) < size and first[0]:  # the start of the text may be lost, or the end of the line
        if not has_kept_ends:
            return []
        first[:0] = [""] * (size - len(first))
    return [row + [""] * (size - len(row)) for row in rows]


_CUTS = (slice(0, None), slice(1, None), slice(0, -1), slice(1, -1))
"""What is left of a row with nothing around it, a mark before it, behind it, or both."""


def _with_width(table: Sequence[Row], size: int) -> list[Row] | None:
    """Return the rows without labels and empty fields outside them; None where they have another
    width, or where it could be the one side or the other."""
    fitting = [
        cut
        for cut in _CUTS
        if all(len(row[cut]) == size for row in table)
        and all(_is_outside(row, cut, number) for number, row in enumerate(table, start=1))
    ]
    if len(table) != size or len(fitting) != 1:
        return None
    return [row[fitting[0]] for row in table]


def _is_outside(row: Row, cut: slice, number: int) -> bool:
    """Say whether a cut takes nothing off a row but its label and an empty field behind it."""
    labels = ("", f"{number}", f"r{number}", f"row {number}", chr(ord("a") + number - 1))
    before, after = row[: cut.start], row[cut.stop :] if cut.stop else []
    return all(field.lower() in labels for field in before) and not any(after)


def without_blank_ends(texts: Sequence[str], size: int) -> list[str]:
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
