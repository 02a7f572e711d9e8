"""Layouts by name, as a command line, a file or a stored position says them.

`layout_named` reads a name and `layout_name` writes it. Irregular boxes are drawn by a map. What a
layout is stands in `engine.board.layout`.
"""

from __future__ import annotations

from math import isqrt

from engine.board.layout import (
    CLASSIC,
    DIAGONAL,
    MIDDLE,
    MOST_DIGITS,
    SMALL,
    House,
    Layout,
    diagonal_layout,
    layout_of,
)
from engine.errors import LayoutError, LayoutProblem

_BY_NAME = {"classic": CLASSIC, "4x4": SMALL, "6x6": MIDDLE, "diagonal": DIAGONAL}
_IRREGULAR, _WITH_DIAGONALS = "irregular:", "diagonal:"


def irregular_layout(box_map: str) -> Layout:
    """Return the one layout whose boxes are drawn by a map: one mark a cell, the same in a box.

    White space does not count. The boxes are numbered by their first cells, whatever the marks.
    A map of regular boxes gives the regular layout. Raises LayoutError where the cells make no
    square of 2 to 9 rows, or the boxes are not as many, or not as large, as a row is long.

    >>> from engine import irregular_layout
    >>> irregular_layout("aaab accb dccb dddb").boxes[2].cells
    (5, 6, 9, 10)
    """
    marks = "".join(box_map.split())
    size = isqrt(len(marks))
    if size * size != len(marks) or not 2 <= size <= MOST_DIGITS:
        raise LayoutError(LayoutProblem.CELLS, box_map, len(marks))
    numbers: dict[str, int] = {}
    box_of = tuple(numbers.setdefault(mark, len(numbers)) for mark in marks)
    if len(numbers) != size:
        raise LayoutError(LayoutProblem.BOXES, box_map, len(numbers), size)
    for mark, number in numbers.items():
        if box_of.count(number) != size:
            raise LayoutError(LayoutProblem.BOX, mark, box_of.count(number), size)
    return layout_of(box_of, False)


def layout_named(name: str) -> Layout:
    """Read `classic`, `4x4`, `6x6`, `diagonal` or `irregular:MAP`; `layout_name` is the inverse.

    `diagonal:` before any other name adds the diagonals to it. Raises LayoutError, also for a map
    in which a box is in pieces: in a picture its pieces would be boxes of their own.

    >>> from engine import layout_named
    >>> layout_named("diagonal").diagonals[0].name
    'diagonal 1'
    """
    text = name.strip()
    plain = text.lower()
    if plain in _BY_NAME:
        return _BY_NAME[plain]
    if plain.startswith(_WITH_DIAGONALS):
        return diagonal_layout(layout_named(text[len(_WITH_DIAGONALS) :]))
    if plain.startswith(_IRREGULAR):
        box_map = "".join(text[len(_IRREGULAR) :].split())
        layout = irregular_layout(box_map)
        for box in layout.boxes:
            if not _is_in_one_piece(layout, box):
                raise LayoutError(LayoutProblem.APART, box_map[box.cells[0]])
        return layout
    raise LayoutError(LayoutProblem.NAME, name)


def layout_name(layout: Layout) -> str:
    """Write the name of a layout: the inverse of `layout_named`.

    >>> from engine import layout_name, parse_grid
    >>> layout_name(parse_grid("1... ..3. .4.. ...2").layout)
    '4x4'
    """
    for name, known in _BY_NAME.items():
        if known is layout:
            return name
    if layout.has_diagonals:
        return _WITH_DIAGONALS + layout_name(layout_of(layout.box_of, False))
    return _IRREGULAR + layout.box_map


def _is_in_one_piece(layout: Layout, house: House) -> bool:
    """Say whether one can walk through all of a house by sides of cells."""
    reached, before = house.mask & -house.mask, 0
    not_last = layout.all_cells & ~layout.columns[-1].mask
    not_first = layout.all_cells & ~layout.columns[0].mask
    while reached != before:
        before = reached
        sideways = (reached & not_last) << 1 | (reached & not_first) >> 1
        reached |= (sideways | reached << layout.size | reached >> layout.size) & house.mask
    return reached == house.mask
