"""What one member sees of the open day on a board that is live: facts at a moment, and no act.

Looking is free, so it knows the board, the givens and what was told; the solution is not looked
at. Pure.
"""

from __future__ import annotations

from datetime import datetime

from msgspec import Struct

from bot.club.deciding import no_puzzle
from bot.club.facts import DayFacts
from bot.club.gate import told_cells
from bot.club.hints_told import told_so_far
from bot.club.position import shown_position
from bot.club.replies import HintShown, MistakeShown, NoPuzzleOpen
from bot.club.showing import day_facts, fresh_entry, is_covered, is_filled
from bot.club.state import Board, Penalties, Scene


class BoardSeen(Struct, frozen=True):
    """A member's board at `at`. On a sealed day, before their clock, nothing of the puzzle.

    `struck`: what is ruled out in open cells, by the member or by what they were told. `told`: the
    rung or the mistake that they were told last, where it still stands. `mistakes`: the cells of
    which they were told that what stands there is one.
    """

    at: datetime
    day: DayFacts
    board: Board
    struck: tuple[tuple[str, int], ...]
    penalties: Penalties
    is_covered: bool
    started_at: datetime | None = None
    finished_at: datetime | None = None
    added: int = 0
    undo_left: int = 0
    redo_left: int = 0
    is_filled: bool = False
    told: HintShown | MistakeShown | None = None
    mistakes: tuple[str, ...] = ()


def see_board(scene: Scene, at: datetime) -> BoardSeen | NoPuzzleOpen:
    """Return what a member sees at a moment; where no puzzle is open, when the next one is."""
    day = scene.today
    if day is None:
        return no_puzzle(scene, at)
    entry = scene.entry or fresh_entry(day)
    penalties = scene.club.settings.penalties
    if is_covered(day, entry):
        facts = day_facts(scene.club, day, hide=True)
        return BoardSeen(at, facts, Board(""), (), penalties, is_covered=True)
    return BoardSeen(
        at=at,
        day=day_facts(scene.club, day),
        board=entry.board,
        struck=shown_position(entry.board, entry.known).removed,
        penalties=penalties,
        is_covered=False,
        started_at=entry.started_at,
        finished_at=entry.finished_at,
        added=entry.added_seconds,
        undo_left=len(entry.history),
        redo_left=len(entry.undone),
        is_filled=is_filled(entry),
        told=told_so_far(day, entry, penalties),
        mistakes=told_cells(entry),
    )
