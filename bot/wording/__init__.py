"""Every word that people read. Facts come in, plain text goes out; no markup, no pictures.

`phrase_all` words a reply in all its messages, `describe` a picture, `rungs` a step; the rest
serves the command line. To add a technique: its name in `techniques`, its reason in `steps`, its
lesson in `assets/lessons`.
"""

from __future__ import annotations

from dataclasses import replace

from bot.club.evening import LessonFrame
from bot.club.facts_sheets import PrintedSheet
from bot.club.replies import ExportMade, MemberSolved, Reply, WalkthroughPosted
from bot.platforms.message import Message
from bot.wording import (
    answers,
    asking,
    board,
    day,
    errors,
    evening,
    help,
    hints,
    leading,
    links,
    moving,
    own_page,
    photo_read,
    planning,
    planning_questions,
    practising,
    printing,
    privacy,
    queueing,
    queueing_several,
    refusals,
    rights,
    tables,
    technique_week,
    turning,
    walkthrough,
    wishes,
)
from bot.wording.buttons import Phrases, named
from bot.wording.errors import explain_error
from bot.wording.help import help_topics
from bot.wording.hints import phrase_echo
from bot.wording.links import INVITE_LABEL, OPEN_LABEL, invitation_lines, open_board_button
from bot.wording.live_board import word_board
from bot.wording.openness import said_in_open
from bot.wording.pictures import describe
from bot.wording.prose import paragraphs
from bot.wording.rungs import rungs
from bot.wording.sheets import tell_unprinted
from bot.wording.techniques import lesson, technique_name
from bot.wording.turning import summarise_turning, tell_turning
from bot.wording.walkthrough import walkthrough_parts, walkthrough_title
from bot.wording.worded import More, Worded

__all__ = [
    "INVITE_LABEL",
    "OPEN_LABEL",
    "PHRASES",
    "Worded",
    "describe",
    "explain_error",
    "help_topics",
    "invitation_lines",
    "lesson",
    "open_board_button",
    "phrase",
    "phrase_all",
    "phrase_echo",
    "phrase_thread",
    "rungs",
    "summarise_turning",
    "technique_name",
    "tell_turning",
    "tell_unprinted",
    "word_board",
]


def _export_made(reply: ExportMade) -> Message:
    return privacy.export_made(reply, phrase_all)


PHRASES: Phrases = {
    **answers.PHRASES,
    **asking.PHRASES,
    **planning_questions.PHRASES,
    **practising.PHRASES,
    **board.PHRASES,
    **day.PHRASES,
    **errors.PHRASES,
    **evening.PHRASES,
    **help.PHRASES,
    **hints.PHRASES,
    **leading.PHRASES,
    **links.PHRASES,
    **moving.PHRASES,
    **own_page.PHRASES,
    **photo_read.PHRASES,
    **planning.PHRASES,
    **printing.PHRASES,
    **privacy.PHRASES,
    **queueing.PHRASES,
    **queueing_several.PHRASES,
    **refusals.PHRASES,
    **rights.PHRASES,
    **tables.PHRASES,
    **technique_week.PHRASES,
    **turning.PHRASES,
    **walkthrough.PHRASES,
    **wishes.PHRASES,
    ExportMade: _export_made,
}
"""The function that words each kind of reply; a test compares it with `reply_kinds`."""


MORE: More = {**help.MORE, **planning.MORE, **turning.MORE, **walkthrough.MORE}
"""The function that words the messages after the first, for replies that make several."""


def phrase(reply: Reply) -> Message:
    """Return the words of a reply's own message, with its buttons and form."""
    message = named(PHRASES[type(reply)](reply), reply)
    note = said_in_open(reply)
    return replace(message, text=paragraphs(message.text, note)) if note else message


def phrase_all(reply: Reply) -> tuple[Worded, ...]:
    """Return all messages of a reply, none for talk that is only heard.

    Its own comes with the picture that the reply holds, and after the board that it echoes.
    """
    message = phrase(reply)
    if not message.text:
        return ()
    echo, more = getattr(reply, "echo", None), MORE.get(type(reply))
    return (
        *(() if echo is None else (Worded(named(phrase_echo(), reply), echo, "board"),)),
        Worded(message, getattr(reply, "picture", None), *_sheet_of(reply)),
        *(() if more is None else more(reply)),
    )


def _sheet_of(reply: Reply) -> tuple[()] | tuple[str, PrintedSheet]:
    print_sheet = printing.SHEETS.get(type(reply))
    return () if print_sheet is None else print_sheet(reply)


def phrase_thread(reply: Reply) -> tuple[str, tuple[Worded, ...]]:
    """Return the title and the messages of a thread. Raises TypeError for a reply that is none."""
    if isinstance(reply, LessonFrame):
        return evening.lesson_title(reply), phrase_all(reply)
    if isinstance(reply, MemberSolved):
        return day.talk_title(reply.date), phrase_all(reply)
    if not isinstance(reply, WalkthroughPosted):
        raise TypeError(f"{type(reply).__name__} is no thread")
    return walkthrough_title(reply), walkthrough_parts(reply)
