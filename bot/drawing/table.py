"""The picture of a table of results: a line for each member, figures ranged right.

Equal results show their shared rank once each, as the table gives it. Past `MOST_ROWS` the
picture only says how many more there are.
"""

from __future__ import annotations

from bot.club.facts import Table, TablePicture, TableRow
from bot.drawing.canvas import Canvas
from bot.drawing.fonts import Face, fitted
from bot.drawing.geometry import Rect
from bot.drawing.theme import Look, Paint
from bot.wording import labels

MOST_ROWS = 25
WIDTH = 760
_EDGE = 24
_ROW = 42
_TITLE_SIZE, _HEADING_SIZE, _SIZE = 34, 19, 24
_HEAD = 136
_FOOT = 20
_NAME_LEFT, _NAME_RIGHT = 68, 256
_RIGHTS = (54, 0, 324, 438, 550, 616, 672, 742)
_DAY_RIGHTS = (54, 0, 420, 550, 646, 742)
"""The right edges of the columns; the name's stands in `_NAME_RIGHT`."""


def draw_table_picture(picture: TablePicture, look: Look) -> Canvas:
    """Draw a table: MOST_ROWS at most, the others counted below."""
    table = picture.table
    shown = table.rows[:MOST_ROWS]
    closing = _closing_lines(table)
    lines = max(len(shown), 1)
    canvas = Canvas(WIDTH, _HEAD + _ROW * (lines + len(closing)) + _FOOT, look)
    _draw_head(canvas, table)
    for index, row in enumerate(shown):
        top = _HEAD + index * _ROW
        if index % 2 == 0:
            canvas.fill(Rect(_EDGE // 2, top, WIDTH - _EDGE // 2, top + _ROW), Paint.STRIPE)
        _draw_row(canvas, row, top + _ROW // 2, is_day=table.period == "day")
    if not shown:
        canvas.text(labels.NO_RESULTS, _EDGE, _HEAD + _ROW // 2, Paint.INK, size=_SIZE)
    for index, words in enumerate(closing):
        y = _HEAD + (lines + index) * _ROW + _ROW // 2 + 4
        line = fitted(words, Face.MEDIUM, _SIZE, WIDTH - 2 * _EDGE)
        canvas.text(line, _EDGE, y, Paint.INK, size=_SIZE)
    return canvas


def _closing_lines(table: Table) -> list[str]:
    closing = []
    if len(table.rows) > MOST_ROWS:
        closing.append(labels.format_more(len(table.rows) - MOST_ROWS))
    if table.most_improved:
        closing.append(labels.format_improved(table.most_improved))
    return closing


def _draw_head(canvas: Canvas, table: Table) -> None:
    title = fitted(table.club, Face.HEAVY, _TITLE_SIZE, WIDTH - 2 * _EDGE)
    canvas.text(title, _EDGE, 36, Paint.INK, face=Face.HEAVY, size=_TITLE_SIZE)
    canvas.text(labels.format_period(table), _EDGE, 74, Paint.SOFT, size=_SIZE)
    y = 114
    is_day = table.period == "day"
    headings, rights = (labels.DAY_HEADINGS, _DAY_RIGHTS) if is_day else (labels.HEADINGS, _RIGHTS)
    for index, (heading, right) in enumerate(zip(headings, rights, strict=True)):
        if index == 1:
            canvas.text(heading, _NAME_LEFT, y, Paint.SOFT, size=_HEADING_SIZE)
        else:
            canvas.text(heading, right, y, Paint.SOFT, size=_HEADING_SIZE, align="right")
    canvas.line(Rect(_EDGE // 2, _HEAD - 4, WIDTH - _EDGE // 2, _HEAD - 1), Paint.INK)


def figures_of_day(row: TableRow) -> tuple[str, ...]:
    """Return what stands in a row's columns on a day's table: what differs on one day."""
    if not row.rank:
        return ("", "", labels.LATE, "", "", "")
    times = (labels.format_seconds(row.adjusted), labels.format_seconds(row.raw))
    return (str(row.rank), "", *times, str(row.hints), str(row.wrong))


def _figures(row: TableRow) -> tuple[str, ...]:
    return (
        str(row.rank) if row.rank else "",
        "",
        str(row.solved),
        labels.format_seconds(row.adjusted),
        labels.format_seconds(row.raw),
        str(row.hints),
        str(row.late),
        str(row.streak),
    )


def _draw_row(canvas: Canvas, row: TableRow, y: int, *, is_day: bool) -> None:
    name = fitted(labels.format_name(row.name), Face.MEDIUM, _SIZE, _NAME_RIGHT - _NAME_LEFT)
    canvas.text(name, _NAME_LEFT, y, Paint.INK, size=_SIZE)
    figures, rights = (figures_of_day(row), _DAY_RIGHTS) if is_day else (_figures(row), _RIGHTS)
    adjusted = 2 if is_day else 3
    for index, (figure, right) in enumerate(zip(figures, rights, strict=True)):
        leading = index in (0, adjusted)
        canvas.text(
            figure,
            right,
            y,
            Paint.INK if leading or index == 2 else Paint.SOFT,
            face=Face.HEAVY if leading else Face.MEDIUM,
            size=_SIZE,
            align="right",
        )
