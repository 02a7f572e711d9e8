"""A member's board: what they write on it, rub out and strike, and how they take it back.

A board may be wrong, even plainly so; only the givens stand fast. Pure: every change is a new
entry whose history holds the board before it.
"""

from __future__ import annotations

from hashlib import sha256

import msgspec
from msgspec.structs import replace

from bot.club.problems import Problem
from bot.club.refusal import refuse
from bot.club.state import Board, MemberSolve
from engine import EMPTY_MARKS, Layout, layout_with

BOARD_NAME_LENGTH = 10
"""Characters of a board's name."""

HISTORY_LIMIT = 50
"""Boards kept to undo to; an older one is forgotten."""

Mark = tuple[str, int]


def layout_of(text: str) -> Layout:
    """Return the plain layout with as many cells as a text has marks. Raises LayoutError."""
    return layout_with(len(text))


def digit_in(text: str, cell: int) -> int:
    """Return the digit of a grid's text in a cell, 0 where it is open."""
    return 0 if text[cell] in EMPTY_MARKS else int(text[cell])


def count_open(text: str) -> int:
    """Count the marks of a grid's text that stand for an open cell."""
    return sum(text.count(mark) for mark in EMPTY_MARKS)


def with_board(entry: MemberSolve, board: Board) -> MemberSolve:
    """Return the entry with another board; the old one can be undone to."""
    if board == entry.board:
        return entry
    history = (*entry.history, entry.board)[-HISTORY_LIMIT:]
    return replace(entry, board=board, history=history, undone=())


def write_digits(
    entry: MemberSolve, givens: str, marks: tuple[Mark, ...], command: str
) -> MemberSolve:
    """Write (cell, digit) marks, 0 to rub out. All or nothing: RefusedError for a given."""
    layout, digits = layout_of(givens), list(entry.board.grid)
    touched = []
    for name, digit in marks:
        cell = layout.parse_cell(name)
        if digit_in(givens, cell) not in (0, digit):
            touched.append(name)
        else:
            digits[cell] = str(digit) if digit else EMPTY_MARKS[0]
    if touched:
        first = layout.parse_cell(touched[0])
        raise refuse(command, Problem.GIVEN, cells=tuple(touched), digit=digit_in(givens, first))
    return with_board(entry, replace(entry.board, grid="".join(digits)))


def row_marks(givens: str, row: int, digits: tuple[int, ...]) -> tuple[Mark, ...]:
    """Return the marks that writing a whole row makes; an open mark over a given leaves it."""
    layout = layout_of(givens)
    cells = layout.rows[row - 1].cells
    return tuple(
        (layout.format_cell(cell), digit)
        for cell, digit in zip(cells, digits, strict=True)
        if digit or not digit_in(givens, cell)
    )


def strike(entry: MemberSolve, candidates: tuple[Mark, ...]) -> MemberSolve:
    """Strike candidates. RefusedError where a cell holds a digit already."""
    layout, board = layout_of(entry.board.grid), entry.board
    filled = tuple(
        dict.fromkeys(
            name for name, _ in candidates if digit_in(board.grid, layout.parse_cell(name))
        )
    )
    if filled:
        raise refuse("rule-out", Problem.FILLED, cells=filled)
    struck = tuple(sorted({*board.ruled_out, *candidates}, key=lambda mark: _order(layout, mark)))
    return with_board(entry, replace(board, ruled_out=struck))


def allow(entry: MemberSolve, candidates: tuple[Mark, ...]) -> MemberSolve:
    """Take strikes back; one that was never made changes nothing."""
    left = tuple(mark for mark in entry.board.ruled_out if mark not in candidates)
    return with_board(entry, replace(entry.board, ruled_out=left))


def write_small(entry: MemberSolve, name: str, digits: tuple[int, ...]) -> MemberSolve:
    """Write a cell's small digits in place of those there. RefusedError where it holds a digit."""
    layout, board = layout_of(entry.board.grid), entry.board
    if digit_in(board.grid, layout.parse_cell(name)):
        raise refuse("small", Problem.FILLED, cells=(name,))
    others = (mark for mark in board.small if mark[0] != name)
    marks = {*others, *((name, digit) for digit in digits)}
    small = tuple(sorted(marks, key=lambda mark: _order(layout, mark)))
    return with_board(entry, replace(board, small=small))


def _order(layout: Layout, mark: Mark) -> tuple[int, int]:
    return layout.parse_cell(mark[0]), mark[1]


def name_of_board(entry: MemberSolve) -> str:
    """Return a short name for a board as it came about, so that a button can say which one it
    means; empty where nothing can be undone."""
    if not entry.history:
        return ""
    return sha256(msgspec.json.encode((entry.history, entry.board))).hexdigest()[:BOARD_NAME_LENGTH]


def undo(entry: MemberSolve) -> MemberSolve | None:
    """Return the entry with the board before, None where there is none."""
    if not entry.history:
        return None
    undone = (*entry.undone, entry.board)
    return replace(entry, board=entry.history[-1], history=entry.history[:-1], undone=undone)


def redo(entry: MemberSolve) -> MemberSolve | None:
    """Return the entry with the board that was undone last, None where something else was done
    since, or nothing undone."""
    if not entry.undone:
        return None
    history = (*entry.history, entry.board)[-HISTORY_LIMIT:]
    return replace(entry, board=entry.undone[-1], history=history, undone=entry.undone[:-1])


def differences(before: str, after: str) -> tuple[tuple[Mark, ...], tuple[Mark, ...]]:
    """Return the (cell, digit) marks written between two boards, and those rubbed out (digit 0)."""
    layout = layout_of(before)
    changed = [
        (layout.format_cell(cell), digit_in(after, cell))
        for cell, (was, now) in enumerate(zip(before, after, strict=True))
        if was != now and digit_in(before, cell) != digit_in(after, cell)
    ]
    written = tuple(mark for mark in changed if mark[1])
    return written, tuple(mark for mark in changed if not mark[1])


def find_clashes(text: str) -> tuple[tuple[int, str], ...]:
    """Return each (digit, house) that shows a digit twice: plain to see without the solution."""
    layout = layout_of(text)
    places = dict.fromkeys(layout.digits, 0)  # digit -> mask of its cells: asked at every tap
    for cell, mark in enumerate(text):
        if mark not in EMPTY_MARKS:
            places[int(mark)] |= 1 << cell
    return tuple(
        (digit, house.name)
        for house in layout.houses
        for digit, cells in places.items()
        if (cells & house.mask).bit_count() > 1
    )


def board_lines(text: str) -> tuple[str, ...]:
    """Return a grid's text as one line a row."""
    size = layout_of(text).size
    return tuple(text[start : start + size] for start in range(0, len(text), size))


def given_slips(pasted: str, givens: str) -> tuple[tuple[str, int, int], ...]:
    """Return (cell, theirs, ours) for each given that a pasted grid shows otherwise."""
    layout = layout_of(givens)
    return tuple(
        (layout.format_cell(cell), digit_in(pasted, cell), digit_in(givens, cell))
        for cell in range(layout.cell_count)
        if digit_in(givens, cell) and digit_in(pasted, cell) != digit_in(givens, cell)
    )
