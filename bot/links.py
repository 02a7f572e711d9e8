"""Links to a page of ours: made for whoever asks, and exchanged for sessions.

A secret is made here, goes out once in a message that no room keeps, and is forgotten but for its
digest. The platform's room that asked knows nothing of the page, and the page nothing of the club.
"""

from __future__ import annotations

import hashlib
import secrets
from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime

from bot import languages
from bot.club.links import BoardLinkGiven, NoBoardLink
from bot.club.replies import Reply
from bot.club.state import Club
from bot.platforms.links import (
    Holder,
    LinkProblem,
    LinkRefusedError,
    board_address,
)
from bot.platforms.message import Incoming, Link, Message
from bot.storage import SqliteStore
from bot.storage.links import KeptLink, NewLink, find_session, redeem, save_link

SECRET_BYTES = 32
ID_BYTES = 12


class BoardLinks:
    """Implements `bot.platforms.links.Links`. `origin` is where the page is, empty where it is
    nowhere to be reached from outside; `home` is the page's own platform."""

    def __init__(
        self, store: SqliteStore, now: Callable[[], datetime], *, origin: str, home: str
    ) -> None:
        self._store = store
        self._now = now
        self._origin = origin
        self.home = home
        self._watching: list[Callable[[str, str, str], None]] = []

    @property
    def is_secure(self) -> bool:
        """Whether links lead to an https address."""
        return self._origin.startswith("https:")

    def lead_from(self, platform: str) -> bool:
        """Tell whether members of a platform's clubs can be given links."""
        return bool(self._origin) and platform != self.home

    async def add_to(
        self, messages: tuple[Message, ...], reply: Reply, club: Club, incoming: Incoming
    ) -> tuple[Message, ...]:
        """Return a private answer with the link that it promises, or else with the button that asks
        for one, where it is about a day's board."""
        if not messages:
            return messages
        words = languages.language_of(club.settings.language)
        *others, last = messages
        if isinstance(reply, BoardLinkGiven):
            address = await self._make(club, incoming, reply.date)
            return (*others, replace(last, link=Link(words.OPEN_LABEL, address)))
        if reply.board_of is None or not _is_at_board(last, reply.board_of):
            return messages
        button = words.open_board_button(reply.board_of)
        return (*others, replace(last, buttons=(*last.buttons, button)))

    async def sign_in(self, link_id: str, secret: str) -> Holder:
        """Exchange a link's secret, once, for a session. Raises LinkRefusedError."""
        session, at = secrets.token_urlsafe(SECRET_BYTES), self._now()
        found = await self._store.database.write(
            lambda link: redeem(link, link_id, _digest(secret), _digest(session), at)
        )
        return _holder(link_id, session, found)

    async def holder_of(self, link_id: str, session: str) -> Holder:
        """Return whom a session stands for just now. Raises LinkRefusedError."""
        at = self._now()
        found = await self._store.database.read(
            lambda link: find_session(link, link_id, _digest(session), at)
        )
        return _holder(link_id, session, found)

    def watch(self, changed: Callable[[str, str, str], None]) -> None:
        """Have `changed` told whose links have changed: platform, room and user."""
        self._watching.append(changed)

    async def _make(self, club: Club, incoming: Incoming, on_date: date) -> str:
        """Make a link in the place of the member's last one; return its address."""
        link_id, secret = secrets.token_urlsafe(ID_BYTES), secrets.token_urlsafe(SECRET_BYTES)
        user_id, digest, at = incoming.user_id, _digest(secret), self._now()
        made = NewLink(link_id, club.id, user_id, incoming.name, on_date.isoformat(), digest)
        await self._store.database.write(lambda link: save_link(link, made, at))
        for changed in self._watching:
            changed(club.platform, club.room_id, user_id)
        return board_address(self._origin, link_id, secret)


def without_link(reply: Reply, *, is_here: bool) -> Reply:
    """Return a reply as it stands where no link leads anywhere; `is_here`: on the page itself."""
    return NoBoardLink(is_here=is_here) if isinstance(reply, BoardLinkGiven) else reply


def _is_at_board(message: Message, on_date: date) -> bool:
    """Tell whether a message leads on to a day's board, by a button or a form."""
    lines = [button.command for button in message.buttons]
    lines += [message.form.command] if message.form is not None else []
    return any(line.endswith(on_date.isoformat()) for line in lines)


def _digest(secret: str) -> bytes:
    # A secret is 256 random bits: nobody finds it by trying, so a plain digest is enough.
    return hashlib.sha256(secret.encode()).digest()


def _holder(link_id: str, session: str, found: KeptLink | LinkProblem) -> Holder:
    if isinstance(found, LinkProblem):
        raise LinkRefusedError(found)
    club = found.club
    return Holder(
        link_id=link_id,
        platform=club.platform,
        room_id=club.room_id,
        user_id=found.user_id,
        name=found.name,
        day=found.date,
        title=club.settings.name,
        session=session,
    )
