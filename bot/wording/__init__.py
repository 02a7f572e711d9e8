"""Every word that people read. Facts come in, plain text goes out; no markup, no pictures.

`phrase` words a reply, `describe` a picture, `rungs` a step; the rest serves the command line. To
add a technique: its name in `techniques`, its reason in `steps`, its lesson in `assets/lessons`.
"""

from __future__ import annotations

from dataclasses import replace

from bot.club.replies import Reply
from bot.platforms.message import Message
from bot.wording import (
    answers,
    board,
    day,
    errors,
    help,
    hints,
    leading,
    planning,
    privacy,
    queueing,
    refusals,
    tables,
    turning,
)
from bot.wording.buttons import Phrases
from bot.wording.day import walkthrough_ending, walkthrough_lines, walkthrough_title
from bot.wording.errors import explain_error
from bot.wording.help import help_topics
from bot.wording.hints import phrase_echo
from bot.wording.openness import said_in_open
from bot.wording.pictures import describe
from bot.wording.planning import day_message
from bot.wording.prose import paragraphs
from bot.wording.rungs import rungs
from bot.wording.techniques import lesson, technique_name
from bot.wording.turning import ROOM_POINTS, summarise_turning, tell_turning

__all__ = [
    "PHRASES",
    "ROOM_POINTS",
    "day_message",
    "describe",
    "explain_error",
    "help_topics",
    "lesson",
    "phrase",
    "phrase_echo",
    "rungs",
    "summarise_turning",
    "technique_name",
    "tell_turning",
    "walkthrough_ending",
    "walkthrough_lines",
    "walkthrough_title",
]

PHRASES: Phrases = {
    **answers.PHRASES,
    **board.PHRASES,
    **day.PHRASES,
    **errors.PHRASES,
    **help.PHRASES,
    **hints.PHRASES,
    **leading.PHRASES,
    **planning.PHRASES,
    **privacy.PHRASES,
    **queueing.PHRASES,
    **refusals.PHRASES,
    **tables.PHRASES,
    **turning.PHRASES,
}
"""The function that words each kind of reply; a test compares it with `REPLIES`."""


def phrase(reply: Reply) -> Message:
    """Return the words of a reply, with its buttons and form; its picture is left to the caller."""
    message = PHRASES[type(reply)](reply)
    note = said_in_open(reply)
    return replace(message, text=paragraphs(message.text, note)) if note else message
