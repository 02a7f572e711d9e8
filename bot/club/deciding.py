"""Decisions on a member's board, clock and hints of the open day: scene in, changes out.

Everything here is a pure function of the scene and the event. What needs more than the scene
(answers, tables, leaders' acts) is in `bot.club.service`, which also saves what is decided.
"""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

from msgspec.structs import replace

from bot.club import boards, notices
from bot.club.acts import (
    AskHint,
    CheckBoard,
    Event,
    OnDay,
    PasteGrid,
    PlaceDigits,
    RuleOut,
    ShowBoard,
    ShowToday,
    StartClock,
    Undo,
    WriteRow,
)
from bot.club.answers import with_start
from bot.club.charging import as_of, with_stamps
from bot.club.due import next_post_of
from bot.club.hints import decide_check, decide_hint, hint_from_board
from bot.club.ladders import ladder_of
from bot.club.ports import Change, SaveEntry, SaveMember
from bot.club.refusal import RefusedError, refusal_of
from bot.club.replies import (
    BoardShown,
    ClockNotStarted,
    DayUnknown,
    GivensDiffer,
    NoPuzzleOpen,
    OtherPuzzle,
    PaperForm,
    PuzzleOver,
    Reply,
    UndoEmpty,
)
from bot.club.showing import (
    board_picture,
    fresh_entry,
    is_covered,
    show_board,
    show_clock,
    show_today,
)
from bot.club.state import Day, Member, MemberSolve, Result, Scene
from bot.club.wider import NOTHING_WIDER, Wider
from engine import EngineError, parse_grid, read_pasted

MOST_SLIPS = 3
"""Givens that may differ before a pasted grid is taken for another puzzle."""

BoardAct = (
    ShowToday
    | StartClock
    | ShowBoard
    | PlaceDigits
    | WriteRow
    | RuleOut
    | Undo
    | CheckBoard
    | AskHint
    | PasteGrid
)


@dataclass(frozen=True, slots=True)
class Decision:
    """The answer, and what is to be saved with it. `is_kept` False: the reply is not stored."""

    reply: Reply
    changes: tuple[Change, ...] = ()
    is_kept: bool = True


def decide_on_board(
    scene: Scene, event: Event, act: BoardAct, wider: Wider = NOTHING_WIDER
) -> Decision:
    """Decide on an act on the open day. RefusedError says why not.

    Where the act came before the member's answer, and reached us after it, what was said of their
    result is said anew.
    """
    day = open_day(scene, event)
    entry = scene.entry or fresh_entry(day, scene.came_back)
    at_the_time = entry if isinstance(act, StartClock) else as_of(entry, event.acted_at)
    changed, reply = _outcome(scene, event, act, day, at_the_time)
    changed = with_stamps(changed, event.acted_at, after=len(entry.charges))
    changed = replace(changed, finished_at=entry.finished_at)
    if changed == entry:
        return Decision(reply)
    saved = saving(scene.member, event, changed)
    if is_told_late(entry, event):
        saved += notices.result_retold(
            scene.club, day, event.user_id, wider.entries, changed, wider.leaders
        )
    return Decision(reply, saved)


def on_day(scene: Scene, event: Event, act: OnDay) -> tuple[Scene, Event]:
    """Return the scene and the event of an act that names its day, which is open then as if it were
    the only one. RefusedError where it is not."""
    event = dataclasses.replace(event, act=act.act)
    today, earlier = scene.today, scene.earlier
    if today is not None and today.date == act.day:
        return scene, event
    if earlier is not None and earlier.date == act.day and event.acted_at < earlier.closes_at:
        shown = replace(scene, today=earlier, entry=scene.earlier_entry, day_results=())
        return replace(shown, earlier=None, earlier_entry=None), event
    newest = today or earlier
    if newest is None or act.day > newest.date:
        raise RefusedError(DayUnknown(date=act.day))
    raise RefusedError(PuzzleOver(date=act.day))


def is_told_late(entry: MemberSolve | None, event: Event) -> bool:
    """Say whether the act came before the member's answer and reached us after it."""
    return entry is not None and as_of(entry, event.acted_at) != entry


def is_after(result: Result, event: Event) -> bool:
    """Say whether a result that is known already was finished after the act, by its stamp."""
    return result.finished_at is not None and result.finished_at > event.acted_at


def saving(member: Member | None, event: Event, entry: MemberSolve) -> tuple[Change, ...]:
    """Return the changes that save an entry, and its member where they are new or renamed."""
    name = event.name.strip() or event.user_id
    if member is not None and member.name == name:
        return (SaveEntry(event.user_id, entry),)
    known = member or Member(0, event.club_id, event.user_id, name)
    return SaveMember(replace(known, name=name)), SaveEntry(event.user_id, entry)


def open_day(scene: Scene, event: Event) -> Day:
    """Return the day open at the event's stamp. RefusedError where none is."""
    if scene.today is not None:
        return scene.today
    raise RefusedError(no_puzzle(scene, event))


