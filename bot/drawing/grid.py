"""Pictures of a grid: the empty board, its digits and candidates, and the day's marked lines.

The board's lines and numbers are drawn once for each layout and look and then copied. Givens are
heavy and upright, placed digits lighter, slanted and tinted; a marked line has an arrow head at
both of its ends, pointing along it, and the cell of a mistake a dashed frame. A cell to look at
again has a short bar above its digit and one below.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import lru_cache

from bot.club.facts import GridPicture, marked
from bot.drawing.canvas import Canvas
from bot.drawing.fonts import Face, fitted
from bot.drawing.geometry import (
    BAND_GAP,
    CAPTION_HEIGHT,
    MARGIN,
    SIDE,
    THIN_LINE,
    Board,
    Rect,
    board_of,
)
from bot.drawing.shapes import arrow_shape, wedge_shape
from bot.drawing.theme import Look, Paint, Use
from engine import EMPTY_MARKS, Cell, Grid, House, HouseKind, Layout

_CAPTION_SIZE = 24
_ARROW_LENGTH, _ARROW_BREADTH = 12, 24
_MISTAKE_INSET, _MISTAKE_WIDTH = 1, 4
_BAR_WIDTH, _BAR_INSET = 3, 4
_DIGIT_INSET = 3 * _BAR_WIDTH


def given_cells(layout: Layout, givens: str) -> int:
    """Return the cell mask of the cells that a grid's text fills."""
    return layout.mask_of(cell for cell, mark in enumerate(givens) if mark not in EMPTY_MARKS)


@lru_cache(maxsize=12)
def _bare_board(layout: Layout, look: Look, height: int) -> Canvas:
    """Draw the lines and the numbers on the edges. Kept: copy it before drawing on it."""
    board = board_of(layout)
    canvas = Canvas(SIDE, height, look)
    outside = board.outside
    canvas.fill(outside, Paint.CARD)
    for line in range(1, layout.size):
        at, low, high = MARGIN + line * board.cell - THIN_LINE // 2, outside.left, outside.right
        canvas.line(Rect(at, low, at + THIN_LINE, high), Paint.THIN)
        canvas.line(Rect(low, at, high, at + THIN_LINE), Paint.THIN)
    for rect in board.heavy_lines():
        canvas.line(rect, Paint.INK)
    for house in (*layout.rows, *layout.columns):
        x, y = board.number_middle(house)
        canvas.text(str(house.number), x, y, Paint.SOFT, size=20, align="middle")
    return canvas


def start_board(layout: Layout, look: Look, *, height: int = SIDE) -> tuple[Canvas, Board]:
    """Return a new canvas with the empty board on it, and the board's places."""
    return _bare_board(layout, look, height).copy(), board_of(layout)


def draw_diagonals(canvas: Canvas, board: Board) -> None:
    """Mark the diagonals that are houses by wedges in the corners through which they run."""
    for house in board.layout.diagonals:
        falls = board.layout.column_of(house.cells[0]) == 1
        for rect, is_left in board.wedges(house):
            shape = wedge_shape(rect.width, is_left, is_left is falls)
            canvas.shape(shape, rect.left, rect.top, Paint.THIN, Use.GRAPHIC)


