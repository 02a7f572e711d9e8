"""Decisions on a member's board, clock and hints of the open day: scene in, changes out.

Each act has its outcome, a pure function of the day, the member's entry as it was then, and the
act; what all of them share is in `decide_on_board`. Their courses stand at the end.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from msgspec.structs import replace

from bot.club import boards, notices
from bot.club.acts import (
    Act,
    AskHint,
    CheckBoard,
    Event,
    HandIn,
    OnDay,
    PasteGrid,
    PlaceDigits,
    Redo,
    RuleOut,
    ShowBoard,
    ShowToday,
    StartClock,
    Undo,
    WriteRow,
)
from bot.club.answers import with_start
from bot.club.charging import as_of, with_stamps
from bot.club.clock import local_date
from bot.club.course import A, Course, Decision
from bot.club.due import next_post_of
from bot.club.hints import decide_check, decide_hint, hint_from_board
from bot.club.ladders import ladder_of
from bot.club.loading import Loading
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
    RedoEmpty,
    Reply,
    UndoEmpty,
)
from bot.club.replies_playing import WITH_UNDO
from bot.club.showing import (
    board_picture,
    fresh_entry,
    is_covered,
    show_board,
    show_clock,
    show_today,
)
from bot.club.state import Day, Member, MemberSolve, Result, Scene
from engine import EngineError, parse_grid, read_pasted

MOST_SLIPS = 3
"""Givens that may differ before a pasted grid is taken for another puzzle."""

Outcome = Callable[[Scene, Event, Day, MemberSolve, A], tuple[MemberSolve, Reply]]
"""Takes the open day, the member's entry as it was then and the act; returns the entry as it is
after it, and the reply. RefusedError says why not."""


@dataclass(frozen=True, slots=True)
class Retelling:
    """For an act that reached us after an answer that it came before: all `entries` of its day, the
    `leaders`, who are told of what waits for them."""

    entries: tuple[tuple[Member, MemberSolve], ...] = ()
    leaders: tuple[str, ...] = ()


async def load_retelling(loading: Loading, scene: Scene, event: Event, act: Act) -> Retelling:
    """Load who is to be told anew, where anybody is."""
    if scene.entry is None or not is_told_late(scene.entry, event):
        return Retelling()
    entries = await loading.store.load_entries(scene.entry.day_id)
    return Retelling(entries, loading.leaders_of(scene.club))


def decide_on_board(
    scene: Scene, event: Event, act: A, retelling: Retelling, outcome: Outcome[A]
) -> Decision:
    """Decide on an act on the open day by its outcome. RefusedError says why not.

    Where the act came before the member's answer, and reached us after it, what was said of their
    result is said anew.
    """
    day = open_day(scene, event)
    entry = scene.entry or fresh_entry(day, scene.came_back)
    changed, reply = outcome(scene, event, day, as_of(entry, event.acted_at), act)
    changed = with_stamps(changed, event.acted_at, after=len(entry.charges))
    changed = replace(changed, finished_at=entry.finished_at)
    if isinstance(reply, WITH_UNDO):
        reply = replace(reply, undoes=boards.name_of_board(changed))
    if changed == entry:
        return Decision(reply)
    saved = saving(scene.member, event, changed)
    if is_told_late(entry, event):
        saved += notices.result_retold(
            scene.club,
            day,
            event.user_id,
            retelling.entries,
            changed,
            retelling.leaders,
        )
    return Decision(reply, saved)


def on_board(act: type[A], outcome: Outcome[A]) -> Course[A, Retelling]:
    """Return the course of an act on the open day's board."""

    def decide(scene: Scene, event: Event, act: A, retelling: Retelling) -> Decision:
        return decide_on_board(scene, event, act, retelling, outcome)

    return Course(act, decide, load_retelling, is_own=True)


