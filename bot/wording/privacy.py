"""What is kept of a member, told plainly; export and erasure; and the silence that talk gets."""

from __future__ import annotations

from datetime import date

from bot.club.replies import Erased, ErasureAsked, ExportMade, PrivacyShown, TalkHeard
from bot.platforms.message import Button, Message
from bot.wording.buttons import Phrases
from bot.wording.prose import count_of, join_words, paragraphs, sentences
from bot.wording.times import format_date

_KEPT = (
    "I keep your name here and your id, and for each puzzle: when you started and finished, your "
    "board and its earlier states, the hints you asked for and what they added, your tries and "
    "your result. Your answers to me and mine to you stay between us; the room sees only that "
    "you solved a puzzle, your time and your place."
)


def _privacy_shown(reply: PrivacyShown) -> Message:
    return Message(
        text=paragraphs(
            _KEPT,
            f"Right now that is {count_of(reply.entries, 'puzzle')} of yours.",
            "You can have all of it as a text, or have it erased. After erasing, old posts of the "
            "club speak of a former member, and tables no longer have you. Of a puzzle that is "
            "open then and that you have begun, a mark stays until it closes. It has neither your "
            "name nor your id; it tells me only, should you play that puzzle again, that it does "
            "not rank.",
        ),
        buttons=(Button("Export", "privacy export"), Button("Erase", "privacy erase")),
    )


def _export_made(reply: ExportMade) -> Message:
    less = (
        "Left out is only what your hints on the open puzzle have not told you yet: once you have "
        "solved it, or it has closed, that comes too."
    )
    return Message(
        text=sentences("This is all that is kept of you here.", less if reply.is_less else ""),
        code=reply.text,
    )


def _erasure_asked(reply: ErasureAsked) -> Message:
    return Message(
        text=paragraphs(
            f"This removes all that is kept of you: {count_of(reply.entries, 'puzzle')}, with "
            "boards, hints, times and results. It cannot be undone. You may want an export first.",
            _open_puzzles(reply.open_dates),
        ),
        buttons=(
            Button("Export first", "privacy export"),
            Button("Erase it all", "privacy erase sure"),
        ),
    )


def _open_puzzles(dates: tuple[date, ...]) -> str:
    """Say what becomes of the open puzzles that were begun, if any."""
    if not dates:
        return ""
    return (
        f"The puzzle of {join_words(format_date(each) for each in dates)} is still open, and you "
        "have begun it: you can play it again, but it will not rank. So that I know, a mark "
        "without your name or id stays until it closes."
    )


def _erased(reply: Erased) -> Message:
    return Message(
        text=paragraphs(
            f"Done: {count_of(reply.entries, 'puzzle')} of yours and your name are gone. You are "
            "welcome to start afresh at any time.",
            _open_puzzles(reply.open_dates),
        ),
    )


def _talk_heard(reply: TalkHeard) -> Message:
    """Plain talk is not answered: a room shows no message without words."""
    return Message(text="")


PHRASES: Phrases = {
    Erased: _erased,
    ErasureAsked: _erasure_asked,
    ExportMade: _export_made,
    PrivacyShown: _privacy_shown,
    TalkHeard: _talk_heard,
}
