"""The hint stair: which step to nudge towards, on which rung, and what it costs.

A mistake in the position comes before any new hint and has rungs of its own: no hint is ever built
on a wrong board. A hint under way is kept while its step applies; a rung is charged once. Whether
the board is right is asked of `bot.club.gate` alone, and only where seconds are added.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from itertools import compress

from msgspec.structs import replace

from bot.club.acts import AskHint
from bot.club.boards import board_lines, count_open, digit_in, layout_of, strike, write_digits
from bot.club.charging import rung_charged, with_charge
from bot.club.facts import GridPicture, Position, facts_of_step, step_of_facts
from bot.club.gate import (
    Looked,
    buy_rung,
    check_board,
    climb,
    look,
    told_mistake,
)
from bot.club.hints_told import hint_shown, mistake_shown, rungs_to_know
from bot.club.position import is_as_published, with_known
from bot.club.replies import (
    BoardChecked,
    BoardFull,
    HintNotThere,
    HintOffered,
    HintStuck,
    KnownNoted,
    NoHintUnderWay,
    PaperForm,
    Reply,
)
from bot.club.state import Day, HintUnderWay, MemberSolve, Penalties
from bot.club.under_way import (
    WHAT,
    WHERE,
    WHICH,
    WHY,
    as_told,
    hint_after,
    hint_kept,
    hint_numbered,
    is_noted,
    key_of,
    number_of,
    position_now,
    price_of,
    rung_under_way,
)
from engine import LADDER, Layout, Narrowing, Technique, find_hint

ASK_AFTER = timedelta(minutes=2)
"""A board still as published so long after the start: ask which board is meant first."""

Outcome = tuple[MemberSolve, Reply]


def decide_hint(
    day: Day,
    entry: MemberSolve,
    act: AskHint,
    penalties: Penalties,
    acted_at: datetime,
    *,
    ladder: Sequence[Technique] = LADDER,
) -> Outcome:
    """Answer a hint command of a member whose clock runs, by the techniques of a ladder."""
    match act.way:
        case "offer":
            return entry, _offer(day, entry, penalties, acted_at)
        case "paper":
            return entry, PaperForm(lines=board_lines(entry.board.grid))
        case "known":
            return _note_known(day, entry, act, penalties)
        case "more":
            return _climb(day, entry, act, penalties)
    after = hint_after(entry, act.number)
    if after is not None:
        return entry, hint_shown(day, entry, after, 0, penalties)
    if not act.sure and _is_doubtful(day, entry, acted_at):
        return entry, _offer(day, entry, penalties, acted_at)
    return hint_from_board(day, entry, penalties, act, ladder=ladder)


def _is_doubtful(day: Day, entry: MemberSolve, acted_at: datetime) -> bool:
    """Say whether the member may be far ahead on paper: then a rung from the board is wasted."""
    return (
        entry.started_at is not None
        and acted_at - entry.started_at >= ASK_AFTER
        and is_as_published(entry, day.puzzle.givens)
        and entry.hint is None
        and not entry.known.places
    )


def _offer(day: Day, entry: MemberSolve, penalties: Penalties, acted_at: datetime) -> HintOffered:
    return HintOffered(
        is_published=_is_doubtful(day, entry, acted_at),
        costs=penalties.rungs,
        in_progress=rung_under_way(day, entry),
        number=number_of(entry, key_of(entry.hint)) if entry.hint else 0,
    )


def hint_from_board(
    day: Day,
    entry: MemberSolve,
    penalties: Penalties,
    act: AskHint,
    *,
    echo: GridPicture | None = None,
    ladder: Sequence[Technique] = LADDER,
) -> Outcome:
    """Show the first rung from the member's board, or again the rung of the hint under way.

    A hint that is asked for somewhere starts there: else the member is told first, for nothing.

    What costs nothing comes from the board and from what was told before, right or wrong; the
    solution is asked where seconds are added.
    """
    told = told_mistake(entry)
    if told is not None:
        return _show_mistake(day, Looked(entry, 0, told), penalties)
    open_cells = count_open(entry.board.grid)
    if not open_cells:
        return entry, BoardFull()
    grid = position_now(day, entry)
    if grid is None:
        return _show_clash(day, entry, penalties)
    if grid.is_complete:
        return entry, BoardFull(open_cells=open_cells)
    kept = hint_kept(day, entry)
    if kept and not act.is_narrowed:
        return _show_rung(day, entry, kept, 0, penalties, echo=echo, is_kept=True)
    step = find_hint(grid, narrowing_of(act, grid.layout), ladder=ladder)
    if step is None and act.is_narrowed:
        if not act.anywhere:
            return entry, HintNotThere(house=act.house, digit=act.digit, cell=act.cell)
        step = find_hint(grid, ladder=ladder)
    if step is None:
        return entry, HintStuck(highest_level=max(each.level for each in LADDER))
    facts = facts_of_step(grid.layout, step)
    if kept and kept.step.key == facts.key:
        return _show_rung(day, entry, kept, 0, penalties, echo=echo, is_kept=True)
    fresh = HintUnderWay(facts, Position.of(grid), WHERE)
    if rung_charged(entry, key_of(fresh)):
        return _show_rung(day, entry, as_told(entry, fresh), 0, penalties, echo=echo)
    return _buy_rung(day, entry, fresh, penalties, echo=echo)


def narrowing_of(act: AskHint, layout: Layout) -> Narrowing | None:
    """Return what the hint is to be about, None for the whole board."""
    if not act.is_narrowed:
        return None
    return Narrowing(
        layout.parse_house(act.house) if act.house else None,
        act.digit,
        layout.parse_cell(act.cell) if act.cell else None,
        starts_there=not act.anywhere,
    )


def _climb(day: Day, entry: MemberSolve, act: AskHint, penalties: Penalties) -> Outcome:
    """Show the next rung, or the one that a button names: again, and free, where it was told."""
    told = told_mistake(entry)
    if told is not None:
        is_next = number_of(entry, told.mistake.key) == act.number and act.rung > told.rung
        further = is_next or not act.rung
        looked = climb(day, entry, told, penalties) if further else Looked(entry, 0, told)
        return _show_mistake(day, looked, penalties)
    hint = hint_numbered(entry, act.number)
    if hint is None:
        return entry, NoHintUnderWay()
    if act.rung and act.rung <= hint.rung:
        again = replace(hint, rung=act.rung)
        return entry, hint_shown(day, entry, again, 0, penalties)
    if hint.rung == WHY:
        return _show_rung(day, entry, hint, 0, penalties)
    now = position_now(day, entry)
    if now is None:
        return _show_clash(day, entry, penalties)
    kept = hint_kept(day, replace(entry, hint=hint))
    if kept is None:
        return entry, NoHintUnderWay()
    paid = rung_charged(entry, key_of(kept))
    higher = replace(kept, rung=min(act.rung or WHY, max(kept.rung + 1, act.rung and paid)))
    if paid >= higher.rung:
        return _show_rung(day, entry, higher, 0, penalties)
    step = step_of_facts(now.layout, kept.step)
    if not (step.pattern | step.removes) & ~now.candidates:
        higher = replace(higher, position=Position.of(now))
    return _buy_rung(day, entry, higher, penalties)


def _buy_rung(
    day: Day,
    entry: MemberSolve,
    hint: HintUnderWay,
    penalties: Penalties,
    *,
    echo: GridPicture | None = None,
) -> Outcome:
    """Pay for a rung and show it; where the board has a mistake, that is told for it instead."""
    looked = buy_rung(day, entry, penalties, price_of(hint, penalties))
    if looked.told is not None:
        return _show_mistake(day, looked, penalties)
    return _show_rung(day, looked.entry, hint, looked.seconds, penalties, echo=echo)


def _show_rung(
    day: Day,
    entry: MemberSolve,
    hint: HintUnderWay,
    seconds: int,
    penalties: Penalties,
    *,
    echo: GridPicture | None = None,
    is_kept: bool = False,
) -> Outcome:
    known = with_known(entry.known, hint.step) if hint.rung == WHY else entry.known
    entry = replace(entry, hint=hint, known=known)
    return entry, hint_shown(day, entry, hint, seconds, penalties, echo=echo, is_kept=is_kept)


# --- what is known already ---


def _note_known(day: Day, entry: MemberSolve, act: AskHint, penalties: Penalties) -> Outcome:
    """Write the conclusions of the step under way on the board, or of the one that a button names:
    they count like the member's own.

    The member must have been told what the step is: the technique for a strike, the cell for a
    placement. Whatever rungs tell the conclusions is paid for.
    """
    hint = hint_numbered(entry, act.number)
    kept = None if told_mistake(entry) else hint_kept(day, replace(entry, hint=hint))
    if kept is None:
        if hint is not None and act.number and is_noted(entry, hint):
            return entry, _known_noted(entry, hint, seconds=0)
        return entry, NoHintUnderWay()
    step, before = kept.step, entry.added_seconds
    if kept.rung < (WHICH if step.places else WHAT):
        number = number_of(entry, key_of(kept))
        return entry, KnownNoted(
            step=step, placed=(), rung=kept.rung, is_recorded=False, number=number
        )
    for charge in rungs_to_know(entry, kept, penalties):
        entry, _ = with_charge(
            entry, charge.key, charge.rung, charge.seconds, technique=charge.technique
        )
    if kept == entry.hint:
        entry = replace(entry, hint=None)
    entry = write_digits(entry, day.puzzle.givens, step.places, "hint")
    noted = _known_noted(entry, kept, seconds=entry.added_seconds - before)
    return strike(entry, noted.struck), noted


def _known_noted(entry: MemberSolve, hint: HintUnderWay, *, seconds: int) -> KnownNoted:
    step, layout, grid = hint.step, layout_of(entry.board.grid), entry.board.grid
    is_open = [not digit_in(grid, layout.parse_cell(name)) for name, _ in step.removes]
    return KnownNoted(
        step=step,
        placed=step.places,
        rung=hint.rung,
        struck=tuple(compress(step.removes, is_open)),
        seconds=seconds,
        total=entry.added_seconds,
        number=number_of(entry, key_of(hint)),
    )


# --- mistakes ---


def _show_clash(day: Day, entry: MemberSolve, penalties: Penalties) -> Outcome:
    """Answer where a digit stands twice in a house: one of the two is a mistake."""
    looked = look(day, entry, penalties)
    if looked.told is None:
        return entry, HintStuck(highest_level=max(each.level for each in LADDER))
    return _show_mistake(day, looked, penalties)


def _show_mistake(day: Day, looked: Looked, penalties: Penalties) -> Outcome:
    return looked.entry, mistake_shown(day, looked, penalties)


def decide_check(day: Day, entry: MemberSolve, penalties: Penalties) -> Outcome:
    """Say whether the board is right so far. The same board is charged once, an untouched never."""
    board = entry.board
    open_cells, given_open = count_open(board.grid), count_open(day.puzzle.givens)
    untouched = is_as_published(entry, day.puzzle.givens)
    looked, is_right = (Looked(entry, 0), True) if untouched else check_board(day, entry, penalties)
    return looked.entry, BoardChecked(
        is_right=is_right,
        filled=given_open - open_cells,
        open_cells=open_cells,
        seconds=looked.seconds,
        total=looked.entry.added_seconds,
        is_untouched=untouched,
    )
