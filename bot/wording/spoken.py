"""A grid for the ear and as plain text: the same digits as the picture, in words or in letters."""

from __future__ import annotations

from bot.club.facts import Position
from engine.grid import Grid, draw_grid

BLANK = "blank"


def speak_rows(grid: Grid) -> str:
    """Read a grid out, one line a row: `row 1: 5 3 blank blank 7 …`."""
    return "\n".join(
        f"row {row.number}: " + " ".join(str(grid.digit_at(cell) or BLANK) for cell in row.cells)
        for row in grid.layout.rows
    )


def speak_candidates(grid: Grid) -> str:
    """Read out what each open cell can still hold, one line a row: `r1c3 1 2 4, r1c4 2 6`."""
    lines = []
    for row in grid.layout.rows:
        cells = [
            f"{grid.layout.format_cell(cell)} "
            + (" ".join(map(str, grid.candidates_at(cell))) or "nothing left")
            for cell in row.cells
            if not grid.digit_at(cell)
        ]
        if cells:
            lines.append(", ".join(cells))
    return "\n".join(lines)


def draw_text(position: Position) -> str:
    """Draw the digits of a position for a block of equal-width letters."""
    return draw_grid(position.to_grid())


def draw_givens(givens: str) -> str:
    return draw_text(Position(givens))
