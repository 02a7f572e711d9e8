"""What each change does to the rows of the store in memory, as `bot.storage` does to the tables."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace as replace_of
from datetime import date

from msgspec.structs import replace

from bot.club.agenda import DropPlanned, SavePlanned
from bot.club.asked import SaveNaming, SaveQuestion, SaveTry
from bot.club.changes import (
    Change,
    DropPicks,
    EraseMember,
    MarkClosed,
    MarkPosted,
    MoveClosing,
    NoteLeader,
    NoteServer,
    OpenDay,
    PickPuzzle,
    QueueNotice,
    Relocate,
    SaveEntry,
    SaveLacking,
    SaveMember,
    SavePuzzle,
    SaveSettings,
    UnqueuePuzzle,
    WithdrawDay,
    WithdrawNotice,
)
from bot.club.facts import FORMER_MEMBER
from bot.club.fake_moving import relocate
from bot.club.fake_practice import save_exercise, save_skill
from bot.club.fake_questions import drop_planned, save_naming, save_planned, save_question, save_try
from bot.club.fake_rows import Line, Rows
from bot.club.practised import SaveExercise, SaveSkill
from bot.club.rights import led_by
from bot.club.state import Day, MemberSolve, Puzzle, Queued
from bot.club.taught import SaveLesson
from bot.club.weeks_kept import SaveWeek


def apply(rows: Rows, change: Change) -> None:
    """Do to the rows what a change says. Raises LookupError where what it names is not there."""
    match change:
        case SaveMember(member):
            there = rows.member_with(member.club_id, member.user_id)
            kept = replace(member, id=there.id if there else rows.next_id())
            rows.members[kept.id] = kept
        case SaveEntry(user_id, entry):
            _save_entry(rows, user_id, entry)
        case SaveSettings(club_id, settings, paused):
            rows.clubs[club_id] = replace(rows.clubs[club_id], settings=settings, paused=paused)
        case SaveLacking(club_id, duties):
            rows.clubs[club_id] = replace(rows.clubs[club_id], lacking=duties)
        case NoteLeader(club_id):
            club = rows.clubs[club_id]
            rows.clubs[club_id] = replace(club, led_by=led_by(club, change))
        case NoteServer(club_id, server):
            rows.clubs[club_id] = replace(rows.clubs[club_id], server=server)
        case Relocate():
            relocate(rows, change)
        case SavePuzzle(puzzle, club_id, day, is_queued, level):
            kept_puzzle = _save_puzzle(rows, puzzle)
            if club_id is not None:
                kept_puzzle = _credit(rows, kept_puzzle, club_id, puzzle.credit)
            if club_id is not None and is_queued:
                queue = rows.queues.get(club_id, ())
                rows.queues[club_id] = (
                    *(each for each in queue if each.puzzle.id != kept_puzzle.id),
                    Queued(kept_puzzle, day, level),
                )
        case UnqueuePuzzle(club_id, puzzle_id):
            rows.take_off_queue(club_id, puzzle_id)
        case PickPuzzle(club_id, puzzle, day):
            rows.picks[club_id, day] = _save_puzzle(rows, puzzle)
        case DropPicks(club_id, days):
            _drop_picks(rows, club_id, lambda day: day in days)
        case OpenDay(day):
            _open_day(rows, day)
        case MarkPosted(day_id, posted_at, post_ref):
            day = rows.days[day_id]
            rows.days[day_id] = replace(day, posted_at=posted_at, post_ref=post_ref)
            rows.take_off_queue(day.club_id, day.puzzle.id)
        case MoveClosing(day_id, closes_at):
            rows.days[day_id] = replace(rows.days[day_id], closes_at=closes_at)
        case MarkClosed(day_id):
            day = rows.days[day_id]
            rows.days[day_id] = replace(day, is_closed=True, is_void=day.posted_at is None)
            rows.erased.pop(day_id, None)
        case WithdrawDay(day_id):
            day = rows.days.pop(day_id)
            rows.take_off_queue(day.club_id, day.puzzle.id)
            rows.withdrawn[day.club_id, day.date, day.edition] = day.puzzle
            rows.entries = {key: each for key, each in rows.entries.items() if key[0] != day_id}
        case SaveQuestion():
            save_question(rows, change)
        case SavePlanned():
            save_planned(rows, change)
        case DropPlanned():
            drop_planned(rows, change)
        case SaveNaming():
            save_naming(rows, change)
        case SaveTry():
            save_try(rows, change)
        case SaveSkill():
            save_skill(rows, change)
        case SaveExercise():
            save_exercise(rows, change)
        case SaveLesson(club_id, lesson):
            rows.lessons[club_id] = lesson
        case SaveWeek(club_id, week):
            rows.weeks[club_id] = week
        case QueueNotice():
            _queue_notice(rows, change)
        case WithdrawNotice(club_id, key):
            for notice_id, line in list(rows.lines.items()):
                if (line.notice.club_id, line.notice.key) == (club_id, key):
                    rows.lines[notice_id] = Line(line.notice, True, line.reference, line.stay)
        case EraseMember(club_id, user_id, mark):
            _erase(rows, club_id, user_id, mark)


def _save_entry(rows: Rows, user_id: str, entry: MemberSolve) -> None:
    day = rows.days.get(entry.day_id)
    member = rows.member_with(day.club_id, user_id) if day else None
    if day is None or member is None:
        raise LookupError(f"no member or day for an entry of day {entry.day_id}")
    there = rows.entries.get((day.id, member.id))
    entry_id = there.id if there else rows.next_id()
    rows.entries[day.id, member.id] = replace(entry, id=entry_id, member_id=member.id)


def _save_puzzle(rows: Rows, puzzle: Puzzle) -> Puzzle:
    for there in rows.puzzles.values():
        if there.givens == puzzle.givens:
            return there
    kept = replace(puzzle, id=rows.next_id())
    rows.puzzles[kept.id] = kept
    return kept


def _credit(rows: Rows, puzzle: Puzzle, club_id: int, credit: str) -> Puzzle:
    """Note whose puzzle a leader says it is, unless another club has it under its own words."""
    queues = [queue for owner, queue in rows.queues.items() if owner != club_id]
    elsewhere = {each.puzzle.id for queue in queues for each in queue}
    elsewhere |= {day.puzzle.id for day in rows.days.values() if day.club_id != club_id}
    if credit and puzzle.id not in elsewhere:
        rows.puzzles[puzzle.id] = puzzle = replace(puzzle, credit=credit)
    return puzzle


def _open_day(rows: Rows, day: Day) -> None:
    puzzle = _save_puzzle(rows, day.puzzle)
    if rows.day_of(day.club_id, day.date) is not None:
        return
    kept = replace(day, id=rows.next_id(), puzzle=puzzle)
    rows.days[kept.id] = kept
    _drop_picks(rows, day.club_id, lambda picked: picked <= day.date)


def _drop_picks(rows: Rows, club_id: int, is_dropped: Callable[[date], bool]) -> None:
    for owner, day in list(rows.picks):
        if owner == club_id and is_dropped(day):
            del rows.picks[owner, day]


def _queue_notice(rows: Rows, change: QueueNotice) -> None:
    """Add a notice once per key; a mend of what was never sent is sent as the post itself, and
    one of what was never queued is nothing."""
    is_mend = change.audience == "mend"
    for notice_id, line in rows.lines.items():
        if (line.notice.club_id, line.notice.key) == (change.club_id, change.key):
            if is_mend:
                audience = "mend" if line.reference is not None else line.notice.audience
                said = _with(line.notice, audience, change.reply)
                rows.lines[notice_id] = Line(said, False, line.reference, line.stay)
            return
    if not is_mend:
        rows.lines[rows.next_id()] = Line(change)


def _with(notice: QueueNotice, audience: str, reply: bytes) -> QueueNotice:
    return replace_of(notice, audience=audience, reply=reply)


def _erase(rows: Rows, club_id: int, user_id: str, mark: str) -> None:
    apply(rows, NoteLeader(club_id, user_id, leads=False))
    member = rows.member_with(club_id, user_id)
    if member is not None:
        rows.mark_open_days(member)
        if mark:
            former = rows.next_id()
            own = rows.record_of(member, (), None).results
            left = (replace(each, member_id=-former, name=FORMER_MEMBER) for each in own)
            rows.former[former] = club_id, mark, tuple(left)
        del rows.members[member.id]
        rows.tries.pop(member.id, None)
        rows.practised.pop(member.id, None)
        rows.sightings = {key: each for key, each in rows.sightings.items() if key[0] != member.id}
        rows.entries = {key: each for key, each in rows.entries.items() if key[1] != member.id}
    rows.lines = {
        key: line
        for key, line in rows.lines.items()
        if (line.notice.club_id, line.notice.user_id) != (club_id, user_id)
    }
    rows.events = {
        key: event for key, event in rows.events.items() if event[1:] != (club_id, user_id)
    }
    rows.let_former_go()
