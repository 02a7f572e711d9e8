"""Alternative text: for each picture the same facts in words, short enough for every platform.

A hint picture's text keeps to its rung: it reads the position, which is no secret, and then tells
as much of the step as the picture shows. What is marked comes first, since a long text may be cut.
"""

from __future__ import annotations

from bot.club.facts import (
    CoverPicture,
    GridPicture,
    HintPicture,
    Picturable,
    Position,
    TablePicture,
    step_of_facts,
)
from bot.wording.prose import capitalise, clean_name, clean_text, count_of, join_words, sentences
from bot.wording.rungs import where, which
from bot.wording.spoken import BLANK
from bot.wording.steps import follows
from bot.wording.tables import table_lines, table_title
from bot.wording.times import format_full_date
from engine.grid import Grid, parse_grid

ALT_LIMIT = 1000
"""Characters of an alternative text: a platform takes 1024 at most."""

_CUT = "… The whole of it as text: "


def describe(picture: Picturable) -> str:
    """Return the alternative text of a picture: the same facts, at most ALT_LIMIT characters."""
    match picture:
        case GridPicture():
            return _describe_grid(picture)
        case HintPicture():
            return _describe_hint(picture)
        case TablePicture():
            return _describe_table(picture)
        case CoverPicture():
            return _describe_cover(picture)


def _describe_grid(picture: GridPicture) -> str:
    caption = f"{clean_text(picture.caption, 120)}." if picture.caption else ""
    marked = f"Marked: {join_words(picture.lines)}." if picture.lines else ""
    start = sentences(capitalise(caption), marked)
    return _fit(start, picture.givens, picture.position, with_candidates=picture.with_candidates)


def _describe_hint(picture: HintPicture) -> str:
    step = picture.step
    if picture.rung == "where":
        start = f"Marked: {step.houses[0]}. {where(step)}"
    elif picture.rung == "which":
        start = f"Marked: {join_words(step.houses)} and the cells of the pattern. {which(step)}"
    else:
        grid = picture.position.to_grid()
        start = (
            f"Marked: {join_words((*step.houses, *step.covers))}, the pattern and what follows. "
            f"{which(step)} {follows(step_of_facts(grid.layout, step), grid)}"
        )
    return _fit(start, picture.givens, picture.position, with_candidates=True)


def _describe_table(picture: TablePicture) -> str:
    table = picture.table
    lines = [f"{table_title(table)}."]
    for row in table_lines(table):
        if sum(len(line) + 1 for line in lines) + len(row) > ALT_LIMIT - 40:
            left = len(table.rows) - len(lines) + 1
            lines.append(f"And {count_of(left, 'more row')}.")
            break
        lines.append(row)
    if table.most_improved:
        improved = f"Most improved: {join_words(clean_name(name) for name in table.most_improved)}."
        if sum(len(line) + 1 for line in lines) + len(improved) <= ALT_LIMIT:
            lines.append(improved)
    return "\n".join(lines)


def _describe_cover(picture: CoverPicture) -> str:
    return (
        f"Cover of a sealed puzzle: {clean_text(picture.club, 60)}, "
        f"{format_full_date(picture.date)}, level {picture.level}. Nothing of the puzzle is shown."
    )


def _fit(start: str, givens: str, position: Position, *, with_candidates: bool) -> str:
    """Join the start and the fullest reading of the grid that fits."""
    grid = position.to_grid()
    placed = _placed_cells(grid, parse_grid(givens, layout=grid.layout))
    readings = [_read(grid, None), _read(grid, None, blank=".")]
    if with_candidates:
        readings = [_read(grid, " "), _read(grid, ""), *readings]
    for reading in readings:
        text = "\n".join(part for part in (start, reading, placed) if part)
        if len(text) <= ALT_LIMIT:
            return text
    tail = "board text"
    return text[: ALT_LIMIT - len(_CUT) - len(tail)] + _CUT + tail


def _read(grid: Grid, between: str | None, blank: str = BLANK) -> str:
    """Read the grid by rows; open cells as their candidates in brackets, or as blanks (None)."""
    lines = []
    for row in grid.layout.rows:
        cells = []
        for cell in row.cells:
            digit = grid.digit_at(cell)
            if digit:
                cells.append(str(digit))
            elif between is None:
                cells.append(blank)
            else:
                cells.append(f"({between.join(map(str, grid.candidates_at(cell)))})")
        lines.append(f"row {row.number}: {' '.join(cells)}")
    return "\n".join(lines)


def _placed_cells(grid: Grid, givens: Grid) -> str:
    """Name the cells that are filled but not given, so that the two are told apart."""
    layout = grid.layout
    placed = layout.cells_in(grid.filled_cells & ~givens.filled_cells)
    if not placed:
        return ""
    by_row: dict[int, list[str]] = {}
    for cell in placed:
        by_row.setdefault(layout.row_of(cell), []).append(str(layout.column_of(cell)))
    rows = [f"row {row} column {' '.join(columns)}" for row, columns in by_row.items()]
    return f"Not given but placed: {', '.join(rows)}."
