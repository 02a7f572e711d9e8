"""Where a member stands: their board and what they know, as a position; and what is wrong in it.

The position is built from the board's digits, the member's own strikes and the steps that were
told or known. A mistake is judged against the solution, never guessed from the board; asking for
that is the business of `bot.club.gate`, which charges.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

from bot.club.boards import digit_in, layout_of
from bot.club.facts import Position, StepFacts
from bot.club.state import Board, Known, MemberSolve
from engine import EMPTY_MARKS, Grid, position_of


@dataclass(frozen=True, slots=True)
class Mistake:
    """`digit`: a placed digit is wrong; `ruled-out`: the right digit of an open cell was struck.

    The digit is the one written or struck: another in the same cell is another mistake.
    """

    kind: Literal["digit", "ruled-out"]
    cell: str
    digit: int = field(default=0, compare=False)

    @property
    def key(self) -> str:
        """What the seconds for a mistake are kept under: each mistake is paid for once."""
        return f"mistake:{self.kind}:{self.cell}={self.digit}"


def find_mistakes(board: Board, solution: str) -> tuple[Mistake, ...]:
    """Return the mistakes of a board: wrong digits by cell, then wrong strikes."""
    layout = layout_of(solution)
    wrong = [
        Mistake("digit", layout.format_cell(cell), digit)
        for cell in range(layout.cell_count)
        if (digit := digit_in(board.grid, cell)) not in (0, int(solution[cell]))
    ]
    for name, digit in board.ruled_out:
        cell = layout.parse_cell(name)
        if int(solution[cell]) == digit and not digit_in(board.grid, cell):
            wrong.append(Mistake("ruled-out", name, digit))
    return tuple(wrong)


def in_order_written(mistakes: Sequence[Mistake], entry: MemberSolve) -> tuple[Mistake, ...]:
    """Return the mistakes of each kind in the order in which the member made them.

    The boards to undo to tell it; of those made at once, or before the oldest of these, the order
    stays.
    """
    boards = (*entry.history, entry.board)

    def made(mistake: Mistake) -> int:
        later = (
            place for place in reversed(range(len(boards))) if not _stands(mistake, boards[place])
        )
        return next(later, -1)

    return tuple(sorted(mistakes, key=lambda mistake: (mistake.kind != "digit", made(mistake))))


def _stands(mistake: Mistake, board: Board) -> bool:
    if mistake.kind == "digit":
        return digit_in(board.grid, layout_of(board.grid).parse_cell(mistake.cell)) == mistake.digit
    return (mistake.cell, mistake.digit) in board.ruled_out


def region_of(cell: str, text: str) -> str:
    """Return the house that a mistake's second rung names: the cell's box."""
    layout = layout_of(text)
    return layout.houses_of[layout.parse_cell(cell)][-1].name


def grid_of(board: Board, known: Known, givens: str) -> Grid:
    """Return the position of a board and what is known besides; what was not given is own.

    Raises RepeatedDigitError where a digit stands twice in a house. It looks at no solution: a
    mistake that clashes with nothing makes a position like any other.
    """
    layout, marks = layout_of(board.grid), list(board.grid)
    for name, digit in known.places:
        cell = layout.parse_cell(name)
        if marks[cell] in EMPTY_MARKS:
            marks[cell] = str(digit)
    grid = position_of("".join(marks), board.ruled_out)
    open_at_first = (cell for cell, mark in enumerate(givens) if mark in EMPTY_MARKS)
    grid = grid.with_own(layout.mask_of(open_at_first))
    return grid.eliminate(grid.layout.parse_pairs(known.removes))


def shown_position(board: Board, known: Known) -> Position:
    """Return what a board's picture shows. A board may hold a digit twice, hence no Grid."""
    layout = layout_of(board.grid)
    struck = {*board.ruled_out, *known.removes}
    removed = sorted(
        (layout.parse_cell(name), digit)
        for name, digit in struck
        if not digit_in(board.grid, layout.parse_cell(name))
    )
    return Position(
        grid=board.grid,
        removed=tuple((layout.format_cell(cell), digit) for cell, digit in removed),
    )


def with_known(entry_known: Known, step: StepFacts) -> Known:
    """Return what is known with a step's conclusions added."""
    return Known(
        places=tuple(dict.fromkeys((*entry_known.places, *step.places))),
        removes=tuple(dict.fromkeys((*entry_known.removes, *step.removes))),
    )


def is_as_published(entry: MemberSolve, givens: str) -> bool:
    """Tell whether a board holds nothing of the member's own, neither a digit nor a strike."""
    return entry.board.grid == givens and not entry.board.ruled_out
