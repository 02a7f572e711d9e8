"""The hint under way: whether it still stands, what it is charged under, and how it was told.

All of it comes from the board and from what was told; nothing here knows the solution.
"""

from __future__ import annotations

from msgspec.structs import replace

from bot.club.boards import digit_in, layout_of
from bot.club.charging import rung_charged
from bot.club.facts import facts_of_step, step_of_facts
from bot.club.gate import told_mistake
from bot.club.position import grid_of
from bot.club.state import Charge, Day, HintUnderWay, MemberSolve, Penalties
from engine import EMPTY_MARKS, Grid, errors, still_applies, technique_with

WHERE, WHAT, WHICH, WHY = 1, 2, 3, 4
"""The rungs of a hint."""


def position_now(day: Day, entry: MemberSolve) -> Grid | None:
    """Return where the member is, None where a digit stands twice in a house for all to see."""
    try:
        return grid_of(entry.board, entry.known, day.puzzle.givens)
    except errors.RepeatedDigitError:
        return None


def hint_kept(day: Day, entry: MemberSolve) -> HintUnderWay | None:
    """Return the hint under way if its step still applies where the member now is.

    It is over as soon as one of its open cells is filled, whatever with: else a digit that it goes
    on with would be the right one. It keeps the position that it was told at, since the board may
    have got a mistake since then; a rung that is paid for takes the new one.
    """
    now, hint = position_now(day, entry), entry.hint
    if hint is None or now is None:
        return None
    step = step_of_facts(now.layout, hint.step)
    cells = (*step.cells, *(cell for cell, _ in step.places))
    if any(now.digit_at(cell) for cell in cells if hint.position.grid[cell] in EMPTY_MARKS):
        return None
    return hint if still_applies(now, step) else None


def as_told(entry: MemberSolve, hint: HintUnderWay) -> HintUnderWay:
    """Return a hint that was paid for earlier as it was told then, from the board of that time."""
    told = _told_under(entry, key_of(hint))
    return hint if told is None else replace(told, rung=hint.rung)


def _told_under(entry: MemberSolve, key: str) -> HintUnderWay | None:
    """Return the hint that was paid for under a key, as far and as it was told then."""
    first = next((each for each in entry.charges if each.key == key), None)
    if first is None or first.position is None or not first.technique:
        return None
    grid = first.position.to_grid()
    for step in technique_with(first.technique).find(grid):
        told = HintUnderWay(facts_of_step(grid.layout, step), first.position, WHERE)
        if key_of(told) == key:
            return replace(told, rung=rung_charged(entry, key))
    return None


def number_of(entry: MemberSolve, key: str) -> int:
    """Return the number by which a button names what was told under a key: its place among what was
    paid for, from 1. 0 where nothing was, once the puzzle is solved."""
    keys = list(dict.fromkeys(each.key for each in entry.charges))
    return keys.index(key) + 1 if key in keys else 0


def hint_numbered(entry: MemberSolve, number: int) -> HintUnderWay | None:
    """Return the hint that a button names by its number, the one under way for 0."""
    keys = list(dict.fromkeys(each.key for each in entry.charges))
    if not number or (entry.hint and number_of(entry, key_of(entry.hint)) == number):
        return entry.hint
    return _told_under(entry, keys[number - 1]) if number <= len(keys) else None


def hint_after(entry: MemberSolve, number: int) -> HintUnderWay | None:
    """Return the hint that was told after the one with a number, but for the one under way; None
    for 0, and where none was."""
    keys = list(dict.fromkeys(each.key for each in entry.charges))
    later = (key for key in keys[number:] if number and key.startswith("hint:"))
    first = next(later, None)
    is_under_way = entry.hint is not None and first == key_of(entry.hint)
    return None if first is None or is_under_way else _told_under(entry, first)


def is_noted(entry: MemberSolve, hint: HintUnderWay) -> bool:
    """Say whether all that a hint concludes stands on the board, and has been paid for."""
    step, board, layout = hint.step, entry.board, layout_of(entry.board.grid)
    if rung_charged(entry, key_of(hint)) < (WHICH if step.places else WHY):
        return False
    digits = {
        name: digit_in(board.grid, layout.parse_cell(name))
        for name, _ in (*step.places, *step.removes)
    }
    return all(digits[name] == digit for name, digit in step.places) and all(
        digits[name] or (name, digit) in board.ruled_out for name, digit in step.removes
    )


def key_of(hint: HintUnderWay) -> str:
    """Return what the seconds for a hint are kept under: a step is paid for once a rung."""
    return f"hint:{hint.step.key}"


def rung_under_way(day: Day, entry: MemberSolve) -> int:
    """Return the rung of the hint to go on with, 0 if none.

    Before its cells are told, nothing free says whether the board has moved past it.
    """
    if entry.hint is None or told_mistake(entry):
        return 0
    return entry.hint.rung if entry.hint.rung < WHICH or hint_kept(day, entry) else 0


def price_of(hint: HintUnderWay, penalties: Penalties) -> Charge:
    """Return the charge for a hint's present rung; with the first one the position is kept."""
    position = hint.position if hint.rung == WHERE else None
    seconds = penalties.rungs[hint.rung - 1]
    return Charge(key_of(hint), hint.rung, seconds, hint.step.technique, position)
