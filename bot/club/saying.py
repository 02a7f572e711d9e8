"""What was said in the open room and is to be taken away there: the text decides, not the reply.

A line that writes digits goes whatever they are, also where it cannot be read or refused; any other
goes where it gives an open puzzle away or counts as an answer.
"""

from __future__ import annotations

from msgspec.structs import replace

from bot.club.acts import Event, HandIn, Misread, PasteGrid, PlaceDigits, Talk, WriteRow
from bot.club.answer_key import answer_within
from bot.club.replies import InputRefused, Reply
from bot.club.state import Day, Scene
from bot.club.telling import tells

_WRITING = ("place", "row", "paste", "hint paste", "hand-in")


def open_days(scene: Scene, event: Event) -> tuple[Day, ...]:
    """Return the days whose puzzles were open when somebody acted, the newest first."""
    days = (scene.today, scene.earlier)
    return tuple(day for day in days if day is not None and event.acted_at < day.closes_at)


def say_public(reply: Reply, scene: Scene, event: Event) -> Reply:
    """Return the reply with a note that its line is to be taken away, where it is."""
    if event.in_open and (_writes(event) or _gives_away(scene, event)):
        return replace(reply, was_public=True)
    return reply


def _writes(event: Event) -> bool:
    match event.act:
        case PlaceDigits() | WriteRow():
            return True
        case HandIn(text=text) | PasteGrid(text=text):
            return bool(text.strip())
        case Misread(InputRefused(command=command)) if command in _WRITING:
            return any(mark.isdigit() for mark in event.said)
    return False


def _gives_away(scene: Scene, event: Event) -> bool:
    said, is_talk = event.said, isinstance(event.act, Talk)
    for day in open_days(scene, event):
        puzzle, lines = day.puzzle, day.lines
        if tells(said, puzzle.givens, puzzle.solution, lines):
            return True
        if is_talk and answer_within(said, puzzle.solution, lines) is not None:
            return True
    return False
