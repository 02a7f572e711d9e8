"""What a member is told of a hint or a mistake: its rung, and what the next one would cost.

Nothing is bought here and no solution is asked: what is told has been paid for, or is told again.
"""

from __future__ import annotations

from msgspec.structs import replace

from bot.club.boards import digit_in, layout_of
from bot.club.charging import rung_charged
from bot.club.facts import GridPicture, HintPicture
from bot.club.gate import CELL, REGION, Looked, told_mistake
from bot.club.position import region_of
from bot.club.replies import HintShown, MistakeShown
from bot.club.showing import board_picture
from bot.club.state import Charge, Day, HintUnderWay, MemberSolve, Penalties
from bot.club.under_way import (
    WHERE,
    WHICH,
    WHY,
    key_of,
    number_of,
    price_of,
    rung_under_way,
)

_PICTURED = {WHERE: "where", WHICH: "which", WHY: "why"}


def hint_shown(
    day: Day,
    entry: MemberSolve,
    hint: HintUnderWay,
    seconds: int,
    penalties: Penalties,
    *,
    echo: GridPicture | None = None,
    is_kept: bool = False,
) -> HintShown:
    """Return what a rung of a hint says. `seconds`: what it has just added."""
    key, rung, picture = key_of(hint), hint.rung, None
    if rung in _PICTURED:
        picture = HintPicture(day.puzzle.givens, hint.position, hint.step, _PICTURED[rung])
    return HintShown(
        rung=rung,
        step=hint.step,
        position=hint.position,
        seconds=seconds,
        total=entry.added_seconds,
        picture=picture,
        next_cost=_next_cost(entry, key, rung, penalties.rungs),
        echo=echo,
        is_kept=is_kept,
        known_cost=sum(charge.seconds for charge in rungs_to_know(entry, hint, penalties)),
        number=number_of(entry, key),
    )


def told_so_far(
    day: Day, entry: MemberSolve, penalties: Penalties
) -> HintShown | MistakeShown | None:
    """Return the rung, or the mistake, that was told last and still stands: to read again is free.

    A last rung stands until what it tells is on the board.
    """
    told, hint = told_mistake(entry), entry.hint
    if told is not None:
        return mistake_shown(day, Looked(entry, 0, told), penalties)
    if hint is None:
        return None
    stands = _is_to_write(entry, hint) if hint.rung == WHY else bool(rung_under_way(day, entry))
    return hint_shown(day, entry, hint, 0, penalties) if stands else None


def _is_to_write(entry: MemberSolve, hint: HintUnderWay) -> bool:
    """Say whether the board lacks something of what a step concludes."""
    layout, board = layout_of(entry.board.grid), entry.board

    def is_open(name: str) -> bool:
        return not digit_in(board.grid, layout.parse_cell(name))

    return any(is_open(name) for name, _ in hint.step.places) or any(
        is_open(name) and (name, digit) not in board.ruled_out for name, digit in hint.step.removes
    )


def _next_cost(entry: MemberSolve, key: str, rung: int, costs: tuple[int, ...]) -> int | None:
    if rung >= len(costs):
        return None
    paid = entry.finished_at is not None or rung_charged(entry, key) > rung
    return 0 if paid else costs[rung]


def rungs_to_know(
    entry: MemberSolve, hint: HintUnderWay, penalties: Penalties
) -> tuple[Charge, ...]:
    """Return what is still to pay before the step's conclusions may go on the board.

    Strikes are what the last rung tells. The cell and digit of a placement were told with its
    pattern.
    """
    if hint.step.places or entry.finished_at is not None:
        return ()
    paid = rung_charged(entry, key_of(hint))
    rungs = (replace(hint, rung=rung) for rung in range(max(hint.rung, paid) + 1, WHY + 1))
    return tuple(price_of(each, penalties) for each in rungs)


def mistake_shown(day: Day, looked: Looked, penalties: Penalties) -> MistakeShown:
    """Return what is told of a mistake that was looked for, as far as it is paid for."""
    entry, told = looked.entry, looked.told
    assert told is not None, "there is a mistake to show"
    mistake, rung = told.mistake, told.rung
    return MistakeShown(
        rung=rung,
        kind=mistake.kind,
        count=told.count,
        region=region_of(mistake.cell, day.puzzle.givens) if rung >= REGION else None,
        cell=mistake.cell if rung >= CELL else None,
        seconds=looked.seconds,
        total=entry.added_seconds,
        next_cost=penalties.mistakes[rung] if rung < CELL else None,
        picture=board_picture(day, entry, (mistake.cell,) if rung >= CELL else ()),
        number=number_of(entry, mistake.key),
    )
