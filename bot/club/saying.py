"""What was said in the open room and is to be taken away there: the text decides, not the reply.

A line that writes digits goes whatever they are, also where it cannot be read or refused; any other
goes where it gives an open puzzle away or counts as an answer.
"""

from __future__ import annotations

from msgspec.structs import replace

from bot.club.acts import Event, HandIn, Misread, OnDay, PasteGrid, PlaceDigits, Talk, WriteRow
from bot.club.answers import spoken_answer
from bot.club.replies import InputRefused, Reply
from bot.club.state import Day, Scene
from bot.club.telling import tells

_WRITING = ("place", "row", "paste", "hint paste", "hand-in")


def open_days(scene: Scene, event: Event) -> tuple[Day, ...]:
    """Return the days whose puzzles were open when somebody acted, the newest first."""
    return tuple(day for day in known_days(scene) if event.acted_at < day.closes_at)


def known_days(scene: Scene) -> tuple[Day, ...]:
    """Return the days that something said may be about, the newest first."""
    return tuple(day for day in (scene.today, scene.earlier) if day is not None)


def say_public(reply: Reply, scene: Scene, event: Event) -> Reply:
    """Return the reply with a note that its line is to be taken away, where it is."""
    if event.in_open and (_writes(event) or _gives_away(scene, event)):
        return replace(reply, was_public=True)
    return reply


def _writes(event: Event) -> bool:
    match event.act:
        case PlaceDigits() | WriteRow():
            return True
        case HandIn(text=text) | PasteGrid(text=text) | OnDay(PasteGrid(text=text)):
            return bool(text.strip())
        case Misread(InputRefused(command=command)) if command in _WRITING:
            return any(mark.isdigit() for mark in event.said)
    return False


def _gives_away(scene: Scene, event: Event) -> bool:
    said, is_talk = event.said, isinstance(event.act, Talk)
    for day in open_days(scene, event):
        if tells(said, day.puzzle.givens, day.puzzle.solution, day.lines):
            return True
    return is_talk and spoken_answer(said, known_days(scene), event.acted_at) is not None