def no_puzzle(scene: Scene, event: Event) -> NoPuzzleOpen:
    club, days = scene.club, () if scene.earlier is None else (scene.earlier,)
    return NoPuzzleOpen(
        next_at=next_post_of(club, days, event.acted_at),
        zone=club.settings.zone,
        paused=club.paused,
    )


def _outcome(
    scene: Scene, event: Event, act: BoardAct, day: Day, entry: MemberSolve
) -> tuple[MemberSolve, Reply]:
    club, penalties = scene.club, scene.club.settings.penalties
    if isinstance(act, ShowToday):
        return entry, show_today(club, day, scene.entry, as_text=act.as_text)
    if isinstance(act, StartClock):
        started = with_start(day, entry, event.acted_at, club.settings)
        was_running = entry.started_at is not None
        if not was_running and entry.finished_at is not None:
            # Solved without a clock: none runs now, and one started before just reached us late.
            return started, show_today(club, day, started, as_text=False)
        return started, show_clock(club, day, started, was_running=was_running)
    _need_clock(day, entry, act)
    match act:
        case ShowBoard():
            return entry, show_board(club, day, entry, "shown", as_text=act.as_text)
        case CheckBoard():
            return decide_check(day, entry, penalties)
        case AskHint():
            ladder = ladder_of(club.settings)
            return decide_hint(day, entry, act, penalties, event.acted_at, ladder=ladder)
        case PasteGrid():
            return _paste(scene, day, entry, act)
        case Undo():
            before = boards.undo(entry)
            if before is None:
                return entry, UndoEmpty()
            return before, show_board(club, day, before, "undone")
    return _write(scene, day, entry, act)


def _need_clock(day: Day, entry: MemberSolve, act: BoardAct) -> None:
    """Refuse what costs seconds before the clock runs, and a sealed puzzle altogether."""
    costs = isinstance(act, AskHint | CheckBoard) or (isinstance(act, PasteGrid) and act.then_hint)
    has_begun = entry.started_at is not None or entry.finished_at is not None
    if not has_begun and (costs or is_covered(day, entry)):
        raise RefusedError(ClockNotStarted(command=_line_of(act), sealed=day.sealed))


def _line_of(act: BoardAct) -> str:
    """Return the command line to repeat once the clock runs."""
    match act:
        case AskHint(house=str(house)):
            return f"hint {house}"
        case AskHint(digit=int(digit)):
            return f"hint for {digit}"
        case AskHint(way="offer"):
            return "hint"
        case AskHint(way="paper"):
            return "hint paper"
        case AskHint():
            return "hint board"
        case PasteGrid(then_hint=True):
            return "hint paper"
        case PasteGrid():
            return "paste"
        case CheckBoard():
            return "check"
    return "board"


def _write(
    scene: Scene, day: Day, entry: MemberSolve, act: PlaceDigits | WriteRow | RuleOut
) -> tuple[MemberSolve, BoardShown]:
    givens = day.puzzle.givens
    match act:
        case RuleOut(candidates):
            changed = boards.strike(entry, candidates)
            return changed, show_board(scene.club, day, changed, "ruled-out", marks=candidates)
        case PlaceDigits(marks):
            change, changed = "placed", boards.write_digits(entry, givens, marks, "place")
        case WriteRow(row, digits):
            marks = boards.row_marks(givens, row, digits)
            change, changed = "row", boards.write_digits(entry, givens, marks, "row")
    written, rubbed = boards.differences(entry.board.grid, changed.board.grid)
    if rubbed and not written:
        change, written = "rubbed", rubbed
    return changed, show_board(scene.club, day, changed, change, marks=written)


def _paste(scene: Scene, day: Day, entry: MemberSolve, act: PasteGrid) -> tuple[MemberSolve, Reply]:
    """Take a pasted or overtyped grid as the board; with no text, give the form to fill."""
    command = "hint paste" if act.then_hint else "paste"
    if not act.text.strip():
        lines = boards.board_lines(entry.board.grid)
        return entry, PaperForm(lines=lines, then_hint=act.then_hint)
    givens = day.puzzle.givens
    try:
        pasted = read_pasted(act.text, parse_grid(givens).layout).text
        slips = boards.given_slips(pasted, givens)
        if not slips:
            parse_grid(pasted)
    except EngineError as error:
        raise RefusedError(refusal_of(command, error)) from None
    if len(slips) > MOST_SLIPS:
        count = len(givens) - boards.count_open(givens)
        return entry, OtherPuzzle(differing=len(slips), givens=count)
    if slips:
        return entry, GivensDiffer(slips=slips)
    changed = boards.with_board(entry, replace(entry.board, grid=pasted))
    if not act.then_hint:
        return changed, show_board(scene.club, day, changed, "pasted")
    settings = scene.club.settings
    return hint_from_board(
        day,
        changed,
        settings.penalties,
        echo=board_picture(day, changed),
        ladder=ladder_of(settings),
    )
