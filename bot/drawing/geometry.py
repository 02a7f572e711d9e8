"""Where everything stands in a picture of a grid, in whole pixels, for a layout of any size.

The board is as wide for a small grid as for a large one; the cells share it. Nothing is drawn
here, and nothing here knows a colour. A `Rect` ends before its right and bottom edge.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

from engine import Cell, House, HouseKind, Layout

BOARD = 666
MARGIN = 34
FAR_MARGIN = 20
SIDE = MARGIN + BOARD + FAR_MARGIN
CAPTION_HEIGHT = 44
THIN_LINE = 2
HEAVY_LINE = 6
BAND = 10
BAND_GAP = 4
WEDGE = 12
CELL_INSET = 5  # pixels, not a size of the grid
"""From a cell's edge to its candidates: the room that a double outline takes."""

_SLOT_GAP = 2
"""Between the places of candidates, so that plates side by side do not touch."""


class Rect(NamedTuple):
    """A rectangle by its edges, in pixels from the top left."""

    left: int
    top: int
    right: int
    bottom: int

    @property
    def width(self) -> int:
        """Pixels across."""
        return self.right - self.left

    @property
    def height(self) -> int:
        """Pixels down."""
        return self.bottom - self.top

    @property
    def middle(self) -> tuple[int, int]:
        """The middle pixel as (x, y), a half pixel rounded down."""
        return (self.left + self.right) // 2, (self.top + self.bottom) // 2

    def inset(self, by: int) -> Rect:
        """Return the rectangle that is smaller by so many pixels on every side."""
        return Rect(self.left + by, self.top + by, self.right - by, self.bottom - by)