def on_day(scene: Scene, event: Event, act: OnDay) -> tuple[Scene, Event]:
    """Return the scene and the event of an act that names its day, which is open then as if it were
    the only one. RefusedError where it is not."""
    event = dataclasses.replace(event, act=act.act)
    today, earlier = scene.today, scene.earlier
    if today is not None and today.date == act.day:
        return scene, event
    if earlier is not None and earlier.date == act.day and event.acted_at < earlier.closes_at:
        shown = replace(scene, today=earlier, entry=scene.earlier_entry)
        return replace(shown, earlier=None, earlier_entry=None), event
    newest = today or earlier
    if newest is None or act.day > newest.date:
        raise RefusedError(DayUnknown(date=act.day))
    raise RefusedError(PuzzleOver(date=act.day))


def on_board_of(reply: Reply, scene: Scene, act: Act) -> Reply:
    """Return the reply with the day whose board its buttons act on: the one that it is about, else
    the one that was named, else the open one."""
    if reply.board_of is not None:
        return reply
    named = act.day if isinstance(act, OnDay | HandIn) else None
    today = None if scene.today is None else scene.today.date
    return replace(reply, board_of=named or today)


def has_finished(scene: Scene) -> bool:
    """Say whether the member has handed in an answer that an act of theirs may be told late to."""
    entries = (scene.entry, scene.earlier_entry, scene.unconfirmed_entry)
    return any(entry is not None and entry.finished_at is not None for entry in entries)


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
    raise RefusedError(no_puzzle(scene, event.acted_at))


def no_puzzle(scene: Scene, at: datetime) -> NoPuzzleOpen:
    """Return the answer to whoever asks for a puzzle while none is open."""
    club, days = scene.club, () if scene.earlier is None else (scene.earlier,)
    return NoPuzzleOpen(
        next_at=next_post_of(club, days, at),
        zone=club.settings.zone,
        paused=club.paused,
        asked_on=local_date(at, club.settings.zone),
    )


# --- the outcomes ---


def _today(
    scene: Scene, event: Event, day: Day, entry: MemberSolve, act: ShowToday
) -> tuple[MemberSolve, Reply]:
    return entry, show_today(scene.club, day, scene.entry, as_text=act.as_text)


def _start(
    scene: Scene, event: Event, day: Day, entry: MemberSolve, act: StartClock
) -> tuple[MemberSolve, Reply]:
    club, entry = scene.club, scene.entry or entry
    started = with_start(day, entry, event.began_at, club.settings)
    was_running = entry.started_at is not None
    if entry.finished_at is not None:
        # None runs any more, and one that was started before just reached us late.
        return started, show_today(club, day, started, as_text=False)
    return started, show_clock(club, day, started, was_running=was_running)


def _board(
    scene: Scene, event: Event, day: Day, entry: MemberSolve, act: ShowBoard
) -> tuple[MemberSolve, Reply]:
    need_clock(day, entry, act)
    return entry, show_board(scene.club, day, entry, "shown", as_text=act.as_text)


def _check(
    scene: Scene, event: Event, day: Day, entry: MemberSolve, act: CheckBoard
) -> tuple[MemberSolve, Reply]:
    need_clock(day, entry, act)
    return decide_check(day, entry, scene.club.settings.penalties)


def _hint(
    scene: Scene, event: Event, day: Day, entry: MemberSolve, act: AskHint
) -> tuple[MemberSolve, Reply]:
    need_clock(day, entry, act)
    settings = scene.club.settings
    ladder = ladder_of(settings)
    return decide_hint(day, entry, act, settings.penalties, event.acted_at, ladder=ladder)


def _undo(
    scene: Scene, event: Event, day: Day, entry: MemberSolve, act: Undo
) -> tuple[MemberSolve, Reply]:
    need_clock(day, entry, act)
    if act.board and act.board != boards.name_of_board(entry):
        again = boards.redo(entry)
        is_done = again is not None and act.board == boards.name_of_board(again)
        return entry, show_board(scene.club, day, entry, "undone" if is_done else "not-undone")
    before = boards.undo(entry)
    if before is None:
        return entry, UndoEmpty()
    return before, show_board(scene.club, day, before, "undone")


def need_clock(day: Day, entry: MemberSolve, act: Act) -> None:
    """Refuse what costs seconds before the clock runs, and a sealed puzzle altogether."""
    costs = isinstance(act, AskHint | CheckBoard) or (isinstance(act, PasteGrid) and act.then_hint)
    has_begun = entry.started_at is not None or entry.finished_at is not None
    if not has_begun and (costs or is_covered(day, entry)):
        raise RefusedError(ClockNotStarted(command=_line_of(act), sealed=day.sealed))


