"""The gate: the one way from a member's board to the solution, and every way through it charges.

What a free reply may know is the board, the givens and what was paid for. So a reply that adds
nothing is made without the functions here that look, and these add seconds whatever they find.
What was found once stays known while the marks that it was about stand on the board; as soon as
one of them is changed, to hear of it again is another look.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from msgspec.structs import replace

from bot.club.boards import digit_in, layout_of
from bot.club.charging import rung_charged, with_charge
from bot.club.facts import Position
from bot.club.position import Mistake, find_mistakes, in_order_written, region_of
from bot.club.state import Board, Charge, Day, MemberSolve, Penalties

FOUND, REGION, CELL = 1, 2, 3
"""The rungs of a mistake: there is one, roughly where, which cell."""

_KEY = re.compile(r"mistake:(digit|ruled-out):(r[0-9]+c[0-9]+)=([0-9]+)")


@dataclass(frozen=True, slots=True)
class ToldMistake:
    """A mistake that was paid for, as far as `rung`, and still stands.

    `count` is how many of its kind there were on the board that was looked at for it.
    """

    mistake: Mistake
    rung: int
    count: int


@dataclass(frozen=True, slots=True)
class Looked:
    """What a look brought: the entry with its charge, and the mistake if there is one."""

    entry: MemberSolve
    seconds: int
    told: ToldMistake | None = None


# --- what is known without a look ---


def told_mistake(entry: MemberSolve) -> ToldMistake | None:
    """Return the mistake told last of which the member knows that it still stands."""
    return next(_told_mistakes(entry), None)


def told_cells(entry: MemberSolve) -> tuple[str, ...]:
    """Return the cells of which the member was told that what they have there is a mistake, and
    has it still."""
    told = (each.mistake.cell for each in _told_mistakes(entry) if each.rung == CELL)
    return tuple(sorted(set(told)))


def _told_mistakes(entry: MemberSolve) -> Iterator[ToldMistake]:
    """Yield what was told of mistakes and still stands, the last first."""
    for charge in reversed(entry.charges):
        found = _KEY.fullmatch(charge.key)
        if found is None or charge.position is None:
            continue
        kind: Literal["digit", "ruled-out"] = "digit" if found[1] == "digit" else "ruled-out"
        mistake = Mistake(kind, found[2], int(found[3]))
        told_on = Board(charge.position.grid, charge.position.removed)
        if _marks_told(told_on, mistake, charge.rung) <= _marks(entry.board, kind):
            rung = charge.rung if entry.finished_at is None else CELL
            yield ToldMistake(mistake, rung, charge.count)


def _marks(board: Board, kind: str) -> frozenset[tuple[str, int]]:
    """Return what a mistake of a kind can be one of: the digits, or the strikes in open cells."""
    layout = layout_of(board.grid)
    if kind == "digit":
        return frozenset(
            (layout.format_cell(cell), digit)
            for cell in range(layout.cell_count)
            if (digit := digit_in(board.grid, cell))
        )
    return frozenset(
        (name, digit)
        for name, digit in board.ruled_out
        if not digit_in(board.grid, layout.parse_cell(name))
    )


def _marks_told(board: Board, mistake: Mistake, rung: int) -> frozenset[tuple[str, int]]:
    """Return the marks of which a rung says that one is a mistake."""
    marks, region = _marks(board, mistake.kind), region_of(mistake.cell, board.grid)
    if rung == REGION:
        return frozenset(mark for mark in marks if region_of(mark[0], board.grid) == region)
    if rung == CELL:
        return frozenset(mark for mark in marks if mark[0] == mistake.cell)
    return marks


def climb(day: Day, entry: MemberSolve, told: ToldMistake, penalties: Penalties) -> Looked:
    """Pay for the next rung of a mistake that was told; it says more of the same mistake, and how
    many there are by now."""
    if told.rung == CELL or entry.finished_at is not None:
        return Looked(entry, 0, told)
    found = find_mistakes(entry.board, day.puzzle.solution)
    count = sum(each.kind == told.mistake.kind for each in found)
    further = ToldMistake(told.mistake, told.rung + 1, count)
    return _with_mistake(entry, further, penalties.mistakes[told.rung])


# --- looks ---


def buy_rung(day: Day, entry: MemberSolve, penalties: Penalties, charge: Charge) -> Looked:
    """Pay for a rung of a hint; where there is a mistake on the board, for being told that.

    Only for a rung that was not paid yet: else the mistake alone would cost.
    """
    looked = look(day, entry, penalties)
    if looked.told is not None:
        return looked
    bought, seconds = with_charge(
        entry,
        charge.key,
        charge.rung,
        charge.seconds,
        technique=charge.technique,
        position=charge.position,
    )
    return Looked(bought, seconds)


def look(day: Day, entry: MemberSolve, penalties: Penalties) -> Looked:
    """Look for a mistake, and pay where there is one; elsewhere the caller charges for more.

    Of several it is the one spoken of last, else the first that was made. How far it was told
    before is told again with it. Once the puzzle is solved all of it is told, and nothing charged.
    """
    found = in_order_written(find_mistakes(entry.board, day.puzzle.solution), entry)
    by_key = {each.key: each for each in found}
    if not by_key:
        return Looked(entry, 0)
    spoken_of = (charge.key for charge in reversed(entry.charges) if charge.key in by_key)
    mistake = by_key[next(spoken_of, next(iter(by_key)))]
    count = sum(each.kind == mistake.kind for each in found)
    if entry.finished_at is not None:
        return Looked(entry, 0, ToldMistake(mistake, CELL, count))
    rung = max(FOUND, rung_charged(entry, mistake.key))
    return _with_mistake(entry, ToldMistake(mistake, rung, count), penalties.mistakes[0])


def _with_mistake(entry: MemberSolve, told: ToldMistake, seconds: int) -> Looked:
    told_on = Position(entry.board.grid, entry.board.ruled_out)
    charge = Charge(told.mistake.key, told.rung, seconds, position=told_on, count=told.count)
    charged = replace(entry, charges=(*entry.charges, charge))
    return Looked(charged, seconds, told)


def check_board(day: Day, entry: MemberSolve, penalties: Penalties) -> tuple[Looked, bool]:
    """Say whether the whole board is right so far. The same board is charged once."""
    board = entry.board
    struck = ",".join(f"{name}-{digit}" for name, digit in board.ruled_out)
    key = f"check:{board.grid}:{struck}"
    checked, seconds = with_charge(entry, key, 1, penalties.check)
    return Looked(checked, seconds), not find_mistakes(board, day.puzzle.solution)
