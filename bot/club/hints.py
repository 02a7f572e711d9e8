"""The hint stair: which step to nudge towards, on which rung, and what it costs.

A mistake in the position comes before any hint and has rungs of its own: no hint is ever built on
a wrong board. A hint under way is kept while its step applies; a rung is charged once.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from msgspec.structs import replace

from bot.club.acts import AskHint
from bot.club.boards import board_lines, write_digits
from bot.club.charging import rung_charged, with_charge
from bot.club.facts import GridPicture, HintPicture, Position, facts_of_step, step_of_facts
from bot.club.position import (
    Mistake,
    find_mistakes,
    grid_of,
    is_as_published,
    region_of,
    with_known,
)
from bot.club.replies import (
    BoardChecked,
    BoardFull,
    HintNotThere,
    HintOffered,
    HintShown,
    HintStuck,
    KnownNoted,
    MistakeShown,
    NoHintUnderWay,
    PaperForm,
    Reply,
)
from bot.club.showing import board_picture
from bot.club.state import Day, Entry, HintUnderWay, Penalties
from engine.solving import Narrowing, find_hint, still_applies
from engine.techniques import LADDER, Technique

ASK_AFTER = timedelta(minutes=2)
"""A board still as published so long after the start: ask which board is meant first."""

WHERE, WHAT, WHICH, WHY = 1, 2, 3, 4
_PICTURED = {WHERE: "where", WHICH: "which", WHY: "why"}
CLIMB = "hint more"

Outcome = tuple[Entry, Reply]


def decide_hint(
    day: Day,
    entry: Entry,
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
            return _note_known(day, entry)
        case "more":
            return _climb(day, entry, penalties)
    if not act.sure and _is_doubtful(day, entry, acted_at):
        return entry, _offer(day, entry, penalties, acted_at)
    return hint_from_board(day, entry, penalties, house=act.house, digit=act.digit, ladder=ladder)


def _is_doubtful(day: Day, entry: Entry, acted_at: datetime) -> bool:
    """Say whether the member may be far ahead on paper: then a rung from the board is wasted."""
    return (
        entry.started_at is not None
        and acted_at - entry.started_at >= ASK_AFTER
        and is_as_published(entry, day.puzzle.givens)
        and entry.hint is None
        and not entry.known.places
    )


def _offer(day: Day, entry: Entry, penalties: Penalties, acted_at: datetime) -> HintOffered:
    kept = None if find_mistakes(entry.board, day.puzzle.solution) else _hint_kept(entry)
    return HintOffered(
        is_published=_is_doubtful(day, entry, acted_at),
        costs=penalties.rungs,
        in_progress=kept.rung if kept else 0,
    )


def hint_from_board(
    day: Day,
    entry: Entry,
    penalties: Penalties,
    *,
    house: str | None = None,
    digit: int | None = None,
    echo: GridPicture | None = None,
    ladder: Sequence[Technique] = LADDER,
) -> Outcome:
    """Show the first rung from the member's board, or again the rung of the hint under way."""
    mistake = _mistake_of(day, entry)
    if mistake:
        return _show_mistake(day, entry, mistake, penalties, climb=False)
    entry = replace(entry, mistake_rung=0)
    grid = grid_of(entry.board, entry.known)
    if grid.is_complete:
        return entry, BoardFull()
    kept = _hint_kept(entry)
    if kept and house is None and digit is None:
        return _show_rung(day, entry, kept, penalties, echo=echo, is_kept=True)
    narrowing = None
    if house is not None or digit is not None:
        narrowing = Narrowing(grid.layout.parse_house(house) if house else None, digit)
    step = find_hint(grid, narrowing, ladder=ladder)
    if step is None:
        if narrowing:
            return entry, HintNotThere(house=house, digit=digit)
        return entry, HintStuck(highest_level=max(each.level for each in LADDER))
    facts = facts_of_step(grid.layout, step)
    if kept and kept.step.key == facts.key:
        return _show_rung(day, entry, kept, penalties, echo=echo, is_kept=True)
    fresh = HintUnderWay(facts, Position.of(grid), WHERE)
    return _show_rung(day, entry, fresh, penalties, echo=echo)


def _climb(day: Day, entry: Entry, penalties: Penalties) -> Outcome:
    mistake = _mistake_of(day, entry)
    if mistake and (entry.mistake_rung or entry.hint):
        return _show_mistake(day, entry, mistake, penalties, climb=entry.mistake_rung > 0)
    if entry.hint is not None and entry.hint.rung == WHY and not mistake:
        return _show_rung(day, entry, entry.hint, penalties)
    kept = _hint_kept(entry) if not mistake else None
    if kept is None:
        return entry, NoHintUnderWay()
    return _show_rung(day, entry, replace(kept, rung=kept.rung + 1), penalties)


