"""A member's small digits: notes of their own, and what is ruled out where all candidates show.

A note is nothing that the club reasons with. Once all candidates are filled in, which costs what
the club says and only once a day, a small digit that goes is ruled out, and that counts for hints.
"""

from __future__ import annotations

from dataclasses import dataclass

from msgspec.structs import replace

from bot.club import boards
from bot.club.acts import Event, OfADay
from bot.club.charging import with_charge
from bot.club.deciding import need_clock, on_board
from bot.club.replies import Reply
from bot.club.showing import FILLED, FILLED_AFTER, is_filled, show_board
from bot.club.state import Charge, Day, MemberSolve, Scene


@dataclass(frozen=True, slots=True)
class WriteSmall(OfADay):
    """The small digits of a cell as they are from now on; none rubs them out."""

    cell: str
    digits: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Allow(OfADay):
    """(cell name, digit) pairs that the member takes back, having struck them."""

    candidates: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class FillCandidates(OfADay):
    """Show all candidates from now on, for their seconds."""


def _write_small(
    scene: Scene, event: Event, day: Day, entry: MemberSolve, act: WriteSmall
) -> tuple[MemberSolve, Reply]:
    need_clock(day, entry, act)
    changed = boards.write_small(entry, act.cell, act.digits)
    marks = tuple((act.cell, digit) for digit in act.digits) or ((act.cell, 0),)
    return changed, show_board(scene.club, day, changed, "small", marks=marks)


def _allow(
    scene: Scene, event: Event, day: Day, entry: MemberSolve, act: Allow
) -> tuple[MemberSolve, Reply]:
    need_clock(day, entry, act)
    changed = boards.allow(entry, act.candidates)
    back = tuple(mark for mark in act.candidates if mark in entry.board.ruled_out)
    return changed, show_board(scene.club, day, changed, "allowed", marks=back)


def _fill(
    scene: Scene, event: Event, day: Day, entry: MemberSolve, act: FillCandidates
) -> tuple[MemberSolve, Reply]:
    need_clock(day, entry, act)
    cost = scene.club.settings.penalties.fill
    changed, seconds = with_charge(entry, FILLED, 1, cost)
    if not is_filled(changed):
        changed = replace(entry, charges=(*entry.charges, Charge(FILLED_AFTER, 1, 0)))
    shown = show_board(scene.club, day, changed, "filled")
    return changed, replace(shown, seconds=seconds, total=changed.added_seconds)


SMALL = on_board(WriteSmall, _write_small)
ALLOW = on_board(Allow, _allow)
FILL = on_board(FillCandidates, _fill)
