"""Words for what a member wishes for: the look of their pictures, and being reminded."""

from __future__ import annotations

from bot.club.wishes import LookShown, PuzzleClosing, ReminderShown
from bot.platforms.message import Button, Message
from bot.wording.buttons import BOARD, HAND_IN, HINT, Phrases, of_day
from bot.wording.explaining import Commands, CommandWords
from bot.wording.prose import sentences
from bot.wording.times import format_date, format_moment

_OTHER = {"light": "dark", "dark": "light"}


def _look_shown(reply: LookShown) -> Message:
    whose = "as you like them" if reply.is_own else "as the club has them"
    buttons = [Button(f"Make mine {_OTHER[reply.look]}", f"look {_OTHER[reply.look]}")]
    if reply.is_own:
        buttons.append(Button("As the club has it", "look club"))
    return Message(
        f"The pictures I send you are {reply.look}, {whose}. What the whole room sees stays as it "
        "is.",
        buttons=tuple(buttons),
    )


def _reminder_shown(reply: ReminderShown) -> Message:
    if reply.reminds:
        return Message(
            "I'll tell you here, where nobody else reads it, an hour before a puzzle closes that "
            "you've begun and not solved.",
            buttons=(Button("No more reminders", "remind off"),),
        )
    return Message(
        "I don't remind you of anything yet. If you like, I'll tell you an hour before a puzzle "
        "closes that you've begun and not solved.",
        buttons=(Button("Remind me", "remind on"),),
    )


def _puzzle_closing(reply: PuzzleClosing) -> Message:
    return Message(
        sentences(
            f"The puzzle for {format_date(reply.date)} closes "
            f"{format_moment(reply.closes_at, reply.zone)}, and yours is still open.",
            "You asked me to tell you.",
        ),
        buttons=(
            *(of_day(button, reply.date) for button in (HINT, HAND_IN, BOARD)),
            Button("No more reminders", "remind off"),
        ),
    )


PHRASES: Phrases = {
    LookShown: _look_shown,
    PuzzleClosing: _puzzle_closing,
    ReminderShown: _reminder_shown,
}

COMMANDS: Commands = {
    "look": CommandWords(
        purpose="Have your pictures dark or light.",
        example="look dark",
        help=(
            "look dark and look light are for the pictures that I send to you alone; look club "
            "goes back to what your club has chosen."
        ),
        overview=("look dark", "your own pictures in dark, or in light"),
        options={"look": "Dark, light, or as the club has it"},
    ),
    "remind": CommandWords(
        purpose="Be told an hour before a puzzle closes that you have begun.",
        example="remind on",
        help=(
            "With remind on I tell you in private an hour before a puzzle closes that you've begun "
            "and not solved. remind off ends it."
        ),
        overview=("remind on", "a word before your open puzzle closes"),
        options={"wish": "On or off"},
    ),
}
