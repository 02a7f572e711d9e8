"""What is kept of a member, told plainly; export and erasure; and the silence that talk gets."""

from __future__ import annotations

from bot.chat.message import Button, Message
from bot.club.replies import Erased, ErasureAsked, ExportMade, PrivacyShown, TalkHeard
from bot.wording.buttons import Phrases
from bot.wording.prose import count_of, paragraphs, sentences

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
            "club speak of a former member, and tables no longer have you.",
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
        text=f"This removes all that is kept of you: {count_of(reply.entries, 'puzzle')}, with "
        "boards, hints, times and results. It cannot be undone. You may want an export first.",
        buttons=(
            Button("Export first", "privacy export"),
            Button("Erase it all", "privacy erase sure"),
        ),
    )


def _erased(reply: Erased) -> Message:
    return Message(
        text=f"Done: {count_of(reply.entries, 'puzzle')} of yours and your name are gone. You are "
        "welcome to start afresh at any time.",
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