def _line_of(act: Act) -> str:
    """Return the command line to repeat once the clock runs."""
    match act:
        case AskHint() if act.is_narrowed:
            about = (act.cell, act.house, f"for {act.digit}" if act.digit else None)
            return " ".join(["hint", *filter(None, about)])
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


def _redo(
    scene: Scene, event: Event, day: Day, entry: MemberSolve, act: Redo
) -> tuple[MemberSolve, Reply]:
    need_clock(day, entry, act)
    after = boards.redo(entry)
    if after is None:
        return entry, RedoEmpty()
    return after, show_board(scene.club, day, after, "redone")


def _rule_out(
    scene: Scene, event: Event, day: Day, entry: MemberSolve, act: RuleOut
) -> tuple[MemberSolve, Reply]:
    need_clock(day, entry, act)
    changed = boards.strike(entry, act.candidates)
    return changed, show_board(scene.club, day, changed, "ruled-out", marks=act.candidates)


def _place(
    scene: Scene, event: Event, day: Day, entry: MemberSolve, act: PlaceDigits
) -> tuple[MemberSolve, Reply]:
    need_clock(day, entry, act)
    changed = boards.write_digits(entry, day.puzzle.givens, act.marks, "place")
    return _written(scene, day, entry, changed, "placed")


def _row(
    scene: Scene, event: Event, day: Day, entry: MemberSolve, act: WriteRow
) -> tuple[MemberSolve, Reply]:
    need_clock(day, entry, act)
    givens = day.puzzle.givens
    marks = boards.row_marks(givens, act.row, act.digits)
    changed = boards.write_digits(entry, givens, marks, "row")
    return _written(scene, day, entry, changed, "row")


def _written(
    scene: Scene, day: Day, entry: MemberSolve, changed: MemberSolve, change: str
) -> tuple[MemberSolve, BoardShown]:
    written, rubbed = boards.differences(entry.board.grid, changed.board.grid)
    if rubbed and not written:
        change, written = "rubbed", rubbed
    return changed, show_board(scene.club, day, changed, change, marks=written)


def _paste(
    scene: Scene, event: Event, day: Day, entry: MemberSolve, act: PasteGrid
) -> tuple[MemberSolve, Reply]:
    """Take a pasted or overtyped grid as the board; with no text, give the form to fill."""
    need_clock(day, entry, act)
    command = "hint paste" if act.then_hint else "paste"
    if not act.text.strip():
        lines = boards.board_lines(entry.board.grid)
        return entry, PaperForm(lines=lines, then_hint=act.then_hint)
    givens = day.puzzle.givens
    try:
        pasted = read_pasted(act.text, parse_grid(givens).layout).text
        slips = boards.given_slips(pasted, givens)
        if not slips and not act.is_read:
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
        AskHint("board"),
        # What was read off paper was shown just before it was taken.
        echo=None if act.is_read else board_picture(day, changed),
        ladder=ladder_of(settings),
    )


# --- the courses ---


def decide_on_hint(scene: Scene, event: Event, act: AskHint, retelling: Retelling) -> Decision:
    """Decide on a hint, in a process of its own maybe: hence by name."""
    return decide_on_board(scene, event, act, retelling, _hint)


def decide_on_paste(scene: Scene, event: Event, act: PasteGrid, retelling: Retelling) -> Decision:
    """Decide on a pasted grid, as `decide_on_hint`."""
    return decide_on_board(scene, event, act, retelling, _paste)


TODAY = on_board(ShowToday, _today)
START = on_board(StartClock, _start)
BOARD = on_board(ShowBoard, _board)
PLACE = on_board(PlaceDigits, _place)
ROW = on_board(WriteRow, _row)
RULE_OUT = on_board(RuleOut, _rule_out)
UNDO = on_board(Undo, _undo)
REDO = on_board(Redo, _redo)
CHECK = on_board(CheckBoard, _check)
HINT = Course(AskHint, decide_on_hint, load_retelling, is_long=True)
PASTE = Course(PasteGrid, decide_on_paste, load_retelling, is_long=True)
