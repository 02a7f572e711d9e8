"""Links that let people in on our page from elsewhere: to one member's board of one day, or to the
room, for whom a leader has invited.

A link is `/board/<id>` or `/in/<id>` with its secret in the fragment, which no browser sends: no
server's log, referrer or preview gets it. The page hands the secret over and gets a session for it;
both are kept as digests alone. What a room may ask of them is here; it knows nothing else of the
club.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Protocol

BOARD_PATH, ROOM_PATH = "/board/", "/in/"


def link_address(origin: str, link_id: str, secret: str, *, to_room: bool = False) -> str:
    """Return the address that opens a board, or the room. `origin` has no slash at its end."""
    return f"{origin}{ROOM_PATH if to_room else BOARD_PATH}{link_id}#{secret}"


_SECRET = re.compile(rf"((?:{BOARD_PATH}|{ROOM_PATH})[\w-]{{1,64}}#)[\w-]+")


def without_secrets(text: str) -> str:
    """Return a text with no link in it that opens anything."""
    return _SECRET.sub(r"\1[secret]", text)


class LinkProblem(StrEnum):
    """Why a link, or a session that came of one, lets nobody in."""

    UNKNOWN = "link-unknown"
    """There is none: mistyped, taken back, or a newer one was asked for."""
    USED = "link-used"
    OVER = "link-over"


class LinkRefusedError(Exception):
    """A link or a session is not good. `problem` goes to the page, which has the words."""

    def __init__(self, problem: LinkProblem) -> None:
        super().__init__(problem)
        self.problem = problem


@dataclass(frozen=True, slots=True)
class Holder:
    """Whom a session stands for, and what it opens: the board of `day` in a club, or where that is
    empty the club's room."""

    link_id: str
    platform: str
    room_id: str
    user_id: str
    name: str
    day: str
    title: str
    session: str = field(repr=False)


class Links(Protocol):
    """The links that there are, as a page may ask for them. What lets somebody in raises
    LinkRefusedError. `is_secure`: they lead where all is encrypted, so a session goes nowhere else.
    """

    @property
    def is_secure(self) -> bool:
        """Whether links lead to an https address."""

    async def sign_in(self, link_id: str, secret: str, *, to_room: bool = False) -> Holder:
        """Exchange a link's secret for a session: that of a board once, that of a room on each
        device. One of the other kind is unknown."""

    async def holder_of(self, link_id: str, session: str, *, to_room: bool = False) -> Holder:
        """Return whom a session stands for just now; one of the other kind is unknown."""

    async def sign_out(self, holder: Holder) -> None:
        """End a session, and no other of its link."""

    def watch(self, changed: Callable[[str, str, str], None]) -> None:
        """Have `changed` told whose links have changed: platform, room and user."""