def _hint_kept(entry: Entry) -> HintUnderWay | None:
    """Return the hint under way, from where the member now is, if its step still applies.

    Where its pattern is no longer whole on the board, it keeps the position that it was found at.
    """
    hint = entry.hint
    if hint is None:
        return None
    now = grid_of(entry.board, entry.known)
    step = step_of_facts(now.layout, hint.step)
    if not still_applies(now, step):
        return None
    if (step.pattern | step.removes) & ~now.candidates:
        return hint
    return replace(hint, position=Position.of(now))


def _show_rung(
    day: Day,
    entry: Entry,
    hint: HintUnderWay,
    penalties: Penalties,
    *,
    echo: GridPicture | None = None,
    is_kept: bool = False,
) -> Outcome:
    key, rung = f"hint:{hint.step.key}", hint.rung
    entry, seconds = with_charge(
        entry,
        key,
        rung,
        penalties.rungs[rung - 1],
        technique=hint.step.technique,
        position=hint.position,
    )
    known = with_known(entry.known, hint.step) if rung == WHY else entry.known
    entry = replace(entry, hint=hint, known=known)
    picture = None
    if rung in _PICTURED:
        picture = HintPicture(day.puzzle.givens, hint.position, hint.step, _PICTURED[rung])
    return entry, HintShown(
        rung=rung,
        step=hint.step,
        position=hint.position,
        seconds=seconds,
        total=entry.added_seconds,
        picture=picture,
        next_cost=_next_cost(entry, key, rung, penalties.rungs),
        echo=echo,
        is_kept=is_kept,
    )


def _next_cost(entry: Entry, key: str, rung: int, costs: tuple[int, ...]) -> int | None:
    if rung >= len(costs):
        return None
    paid = entry.finished_at is not None or rung_charged(entry, key) > rung
    return 0 if paid else costs[rung]


def _note_known(day: Day, entry: Entry) -> Outcome:
    """Count the step under way as known. Its conclusions show on later pictures, so the member
    must have been told what the step is: the technique for a strike, the cell for a placement."""
    kept = _hint_kept(entry) if not find_mistakes(entry.board, day.puzzle.solution) else None
    if kept is None:
        return entry, NoHintUnderWay()
    step = kept.step
    if kept.rung < (WHICH if step.places else WHAT):
        return entry, KnownNoted(step=step, placed=(), rung=kept.rung, is_recorded=False)
    entry = replace(entry, known=with_known(entry.known, step), hint=None)
    if step.places:
        entry = write_digits(entry, day.puzzle.givens, step.places, "hint")
    return entry, KnownNoted(step=step, placed=step.places, rung=kept.rung)


# --- mistakes ---


def _mistake_of(day: Day, entry: Entry) -> Mistake | None:
    """Return the mistake to speak of: the one spoken of last while it stands, else the first."""
    mistakes = find_mistakes(entry.board, day.puzzle.solution)
    by_key = {mistake.key: mistake for mistake in mistakes}
    for charge in reversed(entry.charges):
        if charge.key in by_key:
            return by_key[charge.key]
    return mistakes[0] if mistakes else None


def _show_mistake(
    day: Day, entry: Entry, mistake: Mistake, penalties: Penalties, *, climb: bool
) -> Outcome:
    told = rung_charged(entry, mistake.key)
    top = len(penalties.mistakes)
    rung = min(top, max(1, told + 1 if climb else told))
    entry, seconds = with_charge(entry, mistake.key, rung, penalties.mistakes[rung - 1])
    entry = replace(entry, mistake_rung=rung)
    return entry, MistakeShown(
        rung=rung,
        kind=mistake.kind,
        region=region_of(mistake.cell, day.puzzle.givens) if rung >= 2 else None,
        cell=mistake.cell if rung >= 3 else None,
        seconds=seconds,
        total=entry.added_seconds,
        next_cost=_next_cost(entry, mistake.key, rung, penalties.mistakes),
        picture=board_picture(day, entry),
    )


def decide_check(day: Day, entry: Entry, penalties: Penalties) -> Outcome:
    """Say whether the board is right so far. The same board is charged once, an untouched never."""
    board = entry.board
    untouched = is_as_published(entry, day.puzzle.givens)
    struck = ",".join(f"{name}-{digit}" for name, digit in board.ruled_out)
    seconds = 0
    if not untouched:
        key = f"check:{board.grid}:{struck}"
        entry, seconds = with_charge(entry, key, 1, penalties.check)
    open_cells = board.grid.count(".") + board.grid.count("0")
    given = sum(mark not in ".0" for mark in day.puzzle.givens)
    return entry, BoardChecked(
        is_right=not find_mistakes(board, day.puzzle.solution),
        filled=len(board.grid) - open_cells - given,
        open_cells=open_cells,
        seconds=seconds,
        total=entry.added_seconds,
        is_untouched=untouched,
    )
