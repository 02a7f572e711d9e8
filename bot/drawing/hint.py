"""Pictures of a hint: as much of a step as its rung allows, and never more.

Meaning is carried by shape. The house to look at has a band (at both ends of a line, all around a
box), a pattern cell a double outline, a pattern candidate a plate, an eliminated candidate a slash,
a placement a box in place of the outline, a digit that explains a single a ring. Where a pattern
has two kinds of candidate, those of the second have a ring in place of the plate; one that is tried
stands in a square. The two ends of a chain have one heavy outline in place of the double. `where`
shows the house alone and no candidates, since a bare candidate would answer more than was asked;
`shown` says what the other rungs show.
"""

from __future__ import annotations

from bot.club.facts import HintPicture, marked
from bot.drawing.canvas import Canvas
from bot.drawing.fonts import Face
from bot.drawing.geometry import Board
from bot.drawing.grid import (
    draw_bands,
    draw_candidates,
    draw_diagonals,
    draw_digits,
    draw_grounds,
    draw_placement,
    given_cells,
    marked_size,
    start_board,
)
from bot.drawing.links import draw_links
from bot.drawing.shapes import ring_shape, square_shape
from bot.drawing.shown import shown_by
from bot.drawing.theme import Look, Paint, Use
from engine import Cell


def draw_hint_picture(picture: HintPicture, look: Look) -> Canvas:
    """Draw a position with what the rung shows. Raises ValueError for a rung without a picture."""
    grid = picture.position.as_written()
    layout = grid.layout
    shown = shown_by(picture.rung, picture.step, grid)
    canvas, board = start_board(layout, look)
    draw_grounds(canvas, board, shown.houses, shown.cells)
    draw_diagonals(canvas, board)
    draw_bands(canvas, board, shown.covers, Paint.PAPER)
    draw_bands(canvas, board, shown.houses, Paint.BAND)
    for cell in shown.cells:
        canvas.outline(board.cell_rect(cell), is_double=cell not in shown.ends)
    draw_digits(canvas, board, grid, given_cells(layout, picture.givens))
    for cell in shown.witnesses:
        _draw_ring(canvas, board, cell)
    others = shown.others & ~shown.rings & ~shown.squares
    draw_candidates(canvas, board, grid, others & marked(grid, picture.marks))
    size = marked_size(board)
    for cell, digit in layout.pairs(shown.removes & ~shown.squares):
        canvas.struck_digit(digit, board.slot_rect(cell, digit), size=size)
    for cell, digit in layout.pairs(shown.pattern & ~shown.rings & ~shown.squares):
        canvas.plated_digit(digit, board.slot_rect(cell, digit), size=size)
    for cell, digit in layout.pairs(shown.rings & ~shown.squares):
        ring = ring_shape(board.slot + 6, 2)
        rect = board.slot_rect(cell, digit)
        ground = canvas.paint_at(*rect.middle)
        canvas.digit(digit, rect, Paint.INK, face=Face.HEAVY, size=size)
        canvas.mark(rect, ring, ground)
    for place in layout.pairs(shown.squares):
        is_struck = bool(shown.removes & layout.bit(*place))
        _draw_assumed(canvas, board, place, is_struck=is_struck)
    for cell, digit in shown.places:
        draw_placement(canvas, board, cell, digit)
    draw_links(canvas, board, shown)
    return canvas


def _draw_assumed(
    canvas: Canvas, board: Board, place: tuple[Cell, int], *, is_struck: bool
) -> None:
    """Draw a candidate that is tried, in a square; struck once it has led to a contradiction."""
    cell, digit = place
    rect, size = board.slot_rect(cell, digit), marked_size(board)
    ground = canvas.paint_at(*rect.middle)
    if is_struck:
        canvas.struck_digit(digit, rect, size=size)
    else:
        canvas.digit(digit, rect, Paint.INK, face=Face.HEAVY, size=size)
    canvas.mark(rect, square_shape(board.slot + 4, 2), ground)


def _draw_ring(canvas: Canvas, board: Board, cell: Cell) -> None:
    side = board.cell - 16
    x, y = board.cell_rect(cell).middle
    shape = ring_shape(side, 3)
    canvas.shape(shape, x - side // 2, y - side // 2, Paint.OUTLINE, Use.GRAPHIC)