def digit_size(board: Board) -> int:
    """Return the height in pixels that digits are written in."""
    return min(board.cell * 5 // 8, 72)


def candidate_size(board: Board) -> int:
    """Return the size of type that candidates are written in where they are not looked at."""
    return board.slot * 90 // 100


def marked_size(board: Board) -> int:
    """Return the size of type of the candidates that a picture is about: as large as fits.

    On a phone, 360 pixels wide, their digits are still 9 pixels tall.
    """
    return board.slot * 135 // 100


def draw_digits(canvas: Canvas, board: Board, grid: Grid, givens: int) -> None:
    """Draw the digits that stand in the grid; `givens` is a cell mask."""
    size = digit_size(board)
    for cell in grid.layout.cells_in(grid.filled_cells):
        rect = board.cell_rect(cell).inset(_DIGIT_INSET)
        digit = grid.digit_at(cell)
        if givens >> cell & 1:
            canvas.digit(digit, rect, Paint.INK, face=Face.HEAVY, size=size)
        else:
            canvas.digit(digit, rect, Paint.PLACED, face=Face.SLANTED, size=size)


def draw_candidates(canvas: Canvas, board: Board, grid: Grid, candidates: int) -> None:
    """Draw the candidates of a candidate mask, each at its fixed place."""
    size = candidate_size(board)
    for cell, digit in grid.layout.pairs(candidates):
        canvas.digit(
            digit, board.slot_rect(cell, digit), Paint.CANDIDATE, face=Face.MEDIUM, size=size
        )


def draw_placement(canvas: Canvas, board: Board, cell: Cell, digit: int) -> None:
    """Draw a digit that a step settles, in a box."""
    rect = board.cell_rect(cell).inset(5)
    canvas.box(rect, Paint.SETTLED, Paint.BOX, 5)
    canvas.digit(digit, rect.inset(7), Paint.PLACED, face=Face.SLANTED, size=digit_size(board))


def draw_grid_picture(picture: GridPicture, look: Look) -> Canvas:
    """Draw a puzzle or a member's board."""
    grid = picture.position.as_written()
    layout = grid.layout
    canvas, board = start_board(
        layout, look, height=SIDE + (CAPTION_HEIGHT if picture.caption else 0)
    )
    _draw_marked_lines(
        canvas, board, [layout.parse_house(name) for name in dict.fromkeys(picture.lines)]
    )
    houses = [layout.parse_house(name) for name in picture.houses]
    cells = [layout.parse_cell(name) for name in picture.cells]
    draw_grounds(canvas, board, houses, cells)
    draw_diagonals(canvas, board)
    draw_bands(canvas, board, houses, Paint.BAND)
    for cell in cells:
        canvas.outline(board.cell_rect(cell), is_double=True)
    for name in picture.mistakes:
        rect = board.cell_rect(layout.parse_cell(name)).inset(_MISTAKE_INSET)
        canvas.dashed_frame(rect, Paint.SLASH, _MISTAKE_WIDTH)
    for name in picture.doubtful:
        _draw_bars(canvas, board.cell_rect(layout.parse_cell(name)))
    draw_digits(canvas, board, grid, given_cells(layout, picture.givens))
    if picture.with_candidates:
        draw_candidates(canvas, board, grid, marked(grid, picture.marks))
    for name, digit in picture.places:
        draw_placement(canvas, board, layout.parse_cell(name), digit)
    if picture.caption:
        words = fitted(picture.caption, Face.MEDIUM, _CAPTION_SIZE, SIDE - 2 * MARGIN)
        y = SIDE + CAPTION_HEIGHT // 2 - 8
        canvas.text(words, MARGIN, y, Paint.INK, size=_CAPTION_SIZE)
    return canvas


def draw_grounds(
    canvas: Canvas, board: Board, houses: Iterable[House], cells: Iterable[Cell]
) -> None:
    """Tint the houses and cells that a picture is about."""
    for house in houses:
        for cell in house.cells:
            canvas.fill(board.inner_rect(cell), Paint.HOUSE)
    for cell in cells:
        canvas.fill(board.inner_rect(cell), Paint.PATTERN)


def draw_bands(canvas: Canvas, board: Board, houses: Iterable[House], filling: Paint) -> None:
    """Mark houses by a band, at both ends of a line or around a box."""
    for house in houses:
        for rect in board.band_rects(house):
            canvas.band(rect, filling)
        if not house.is_line:
            # As wide as may be without touching a candidate on either side.
            edge, core = board.edge_rects(house, 4, 4), board.edge_rects(house, 2, 2)
            canvas.band_around(edge, core, filling, board.cell_rect(house.cells[0]).middle)


def _draw_bars(canvas: Canvas, cell: Rect) -> None:
    """Mark a cell as one to look at again, without a word on what stands in it."""
    left, right = cell.left + cell.width // 3, cell.right - cell.width // 3
    for top in (cell.top + _BAR_INSET, cell.bottom - _BAR_INSET - _BAR_WIDTH):
        canvas.line(Rect(left, top, right, top + _BAR_WIDTH), Paint.INK)


def _draw_marked_lines(canvas: Canvas, board: Board, houses: Iterable[House]) -> None:
    """Mark lines by arrow heads at both ends, which point inwards, and by a wash."""
    for house in houses:
        for cell in house.cells:
            canvas.fill(board.inner_rect(cell), Paint.MARKED)
        for rect, towards in arrows(board, house):
            shape = arrow_shape(rect.width, rect.height, towards)
            canvas.shape(shape, rect.left, rect.top, Paint.INK, Use.GRAPHIC)


def arrows(board: Board, house: House) -> Iterator[tuple[Rect, str]]:
    """Yield where the arrow heads beyond both ends of a marked line stand, and whither each points:
    inwards."""
    outside, (x, y) = board.outside, board.house_rect(house).middle
    away, half = BAND_GAP, _ARROW_BREADTH // 2
    length = _ARROW_LENGTH
    if house.kind is HouseKind.ROW:
        for left, towards in (
            (outside.left - away - length, "right"),
            (outside.right + away, "left"),
        ):
            yield Rect(left, y - half, left + length, y + half), towards
    else:
        for top, towards in ((outside.top - away - length, "down"), (outside.bottom + away, "up")):
            yield Rect(x - half, top, x + half, top + length), towards
