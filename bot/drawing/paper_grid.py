"""A grid on paper: the same places and marks as in its picture, in black alone.

Givens are heavy, a digit that somebody placed slanted; a heavy line is where boxes end, wedges mark
diagonals, arrow heads the marked lines. Nothing is told by a colour or a tint, and the open cells
stay empty: there is room in them for small marks.
"""

from __future__ import annotations

from dataclasses import dataclass

from bot.club.facts_sheets import PrintedGrid
from bot.drawing.fonts import Face
from bot.drawing.geometry import SIDE, THIN_LINE, Board, Rect, board_of
from bot.drawing.grid import arrows, candidate_size, digit_size
from bot.drawing.pen import Pen
from bot.drawing.shapes import Corners, arrow_corners, wedge_corners
from engine import Grid

_NUMBER_SIZE = 16


@dataclass(frozen=True, slots=True)
class Place:
    """Where a grid stands on a page, and how large: its side with the margin, in millimetres."""

    left: float
    top: float
    side: float

    @property
    def scale(self) -> float:
        """Millimetres for each pixel of a picture."""
        return self.side / SIDE

    def at(self, x: float, y: float) -> tuple[float, float]:
        """Return where a picture's pixel stands on the page."""
        return self.left + x * self.scale, self.top + y * self.scale

    def bar(self, pen: Pen, rect: Rect) -> None:
        """Fill a rectangle of the picture."""
        pen.bar(*self.at(rect.left, rect.top), rect.width * self.scale, rect.height * self.scale)

    def polygon(self, pen: Pen, rect: Rect, corners: Corners) -> None:
        """Fill a shape that stands in a rectangle of the picture."""
        pen.polygon([self.at(rect.left + x, rect.top + y) for x, y in corners])

    def digit(self, pen: Pen, digit: int, rect: Rect, size: int, face: Face) -> None:
        """Write a digit in the middle of a rectangle of the picture, in letters of so many
        pixels."""
        middle = self.at((rect.left + rect.right) / 2, (rect.top + rect.bottom) / 2)
        pen.digit(str(digit), middle, size * self.scale, face)


def draw_puzzle(pen: Pen, place: Place, printed: PrintedGrid) -> None:
    """Draw a grid as somebody is to solve it."""
    grid = printed.position.as_written()
    layout, board = grid.layout, board_of(grid.layout)
    _draw_board(pen, place, board)
    for house in (*layout.rows, *layout.columns):
        x, y = board.number_middle(house)
        at = Rect(x, y, x, y)
        place.digit(pen, house.number, at, _NUMBER_SIZE, Face.MEDIUM)
    for name in printed.lines:
        for rect, towards in arrows(board, layout.parse_house(name)):
            place.polygon(pen, rect, arrow_corners(rect.width, rect.height, towards))
    _draw_digits(pen, place, board, grid, grid.filled_cells & ~grid.own)
    if printed.with_candidates:
        size = candidate_size(board)
        for cell, digit in layout.pairs(grid.candidates):
            place.digit(pen, digit, board.slot_rect(cell, digit), size, Face.MEDIUM)


def draw_answer(pen: Pen, place: Place, printed: PrintedGrid) -> None:
    """Draw a grid with its solution: what was given stays heavy."""
    grid = printed.position.as_written()
    board = board_of(grid.layout)
    _draw_board(pen, place, board)
    given = grid.filled_cells & ~grid.own
    for cell, mark in zip(grid.layout.cells_in(grid.layout.all_cells), printed.answer, strict=True):
        face = Face.HEAVY if given >> cell & 1 else Face.MEDIUM
        place.digit(pen, int(mark), board.cell_rect(cell), digit_size(board), face)


def _draw_board(pen: Pen, place: Place, board: Board) -> None:
    outside, cells = board.outside, board.layout.size
    for line in range(1, cells):
        at = outside.left + line * board.cell - THIN_LINE // 2
        place.bar(pen, Rect(at, outside.top, at + THIN_LINE, outside.bottom))
        place.bar(pen, Rect(outside.left, at, outside.right, at + THIN_LINE))
    for rect in board.heavy_lines():
        place.bar(pen, rect)
    for house in board.layout.diagonals:
        falls = board.layout.column_of(house.cells[0]) == 1
        for rect, is_left in board.wedges(house):
            place.polygon(pen, rect, wedge_corners(rect.width, is_left, is_left is falls))


def _draw_digits(pen: Pen, place: Place, board: Board, grid: Grid, given: int) -> None:
    size = digit_size(board)
    for cell in grid.layout.cells_in(grid.filled_cells):
        face = Face.HEAVY if given >> cell & 1 else Face.SLANTED
        place.digit(pen, grid.digit_at(cell), board.cell_rect(cell), size, face)
