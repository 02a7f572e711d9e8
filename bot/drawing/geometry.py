"""Where everything stands in a picture of a grid, in whole pixels, for a layout of any size.

The board is as wide for a small grid as for a large one; the cells share it. Nothing is drawn
here, and nothing here knows a colour. A `Rect` ends before its right and bottom edge.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

from engine.layout import House, HouseKind, Layout

BOARD = 648
MARGIN = 44
FAR_MARGIN = 28
SIDE = MARGIN + BOARD + FAR_MARGIN
CAPTION_HEIGHT = 44
THIN_LINE = 2
HEAVY_LINE = 6
BAND = 14
BAND_GAP = 8
CELL_INSET = 9  # pixels, not a size of the grid
"""From a cell's edge to its candidates: the room that a double outline takes."""


class Rect(NamedTuple):
    left: int
    top: int
    right: int
    bottom: int

    @property
    def width(self) -> int:
        return self.right - self.left

    @property
    def height(self) -> int:
        return self.bottom - self.top

    @property
    def middle(self) -> tuple[int, int]:
        return (self.left + self.right) // 2, (self.top + self.bottom) // 2

    def inset(self, by: int) -> Rect:
        return Rect(self.left + by, self.top + by, self.right - by, self.bottom - by)


@dataclass(frozen=True, slots=True)
class Board:
    """The places of one layout's cells, lines, numbers and marks."""

    layout: Layout
    cell: int

    @property
    def outside(self) -> Rect:
        """The board, to the middle of its border."""
        return Rect(MARGIN, MARGIN, MARGIN + BOARD, MARGIN + BOARD)

    def cell_rect(self, cell: int) -> Rect:
        """Return a cell, to the middle of the lines around it."""
        left = MARGIN + (self.layout.column_of(cell) - 1) * self.cell
        top = MARGIN + (self.layout.row_of(cell) - 1) * self.cell
        return Rect(left, top, left + self.cell, top + self.cell)

    def inner_rect(self, cell: int) -> Rect:
        """Return what of a cell lies between its lines, so that filling it spares them."""
        layout, whole = self.layout, self.cell_rect(cell)
        row, column = layout.row_of(cell), layout.column_of(cell)
        return Rect(
            whole.left + self._after(column - 1, layout.box_width),
            whole.top + self._after(row - 1, layout.box_height),
            whole.right - self._before(column, layout.box_width),
            whole.bottom - self._before(row, layout.box_height),
        )

    def _after(self, line: int, box: int) -> int:
        return (HEAVY_LINE if line % box == 0 else THIN_LINE) // 2

    def _before(self, line: int, box: int) -> int:
        return self._after(line, box)

    def slot_rect(self, cell: int, digit: int) -> Rect:
        """Return the fixed place of a digit's candidate in a cell: in rows as wide as a box."""
        layout, whole = self.layout, self.cell_rect(cell).inset(CELL_INSET)
        row, column = divmod(digit - 1, layout.box_width)
        size = self.slot
        pitch_x, pitch_y = whole.width // layout.box_width, whole.height // layout.box_height
        left = whole.left + column * pitch_x + (pitch_x - size) // 2
        top = whole.top + row * pitch_y + (pitch_y - size) // 2
        return Rect(left, top, left + size, top + size)

    @property
    def slot(self) -> int:
        """The side of a candidate's square place."""
        most = max(self.layout.box_width, self.layout.box_height)
        return min((self.cell - 2 * CELL_INSET) // most, 34)

    def house_rect(self, house: House) -> Rect:
        """Return the rectangle that a house covers, to the middle of the lines around it."""
        first, last = self.cell_rect(house.cells[0]), self.cell_rect(house.cells[-1])
        return Rect(first.left, first.top, last.right, last.bottom)

    def band_rects(self, house: House) -> tuple[Rect, ...]:
        """Return the two bands beyond the ends of a line; none for a box, which has a frame."""
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
        return ()

    def number_middle(self, house: House) -> tuple[int, int]:
        """Return where the middle of a line's number stands on the near edge."""
        x, y = self.house_rect(house).middle
        edge = (MARGIN - BAND_GAP - BAND) // 2
        return (edge, y) if house.kind is HouseKind.ROW else (x, edge)


@lru_cache(maxsize=8)
def board_of(layout: Layout) -> Board:
    return Board(layout, BOARD // layout.size)
