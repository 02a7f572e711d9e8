"""Pictures of a hint: as much of a step as its rung allows, and never more.

Meaning is carried by shape. The house to look at has a band (at both ends of a line, all around a
box), a pattern cell a double outline, a pattern candidate a plate, an eliminated candidate a
slash, a placement a box in place of the outline, a digit that explains a single a ring. `where`
shows the house alone and no candidates, since a bare candidate would answer more than was asked;
`which` adds the pattern; only `why` looks at what follows.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from bot.club.facts import HintPicture, StepFacts, mask_of_pairs, parse_constraint
from bot.drawing.canvas import Canvas
from bot.drawing.fonts import Face
from bot.drawing.geometry import Board
from bot.drawing.grid import (
    candidate_size,
    digit_size,
    draw_candidates,
    draw_diagonals,
    draw_digits,
    given_cells,
    read_position,
    start_board,
)
from bot.drawing.shapes import ring_shape
from bot.drawing.theme import Look, Paint, Use
from engine.grid import Grid
from engine.layout import Cell, House
from engine.witnesses import find_witnesses

_OUTLINE_INSETS = (3, 7)
_SINGLES_LEVEL = 1
"""At this level only the pattern's own candidates are shown: the digits are the reason."""


@dataclass(frozen=True, slots=True)
class _Shown:
    """What one rung may show of a step. What a rung hides is not in here at all."""

    houses: tuple[House, ...] = ()
    covers: tuple[House, ...] = ()
    cells: tuple[Cell, ...] = ()
    pattern: int = 0
    others: int = 0
    removes: int = 0
    places: tuple[tuple[Cell, int], ...] = ()
    witnesses: tuple[Cell, ...] = ()


def draw_hint_picture(picture: HintPicture, look: Look) -> Canvas:
    """Draw a position with what the rung shows. Raises ValueError for a rung without a picture."""
    grid = read_position(picture.position)
    layout = grid.layout
    shown = _shown_by(picture.rung, picture.step, grid)
    canvas, board = start_board(layout, look)
    _draw_grounds(canvas, board, shown)
    draw_diagonals(canvas, board)
    _draw_bands(canvas, board, shown.covers, Paint.PAPER)
    _draw_bands(canvas, board, shown.houses, Paint.BAND)
    for cell in shown.cells:
        for inset in _OUTLINE_INSETS:
            canvas.frame(board.cell_rect(cell).inset(inset), Paint.OUTLINE, 2)
    draw_digits(canvas, board, grid, given_cells(layout, picture.givens))
    for cell in shown.witnesses:
        _draw_ring(canvas, board, cell)
    draw_candidates(canvas, board, grid, shown.others)
    size = candidate_size(board)
    for cell, digit in layout.pairs(shown.removes):
        canvas.struck_digit(digit, board.slot_rect(cell, digit), size=size)
    for cell, digit in layout.pairs(shown.pattern):
        canvas.plated_digit(digit, board.slot_rect(cell, digit), size=size)
    for cell, digit in shown.places:
        _draw_placement(canvas, board, cell, digit)
    return canvas


def _draw_grounds(canvas: Canvas, board: Board, shown: _Shown) -> None:
    for house in shown.houses:
        for cell in house.cells:
            canvas.fill(board.inner_rect(cell), Paint.HOUSE)
    for cell in shown.cells:
        canvas.fill(board.inner_rect(cell), Paint.PATTERN)


def _shown_by(rung: str, step: StepFacts, grid: Grid) -> _Shown:
    layout = grid.layout
    houses = tuple(layout.parse_house(name) for name in dict.fromkeys(step.houses))
    if rung == "where":
        return _Shown(houses=houses[:1])
    if rung not in ("which", "why"):
        raise ValueError(f"the rung {rung!r} has no picture")
    cells = tuple(layout.parse_cell(name) for name in step.cells)
    pattern = mask_of_pairs(layout, step.pattern) & grid.candidates
    others = grid.candidates & ~pattern
    if step.level == _SINGLES_LEVEL:
        within = 0
        for cell in cells:
            within |= layout.cell_bits[cell]
        others &= within
    if rung == "which":
        return _Shown(houses=houses, cells=cells, pattern=pattern, others=others)
    removes = mask_of_pairs(layout, step.removes) & grid.candidates
    open_cells, settled = grid.open_cells, 0
    covers = [name for name in dict.fromkeys(step.covers) if name not in step.houses]
    places = {layout.parse_cell(name): digit for name, digit in step.places}
    for cell in places:
        settled |= layout.cell_bits[cell]
    return _Shown(
        houses=houses,
        covers=tuple(layout.parse_house(name) for name in covers),
        cells=tuple(cell for cell in cells if cell not in places),
        pattern=pattern & ~settled & ~removes,
        others=others & ~settled & ~removes,
        removes=removes & ~settled,
        places=tuple((cell, digit) for cell, digit in places.items() if open_cells >> cell & 1),
        witnesses=_find_witnesses(grid, step, cells) if step.level == _SINGLES_LEVEL else (),
    )


def _find_witnesses(grid: Grid, step: StepFacts, cells: tuple[Cell, ...]) -> tuple[Cell, ...]:
    """Return the filled cells whose digits explain a single: the same that the words name."""
    constraints = [parse_constraint(grid.layout, text) for text in step.constraints]
    return tuple(cell for cell in find_witnesses(grid, constraints) if cell not in cells)


def _draw_bands(canvas: Canvas, board: Board, houses: Iterable[House], filling: Paint) -> None:
    for house in houses:
        for rect in board.band_rects(house):
            canvas.band(rect, filling)
        if not house.is_line:
            # The frame lies mostly outside its box, so that it leaves the box's own cells alone.
            edge, core = board.edge_rects(house, 3, 7), board.edge_rects(house, 1, 5)
            canvas.band_around(edge, core, filling, board.cell_rect(house.cells[0]).middle)


def _draw_ring(canvas: Canvas, board: Board, cell: Cell) -> None:
    side = board.cell - 16
    x, y = board.cell_rect(cell).middle
    shape = ring_shape(side, 3)
    canvas.shape(shape, x - side // 2, y - side // 2, Paint.OUTLINE, Use.GRAPHIC)


def _draw_placement(canvas: Canvas, board: Board, cell: Cell, digit: int) -> None:
    rect = board.cell_rect(cell).inset(5)
    canvas.box(rect, Paint.SETTLED, Paint.BOX, 5)
    canvas.digit(digit, rect.inset(7), Paint.PLACED, face=Face.SLANTED, size=digit_size(board))
