"""Pictures of diagonal grids and irregular boxes: what the lines and wedges tell is read off."""

from __future__ import annotations

import pytest

from bot.club.facts import GridPicture, HintPicture, Position, facts_of_step
from bot.drawing import draw_canvas
from bot.drawing.canvas import Canvas
from bot.drawing.geometry import Board, board_of
from bot.drawing.theme import LISTED, Look, Paint
from engine.board.grid import Grid, format_grid, grid_with
from engine.board.layout import CLASSIC, DIAGONAL, MIDDLE, HouseKind, Layout, diagonal_layout
from engine.board.layout_names import irregular_layout
from engine.solving.paths import find_all_steps
from engine.techniques import technique_with

LOOPS = irregular_layout(
    "111122222 314444225 311144225 331664445 336666775 388669755 388699775 389999975 888897775"
)
FIVES = irregular_layout("aaabb acabb ccdbe ccdee ddd ee".replace(" ", ""))
LAYOUTS = [CLASSIC, MIDDLE, DIAGONAL, diagonal_layout(MIDDLE), LOOPS, FIVES, diagonal_layout(LOOPS)]


def drawn(layout: Layout, look: Look = "light") -> tuple[Canvas, Board]:
    """Draw an empty grid of the layout with all candidates."""
    text = "." * layout.cell_count
    picture = GridPicture(text, Position.of(Grid.empty(layout)), with_candidates=True)
    return draw_canvas(picture, look), board_of(layout)


@pytest.mark.parametrize("layout", LAYOUTS, ids=repr)
def test_a_line_is_heavy_just_where_boxes_end(layout: Layout) -> None:
    canvas, board = drawn(layout)
    for cell in range(layout.cell_count):
        whole = board.cell_rect(cell)
        x, y = whole.middle
        sides = {
            cell + 1: (whole.right, y) if layout.column_of(cell) < layout.size else None,
            cell + layout.size: (x, whole.bottom) if layout.row_of(cell) < layout.size else None,
        }
        for other, point in sides.items():
            if point is not None:
                heavy = canvas.paint_at(point[0] - 2, point[1] - 2) is Paint.INK
                assert heavy == layout.is_apart(cell, other), layout.format_cell(cell)
        if layout.column_of(cell) == 1:
            assert canvas.paint_at(whole.left - 2, y) is Paint.INK


@pytest.mark.parametrize("layout", LAYOUTS, ids=repr)
@pytest.mark.parametrize("look", ["light", "dark"])
def test_wedges_lie_in_the_corners_of_diagonal_cells_alone(layout: Layout, look: Look) -> None:
    canvas, board = drawn(layout, look)
    corners = {(-1, -1): "first", (1, 1): "first", (1, -1): "second", (-1, 1): "second"}
    for cell in range(layout.cell_count):
        inner = board.inner_rect(cell)
        for (across, down), diagonal in corners.items():
            x = inner.left + 1 if across < 0 else inner.right - 2
            y = inner.top + 1 if down < 0 else inner.bottom - 2
            place = 0 if diagonal == "first" else 1
            lies_on = layout.has_diagonals and layout.diagonals[place].mask >> cell & 1
            assert (canvas.paint_at(x, y) is Paint.THIN) == bool(lies_on)


def test_the_position_in_a_picture_knows_its_layout() -> None:
    for layout in LAYOUTS:
        grid = Grid.empty(layout).eliminate(layout.bit(0, 1))
        assert Position.of(grid).to_grid() == grid


@pytest.mark.parametrize("layout", [DIAGONAL, LOOPS, diagonal_layout(LOOPS)], ids=repr)
def test_a_hint_of_any_house_is_drawn_in_listed_pairs_on_every_rung(layout: Layout) -> None:
    kinds = set()
    for house in (*layout.boxes[:2], layout.rows[0], *layout.diagonals):
        # The house lacks one digit, whose place is its last open cell.
        *filled, _ = house.cells
        grid = grid_with(zip(filled, layout.digits, strict=False), layout=layout)
        steps = (s for s in technique_with("last-digit").find(grid) if house.index in s.houses)
        step = facts_of_step(layout, next(steps))
        kinds.add(house.kind)
        for rung in ("where", "which", "why"):
            for look in ("light", "dark"):
                picture = HintPicture(format_grid(grid), Position.of(grid), step, rung)
                canvas = draw_canvas(picture, look)
                assert canvas.drawn <= LISTED
    assert {HouseKind.BOX, HouseKind.ROW} <= kinds


def test_a_box_of_any_shape_has_its_band_all_around_it() -> None:
    box = LOOPS.boxes[3]
    grid = grid_with(zip(box.cells[:-1], LOOPS.digits, strict=False), layout=LOOPS)
    step = next(s for s in find_all_steps(grid) if s.houses[0] == box.index)
    facts = facts_of_step(LOOPS, step)
    canvas = draw_canvas(HintPicture(format_grid(grid), Position.of(grid), facts, "where"), "light")
    board = board_of(LOOPS)
    for cell in range(LOOPS.cell_count):
        y = board.cell_rect(cell).middle[1]
        right = board.cell_rect(cell).right
        if LOOPS.column_of(cell) < LOOPS.size:
            is_edge = (box.mask >> cell & 1) != (box.mask >> cell + 1 & 1)
            assert (canvas.paint_at(right, y) is Paint.BAND) == is_edge
