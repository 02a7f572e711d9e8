"""A grid for the ear and as plain text: the same digits as the picture, in words or in letters."""

from __future__ import annotations

from bot.club.facts import GridPicture, Position
from bot.wording.prose import join_words
from engine import EMPTY_MARKS, Grid, Layout, draw_grid

BLANK = "blank"


def speak_rows(grid: Grid) -> str:
    """Read a grid out, one line a row: `row 1: 5 3 blank blank 7 …`."""
    return "\n".join(
        f"row {row.number}: " + " ".join(str(grid.digit_at(cell) or BLANK) for cell in row.cells)
        for row in grid.layout.rows
    )


def speak_candidates(grid: Grid) -> str:
    """Read out what each open cell can still hold, one line a row: `r1c3 1 2 4, r1c5 2 6`."""
    layout, lines = grid.layout, []
    for row in layout.rows:
        cells = [
            f"{layout.format_cell(cell)} "
            + " ".join(map(str, grid.candidates_at(cell) or ("nothing",)))
            for cell in row.cells
            if not grid.digit_at(cell)
        ]
        if cells:
            lines.append(", ".join(cells))
    return "\n".join(lines)


def speak_placed(grid: Grid, givens: str) -> str:
    """Name the cells that are filled but not given, so that the two are told apart."""
    layout = grid.layout
    placed = [
        cell
        for cell in layout.cells_in(grid.filled_cells)
        if givens[cell : cell + 1] in ("", *EMPTY_MARKS)
    ]
    if not placed:
        return ""
    by_row: dict[int, list[str]] = {}
    for cell in placed:
        by_row.setdefault(layout.row_of(cell), []).append(str(layout.column_of(cell)))
    rows = [f"row {row} column {' '.join(columns)}" for row, columns in by_row.items()]
    return f"Not given but placed: {', '.join(rows)}."


def speak_layout(layout: Layout) -> str:
    """Say what the lines of the picture tell beyond rectangular boxes; empty where nothing."""
    said = []
    if not layout.is_regular:
        rows = (row.cells for row in layout.rows)
        numbers = ("".join(str(layout.box_of[cell] + 1) for cell in cells) for cells in rows)
        said.append(f"Irregular boxes; the box of each cell, row by row: {' '.join(numbers)}.")
    if layout.has_diagonals:
        said.append("Both diagonals are houses too.")
    return " ".join(said)


def speak_board(picture: GridPicture) -> str:
    """Read out a board: its rows, which cells were placed, and the candidates that it shows."""
    grid = picture.position.as_written()
    parts = [
        speak_layout(grid.layout),
        speak_rows(grid),
        speak_placed(grid, picture.givens),
    ]
    if picture.with_candidates:
        parts.append(f"Still possible:\n{speak_candidates(grid)}")
    return "\n\n".join(part for part in parts if part)


def draw_text(position: Position) -> str:
    """Draw the digits of a position for a block of equal-width letters."""
    return draw_grid(position.as_written())


def write_to_copy(position: Position) -> str:
    """Write a position to be copied, as the command line and the room read it: its digits on one
    line, and below them what is struck beyond what the digits strike."""
    struck: dict[str, list[str]] = {}
    for cell, digit in position.removed:
        struck.setdefault(cell, []).append(str(digit))
    if not struck:
        return position.grid
    removed = ", ".join(f"{cell} {' '.join(digits)}" for cell, digits in struck.items())
    return f"{position.grid}\n--removed '{removed}'"


def draw_givens(givens: str) -> str:
    """Return a puzzle's givens as a drawn grid of text."""
    return draw_text(Position(givens))


def tell_mistakes(cells: tuple[str, ...]) -> str:
    """Say which cells are marked as mistakes that the member was told of; empty for none."""
    if not cells:
        return ""
    what = "a mistake" if len(cells) == 1 else "mistakes"
    return f"In a dashed frame, as {what} that you know of: {join_words(cells)}."


def tell_doubtful(cells: tuple[str, ...]) -> str:
    """Say which cells are marked as those to look at again; empty for none."""
    return f"Between two short bars, to look at again: {join_words(cells)}." if cells else ""
