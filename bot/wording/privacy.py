"""What is kept of a member, told plainly; export and erasure; and the silence that talk gets."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import date

from bot.club.replies import (
    Erased,
    ErasureAsked,
    ExportMade,
    PrivacyShown,
    Reply,
    TalkHeard,
    decode_reply,
)
from bot.platforms.message import Attachment, Button, Message
from bot.wording.buttons import Phrases
from bot.wording.explaining import Commands, CommandWords
from bot.wording.prose import FORMER, count_of, join_words, paragraphs, sentences
from bot.wording.times import format_date
from bot.wording.worded import Worded

_KEPT = (
    "I keep your name here and your id, and for each puzzle: when you started and finished, your "
    "board and its earlier states, the hints you asked for and what they added, your tries and "
    "your result. Of the club's question I keep how often you tried it, whether you saw it, and "
    "whether you want to be named, until the next one; of your practice, how it went with each "
    "technique, which positions you have seen and the one before you. I keep how you like your "
    "pictures, and whether you want reminders. A photo that you send me is read and then deleted: "
    "I keep what I read in it, and nothing of the photo. Your answers to me and mine to you stay "
    "between us; the room sees only that you solved a puzzle, your time and your place, and that "
    "you saw the find of a question, if you asked to be named."
)


EXPORT_FILE = "ninebark-export.json"


def _privacy_shown(reply: PrivacyShown) -> Message:
    return Message(
        text=paragraphs(
            _KEPT,
            f"Right now that comes to {count_of(reply.entries, 'puzzle')}.",
            "You can have all of it as a file, or have it erased. Once it is erased, the club's "
            f"old posts call you {FORMER}, and you are no longer in its tables. What others told "
            "me loses your name as well. Only a name that is also an everyday word, such as “the”, "
            "stays where others wrote it: there I cannot tell you from the word. Safety copies of "
            "the club's data still hold you then, each for a week at most. If you have begun a "
            "puzzle that is still open, I leave a mark on it until it closes. The mark does not "
            "hold your name or your id. All it tells me is not to rank you if you play that puzzle "
            "again.",
        ),
        buttons=(Button("Export", "privacy export"), Button("Erase", "privacy erase")),
    )


def export_made(reply: ExportMade, tell: Callable[[Reply], tuple[Worded, ...]]) -> Message:
    """Hand over an export, with what was told in private in the words that it was told in."""
    less = (
        "The only thing left out is what your hints on the open puzzle have not told you yet. You "
        "can have that too, once you have solved it or it has closed."
    )
    return Message(
        text=sentences(
            "This file is everything I keep about you here.", less if reply.is_less else ""
        ),
        file=Attachment(EXPORT_FILE, _with_words(reply, tell).encode()),
    )


def _with_words(reply: ExportMade, tell: Callable[[Reply], tuple[Worded, ...]]) -> str:
    told = []
    for at, encoded in reply.told:
        messages = [each.message for each in tell(decode_reply(encoded.encode()))]
        words = [text for each in messages for text in (each.text, each.code) if text]
        told.append({"at": at, "words": words})
    kept = json.loads(reply.text) | ({"told": told} if told else {})
    return json.dumps(kept, indent=2, ensure_ascii=False)


def _erasure_asked(reply: ErasureAsked) -> Message:
    return Message(
        text=paragraphs(
            f"This removes everything I keep about you: your name{_and_puzzles(reply.entries)}. It "
            "cannot be undone, so you may want an export first.",
            _open_puzzles(reply.open_dates),
        ),
        buttons=(
            Button("Export first", "privacy export"),
            Button("Erase it all", "privacy erase sure"),
        ),
    )


def _and_puzzles(entries: int) -> str:
    if not entries:
        return ""
    return f", and {count_of(entries, 'puzzle')} with boards, hints, times and results"


def _open_puzzles(dates: tuple[date, ...]) -> str:
    """Say what becomes of the open puzzles that were begun, if any."""
    if not dates:
        return ""
    days = join_words(format_date(each) for each in dates)
    if len(dates) > 1:
        return (
            f"The puzzles of {days} are still open, and you have begun them. You can play them "
            "again, but you will not rank. So that I know, I leave a mark on each until it closes, "
            "without your name or your id."
        )
    return (
        f"The puzzle for {days} is still open, and you have begun it. You can play it again, but "
        "it will not rank. So that I know, I leave a mark on it until it closes, without your name "
        "or your id."
    )


def _copies_kept(until: date | None) -> str:
    if until is None:
        return ""
    return (
        "The safety copies made of the club's data until now still hold you. The last of them goes "
        f"on {format_date(until)}."
    )


def _gone(entries: int) -> str:
    if not entries:
        return "Your name is gone; you had not played any puzzles."
    return f"Your name is gone, and so is all you did on {count_of(entries, 'puzzle')}."


def _erased(reply: Erased) -> Message:
    return Message(
        text=paragraphs(
            f"Done. {_gone(reply.entries)} You are welcome to start afresh any time.",
            _copies_kept(reply.copies_until),
            _open_puzzles(reply.open_dates),
        ),
    )


def _talk_heard(reply: TalkHeard) -> Message:
    """Plain talk is not answered: a room shows no message without words."""
    return Message(text="")


PHRASES: Phrases = {
    Erased: _erased,
    ErasureAsked: _erasure_asked,
    PrivacyShown: _privacy_shown,
    TalkHeard: _talk_heard,
}

COMMANDS: Commands = {
    "privacy": CommandWords(
        purpose="See, export or erase what I keep about you.",
        example="privacy export",
        help=(
            "privacy tells you what I keep about you. privacy export gives you all of it, as a "
            "file; privacy erase removes it."
        ),
        overview=("privacy", "what I keep about you"),
        options={"wish": "Show, export or erase"},
    ),
}