@dataclass(frozen=True, slots=True)
class Board:
    """The places of one layout's cells, lines, numbers and marks."""

    layout: Layout
    cell: int

    @property
    def outside(self) -> Rect:
        """The board, to the middle of its border."""
        end = MARGIN + self.layout.size * self.cell
        return Rect(MARGIN, MARGIN, end, end)

    def cell_rect(self, cell: int) -> Rect:
        """Return a cell, to the middle of the lines around it."""
        left = MARGIN + (self.layout.column_of(cell) - 1) * self.cell
        top = MARGIN + (self.layout.row_of(cell) - 1) * self.cell
        return Rect(left, top, left + self.cell, top + self.cell)

    def inner_rect(self, cell: int) -> Rect:
        """Return what of a cell lies between its lines, so that filling it spares them."""
        whole = self.cell_rect(cell)
        return Rect(
            whole.left + self._half_line(cell, 0, -1),
            whole.top + self._half_line(cell, -1, 0),
            whole.right - self._half_line(cell, 0, 1),
            whole.bottom - self._half_line(cell, 1, 0),
        )

    def _half_line(self, cell: int, down: int, across: int) -> int:
        return (HEAVY_LINE if self.is_edge(cell, down, across) else THIN_LINE) // 2

    def is_edge(self, cell: int, down: int, across: int) -> bool:
        """Say whether a box ends on the side of a cell that is so many rows and columns on."""
        other = self._beside(cell, down, across)
        return other is None or self.layout.is_apart(cell, other)

    def _beside(self, cell: int, down: int, across: int) -> Cell | None:
        """Return the cell so many rows and columns on, None beyond the border."""
        layout = self.layout
        row, column = layout.row_of(cell) - 1 + down, layout.column_of(cell) - 1 + across
        if 0 <= row < layout.size and 0 <= column < layout.size:
            return Cell(row * layout.size + column)
        return None

    def heavy_lines(self) -> Iterator[Rect]:
        """Yield the heavy line along each stretch at which boxes end, cell by cell."""
        half = HEAVY_LINE // 2
        for cell in range(self.layout.cell_count):
            whole = self.cell_rect(cell)
            left, right = whole.left - half, whole.right + half
            top, bottom = whole.top - half, whole.bottom + half
            if self.is_edge(cell, -1, 0):
                yield Rect(left, top, right, whole.top + half)
            if self.is_edge(cell, 0, -1):
                yield Rect(left, top, whole.left + half, bottom)
            if self.is_edge(cell, 1, 0):
                yield Rect(left, whole.bottom - half, right, bottom)
            if self.is_edge(cell, 0, 1):
                yield Rect(whole.right - half, top, right, bottom)

    def edge_rects(self, house: House, inside: int, outside: int) -> Iterator[Rect]:
        """Yield a strip along the edge of a house of any shape, so wide on either side of it."""
        for cell in house.cells:
            whole = self.cell_rect(cell)
            for down, across in ((-1, 0), (1, 0), (0, -1), (0, 1)):
                if self._holds(house, cell, down, across):
                    continue
                ends = [
                    self._reach(house, cell, (down, across), towards, inside, outside)
                    for towards in (-1, 1)
                ]
                near, far = (outside, inside) if down + across < 0 else (inside, outside)
                if down:
                    y = whole.top if down < 0 else whole.bottom
                    yield Rect(whole.left - ends[0], y - near, whole.right + ends[1], y + far)
                else:
                    x = whole.left if across < 0 else whole.right
                    yield Rect(x - near, whole.top - ends[0], x + far, whole.bottom + ends[1])

    def _holds(self, house: House, cell: int, down: int, across: int) -> bool:
        other = self._beside(cell, down, across)
        return other is not None and bool(house.mask >> other & 1)

    def _reach(
        self,
        house: House,
        cell: int,
        side: tuple[int, int],
        towards: int,
        inside: int,
        outside: int,
    ) -> int:
        """Return how far a strip goes beyond the end of its cell: round a corner or straight on."""
        down, across = side
        along = (0, towards) if down else (towards, 0)
        if not self._holds(house, cell, *along):
            return outside
        return inside if self._holds(house, cell, down + along[0], across + along[1]) else 0

    def slot_rect(self, cell: int, digit: int) -> Rect:
        """Return the fixed place of a digit's candidate in a cell: in rows as wide as a box."""
        layout, whole = self.layout, self.cell_rect(cell).inset(CELL_INSET)
        row, column = divmod(digit - 1, layout.box_width)
        size = self.slot
        pitch_x = (whole.width + _SLOT_GAP) // layout.box_width
        pitch_y = (whole.height + _SLOT_GAP) // layout.box_height
        left = whole.left + column * pitch_x + (pitch_x - _SLOT_GAP - size) // 2
        top = whole.top + row * pitch_y + (pitch_y - _SLOT_GAP - size) // 2
        return Rect(left, top, left + size, top + size)

    @property
    def slot(self) -> int:
        """The side of a candidate's square place."""
        most = max(self.layout.box_width, self.layout.box_height)
        room = self.cell - 2 * CELL_INSET - (most - 1) * _SLOT_GAP
        return min(room // most, 34)

    def wedges(self, house: House) -> Iterator[tuple[Rect, bool]]:
        """Yield the squares of the wedges that mark a diagonal, two in each of its cells.

        With each whether the wedge has its corner on the left. They are so small that no
        candidate's place touches one.
        """
        falls = self.layout.column_of(house.cells[0]) == 1
        for cell in house.cells:
            inner, whole = self.inner_rect(cell), self.cell_rect(cell)
            for is_left in (True, False):
                is_top = is_left is falls
                aside = inner.left - whole.left if is_left else whole.right - inner.right
                away = inner.top - whole.top if is_top else whole.bottom - inner.bottom
                side = WEDGE - aside - away
                left = inner.left if is_left else inner.right - side
                top = inner.top if is_top else inner.bottom - side
                yield Rect(left, top, left + side, top + side), is_left

    def house_rect(self, house: House) -> Rect:
        """Return the rectangle that a house covers, to the middle of the lines around it."""
        first, last = self.cell_rect(house.cells[0]), self.cell_rect(house.cells[-1])
        return Rect(first.left, first.top, last.right, last.bottom)

    def band_rects(self, house: House) -> tuple[Rect, ...]:
        """Return the two bands beyond the ends of a line; none for a box, which has a frame.

        Those of a diagonal are squares beyond the corners that it runs into.
        """
        whole, outside = self.house_rect(house), self.outside
        near, far = BAND_GAP + BAND, BAND_GAP
        if house.kind is HouseKind.ROW:
            top, bottom = whole.top + 3, whole.bottom - 3
            return (
                Rect(outside.left - near, top, outside.left - far, bottom),
                Rect(outside.right + far, top, outside.right + near, bottom),
            )
        if house.kind is HouseKind.COLUMN:
            left, right = whole.left + 3, whole.right - 3
            return (
                Rect(left, outside.top - near, right, outside.top - far),
                Rect(left, outside.bottom + far, right, outside.bottom + near),
            )
        if house.kind is HouseKind.DIAGONAL:
            above, below = outside.top - near, outside.bottom + far
            before, beyond = outside.left - near, outside.right + far
            starts = ((before, above), (beyond, below))
            if self.layout.column_of(house.cells[0]) > 1:
                starts = ((beyond, above), (before, below))
            return tuple(Rect(x, y, x + BAND, y + BAND) for x, y in starts)
        return ()

    def number_middle(self, house: House) -> tuple[int, int]:
        """Return where the middle of a line's number stands on the near edge."""
        x, y = self.house_rect(house).middle
        edge = (MARGIN - BAND_GAP - BAND) // 2
        return (edge, y) if house.kind is HouseKind.ROW else (x, edge)


@lru_cache(maxsize=8)
def board_of(layout: Layout) -> Board:
    """Return where everything of a grid stands; all layouts fill the same square."""
    return Board(layout, BOARD // layout.size)
