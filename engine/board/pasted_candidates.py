"""Reads a pasted position with its candidates: for each cell a digit, or all that it can still be.

As programs and people write it: one word a cell, row by row, with rulers and frames or without.
A word of one digit is a cell that is filled. What else is no such table, and is not guessed at.
"""

from __future__ import annotations

import re

from engine.board.grid import Grid, position_of
from engine.board.layout import CLASSIC, Layout
from engine.board.pasted_marks import DIVIDERS, plain_lines

_BETWEEN = re.escape("".join(sorted(DIVIDERS)) + ".*-_")
_TABLE = re.compile(rf"[\s{_BETWEEN}1-9]*")
_WORD = re.compile(r"[1-9]+")


def read_pasted_candidates(text: str, layout: Layout = CLASSIC) -> Grid | None:
    """Read a table of candidates; None where the text is none. Raises RepeatedDigitError.

    It is one where there is a word of digits for each cell, none has a digit twice, and one has
    several. Candidates that a filled cell strikes are struck, whatever the table says.

    >>> from engine import layout_named, read_pasted_candidates
    >>> table = "1 2 34 34\\n34 34 1 2\\n2 134 34 1\\n34 1 2 34"
    >>> grid = read_pasted_candidates(table, layout_named("4x4"))
    >>> grid.candidates_at(grid.layout.parse_cell("r1c3")), grid.digit_at(0)
    ((3, 4), 1)
    """
    plain = "\n".join(line.text for line in plain_lines(text))
    if not _TABLE.fullmatch(plain):
        return None
    words = _WORD.findall(plain)
    if len(words) != layout.cell_count or all(len(word) == 1 for word in words):
        return None
    if any(len(set(word)) < len(word) or not set(word) <= set(layout.marks) for word in words):
        return None
    struck = [
        (layout.format_cell(cell), digit)
        for cell, word in zip(layout.cells_in(layout.all_cells), words, strict=True)
        for digit in layout.digits
        if len(word) > 1 and str(digit) not in word
    ]
    return position_of(
        "".join(word if len(word) == 1 else "." for word in words), struck, layout=layout
    )
