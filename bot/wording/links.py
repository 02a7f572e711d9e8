"""Words for links that open a member's board, or the club's room, on another screen."""

from __future__ import annotations

from datetime import date, timedelta

from bot.club.links import BoardLinkGiven, NoBoardLink
from bot.platforms.message import Button, Message
from bot.wording.buttons import Phrases, of_day
from bot.wording.explaining import Commands, CommandWords
from bot.wording.prose import sentences
from bot.wording.times import format_moment

_AFTERWARDS = timedelta(days=1)
"""How long after the day has closed its links are good: `bot.storage.links` keeps to it."""

OPEN_LABEL = "Open my board"


def open_board_button(on_date: date) -> Button:
    """The button that asks for a link to one's own board of a day."""
    return of_day(Button(OPEN_LABEL, "link"), on_date)


def _given(reply: BoardLinkGiven) -> Message:
    until = format_moment(reply.closes_at + _AFTERWARDS, reply.zone)
    return Message(
        sentences(
            "This opens your board of this puzzle in a browser, to tap on, and nothing else.",
            "It is yours alone, and works once: keep it to yourself, and open it on the device "
            "that you want to play on.",
            f"It is good until {until}, or until you ask for another.",
        )
    )


def _nowhere(reply: NoBoardLink) -> Message:
    if reply.is_here:
        return Message("Your board is right here on this page.")
    return Message(
        "Boards cannot be opened in a browser from here: whoever runs this Ninebark has not given "
        "it an address of its own. Your board is here all the same. Example: board"
    )


PHRASES: Phrases = {BoardLinkGiven: _given, NoBoardLink: _nowhere}

COMMANDS: Commands = {
    "link": CommandWords(
        purpose="Open your board in a browser.",
        example="link",
        help=(
            "link gives you a link that opens your board of the open puzzle in a browser, to tap "
            "on instead of typing: it is the same board, with the same clock. It is for you alone "
            "and works once; ask again for another device. This works where whoever runs "
            "Ninebark has given it an address of its own."
        ),
        overview=("link", "open your board in a browser"),
    )
}
