"""The languages that the bot can speak in a club: each a package of words, a sibling of `wording`.

Which there are stands in `LANGUAGES` of the club's settings; a club chooses by `language`. What
the command line says, what a platform shows of the commands, and the labels inside pictures are
in English whatever a club chose.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from functools import cache
from importlib import import_module
from typing import Protocol, cast

from bot.club.board_seen import BoardSeen
from bot.club.facts import Picturable
from bot.club.replies import NoPuzzleOpen, Reply
from bot.club.settings import LANGUAGES
from bot.platforms.message import Button, Message
from bot.wording import Worded
from bot.wording.live_board import BoardWords


class Language(Protocol):
    """What the front of a package of words has; `bot.wording` is the model. `OPEN_LABEL`,
    `INVITE_LABEL`: what a link to a board, and one into the room, is called."""

    OPEN_LABEL: str
    INVITE_LABEL: str

    def phrase(self, reply: Reply) -> Message:
        """Return the words of a reply's own message, with its buttons and form."""

    def phrase_all(self, reply: Reply) -> Sequence[Worded]:
        """Return all messages of a reply, none for talk that is only heard."""

    def phrase_thread(self, reply: Reply) -> tuple[str, Sequence[Worded]]:
        """Return the title and the messages of a thread."""

    def word_board(self, seen: BoardSeen | NoPuzzleOpen) -> BoardWords:
        """Return what stands in words beside a board that is live."""

    def open_board_button(self, on_date: date) -> Button:
        """Return the button that asks for a link to one's own board of a day."""

    def invitation_lines(self, name: str) -> Sequence[str]:
        """Return what stands on the sheet with somebody's link into the room."""

    def tell_unprinted(self, lacking: str | None) -> str:
        """Return what is said of letters that a sheet lacks; of None, that nothing can print."""

    def describe(self, facts: Picturable) -> str:
        """Return a picture's alternative text."""


@cache
def language_of(code: str) -> Language:
    """Return the words of a language; English for a code that is not, or no longer, there."""
    known = code in LANGUAGES and code != LANGUAGES[0]
    return cast(Language, import_module(f"bot.wording_{code}" if known else "bot.wording"))
