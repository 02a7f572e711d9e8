"""Why the web room does not take something, for which the page has the words (in
`assets/web/words.js`), and why the page cannot be served at all.
"""

from __future__ import annotations

from enum import StrEnum

from bot.platforms.message import HostRefusedError


class WebProblem(StrEnum):
    """What is wrong with a frame, or with the name that somebody would enter under."""

    TOO_LONG = "too-long"
    TOO_FAST = "too-fast"
    MALFORMED = "malformed"
    ROOM = "room"
    """There is no such room."""
    ENTER_FIRST = "enter-first"
    ELSEWHERE = "elsewhere"
    """A page of one board alone was asked for something else."""
    LINK = "link"
    """Here people come by a link of their own."""
    FAILED = "failed"
    """Something of ours."""
    NAME = "name"
    """Nothing in it to tell somebody by."""
    NAME_RESERVED = "name-reserved"
    """It reads as the club's own."""
    NAME_LEADER = "name-leader"
    NAME_TAKEN = "name-taken"
    """It reads as another's."""
    NAME_MIXED = "name-mixed"
    """A word of it is of two alphabets."""


class AddressTakenError(HostRefusedError):
    """The page's port could not be opened."""

    def __init__(self, host: str, port: int) -> None:
        super().__init__(host, port)
        self.host = host
        self.port = port
