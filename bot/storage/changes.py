"""What each change of a decision does to the tables, and the one transaction that saves them."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Collection, Container, Sequence
from datetime import datetime
from typing import Any

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
from bot.club.practised import SaveExercise, SaveSkill
from bot.club.taught import SaveLesson
from bot.club.weeks_kept import SaveWeek
from bot.storage.days import mark_closed, mark_posted, move_closing, open_day, withdraw_day
from bot.storage.erasing import erase_member
from bot.storage.lessons import save_lesson
from bot.storage.members import (
    note_leader,
    save_entry,
    save_lacking,
    save_member,
    save_settings,
)
from bot.storage.memory import RoomMemory
from bot.storage.moving import note_server, relocate
from bot.storage.outbox import find_reply, insert_event, queue_notice, withdraw_notice
from bot.storage.practice import save_exercise, save_skill
from bot.storage.puzzles import drop_picks, pick_puzzle, save_puzzle, unqueue_puzzle
from bot.storage.questions import drop_planned, save_naming, save_planned, save_question, save_try
from bot.storage.weeks import save_week

_BY_KIND: dict[type[Any], Callable[[sqlite3.Connection, Any], None]] = {
    SaveMember: save_member,
    SaveEntry: save_entry,
    SaveSettings: save_settings,
    SaveLacking: save_lacking,
    NoteLeader: note_leader,
    NoteServer: note_server,
    SavePuzzle: save_puzzle,
    UnqueuePuzzle: unqueue_puzzle,
    PickPuzzle: pick_puzzle,
    DropPicks: drop_picks,
    OpenDay: open_day,
    MarkPosted: mark_posted,
    MarkClosed: mark_closed,
    MoveClosing: move_closing,
    WithdrawDay: withdraw_day,
    SaveQuestion: save_question,
    SaveTry: save_try,
    SaveNaming: save_naming,
    SavePlanned: save_planned,
    DropPlanned: drop_planned,
    SaveSkill: save_skill,
    SaveExercise: save_exercise,
    SaveLesson: save_lesson,
    SaveWeek: save_week,
}


def save_changes(
    connection: sqlite3.Connection,
    changes: Sequence[Change],
    now: datetime,
    *,
    event_id: str,
    reply: bytes,
    author: tuple[int, str] | None,
    memories: Collection[RoomMemory] = (),
    everyday: Callable[[], Container[str]] = tuple,
) -> bool:
    """Apply changes in their order; False, and nothing applied, where the event is known."""
    if event_id and find_reply(connection, event_id) is not None:
        return False
    for change in changes:
        if isinstance(change, QueueNotice):
            queue_notice(connection, change, now)
        elif isinstance(change, WithdrawNotice):
            withdraw_notice(connection, change, now)
        elif isinstance(change, Relocate):
            relocate(connection, change, now, memories)
        elif isinstance(change, EraseMember):
            erase_member(connection, change, memories, everyday())
        else:
            _BY_KIND[type(change)](connection, change)
    if event_id:
        # After an erasure nothing may tell whose event it was.
        is_erasure = any(isinstance(change, EraseMember) for change in changes)
        insert_event(connection, event_id, reply, now, None if is_erasure else author)
    return True
