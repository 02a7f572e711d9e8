"""Links to a page of ours: made for whoever asks or is invited, and exchanged for sessions.

A secret is made here, goes out once in a message that no room keeps, and is forgotten but for its
digest. The platform's room that asked knows nothing of the page, and the page nothing of the club.
"""

from __future__ import annotations

import asyncio
import hashlib
import secrets
from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date, datetime

from msgspec import structs

from bot import languages
from bot.club.links import (
    BoardLinkGiven,
    InvitationEnded,
    InvitationGiven,
    InvitationRefused,
    NameProblem,
    NameProblemOf,
    NoBoardLink,
    NoInvitation,
)
from bot.club.replies import Reply
from bot.club.state import Club
from bot.drawing.invitation import code_squares, draw_invitation
from bot.platforms.links import (
    Holder,
    LinkProblem,
    LinkRefusedError,
    link_address,
)
from bot.platforms.message import Attachment, Incoming, Link, Message
from bot.storage import SqliteStore
from bot.storage.links import (
    KeptLink,
    NewLink,
    drop_invitation,
    drop_session,
    find_session,
    load_invited,
    redeem,
    save_link,
)

SECRET_BYTES = 32
ID_BYTES = 12


class PersonalLinks:
    """Implements `bot.platforms.links.Links`. `origin` is where the page is, empty where it is
    nowhere to be reached from outside; `home` is the page's own platform. `id_of`: by platform,
    what makes a user's id of a name as a leader writes it; `problem_of`: what tells that nobody can
    be let in under one.
    """

    def __init__(
        self,
        store: SqliteStore,
        now: Callable[[], datetime],
        *,
        origin: str,
        home: str,
        id_of: Mapping[str, Callable[[str], str]],
        problem_of: Mapping[str, NameProblemOf],
    ) -> None:
        self._store = store
        self._now = now
        self._origin = origin
        self._home = home
        self._id_of = id_of
        self._problem_of = problem_of
        self._watching: list[Callable[[str, str, str], None]] = []

    @property
    def is_secure(self) -> bool:
        """Whether links lead to an https address."""
        return self._origin.startswith("https:")

    @property
    def home(self) -> str:
        """The platform whose rooms people come into by links, empty where none is."""
        return self._home

    async def settled(self, reply: Reply, club: Club) -> Reply:
        """Return a reply as it stands with the links that there are: those that it takes back are
        gone, and those that lead nowhere are not promised."""
        is_home = club.platform == self._home
        # Who is at home needs no link to a board, and nobody else can be let in there.
        if not self._origin or isinstance(reply, BoardLinkGiven) == is_home:
            return without_link(reply, is_here=is_home)
        if isinstance(reply, InvitationEnded):
            was_there = await self.uninvite(club, reply.member)
            return structs.replace(reply, was_there=was_there)
        if isinstance(reply, InvitationGiven):
            problem = await self.name_problem(club, reply.member)
            return reply if problem is None else InvitationRefused(reply.member, problem)
        return reply

    async def add_to(
        self, messages: tuple[Message, ...], reply: Reply, club: Club, incoming: Incoming
    ) -> tuple[Message, ...]:
        """Return a private answer with the link that it promises, or else with the button that asks
        for one, where it is about a day's board."""
        if not messages or not self._origin:
            return messages
        words = languages.language_of(club.settings.language)
        *others, last = messages
        match reply:
            case BoardLinkGiven(date=on_date):
                member = (incoming.user_id, incoming.name)
                address = await self._make(club, *member, on_date.isoformat())
                return (*others, replace(last, link=Link(words.OPEN_LABEL, address)))
            case InvitationGiven(member=name):
                return (*others, replace(last, link=await self.invite(club, name)))
        is_here = club.platform == self._home
        if is_here or reply.board_of is None or not _is_at_board(last, reply.board_of):
            return messages
        button = words.open_board_button(reply.board_of)
        return (*others, replace(last, buttons=(*last.buttons, button)))

    async def name_problem(self, club: Club, name: str) -> NameProblem | None:
        """Return why nobody can be invited under a name; None where somebody can."""
        invited = await self._store.database.read(lambda link: load_invited(link, club.id))
        known = invited | await self._store.load_member_names(club.id)
        return self._problem_of[club.platform](name, club, known)

    async def invite(self, club: Club, name: str) -> Link:
        """Return a new link into a club's room for somebody, who comes in as `name`."""
        words = languages.language_of(club.settings.language)
        address = await self._make(club, self._id_of[club.platform](name), name, "")
        lines = words.invitation_lines(name)
        printed = await asyncio.to_thread(draw_invitation, club.settings.name, lines, address)
        sheet = Attachment("invitation.pdf", printed, "application/pdf")
        return Link(words.INVITE_LABEL, address, code_squares(address), sheet)

    async def uninvite(self, club: Club, name: str) -> bool:
        """Take back somebody's link into a club's room; False where there is none."""
        user_id = self._id_of[club.platform](name)
        was_there = await self._store.database.write(
            lambda link: drop_invitation(link, club.id, user_id)
        )
        self._tell(club.platform, club.room_id, user_id)
        return was_there

    async def sign_in(self, link_id: str, secret: str, *, to_room: bool = False) -> Holder:
        """Exchange a link's secret for a session. Raises LinkRefusedError."""
        session, at = secrets.token_urlsafe(SECRET_BYTES), self._now()
        digests = _digest(secret), _digest(session)
        found = await self._store.database.write(
            lambda link: redeem(link, link_id, *digests, at, to_room=to_room)
        )
        return _holder(link_id, session, found)

    async def holder_of(self, link_id: str, session: str, *, to_room: bool = False) -> Holder:
        """Return whom a session stands for just now. Raises LinkRefusedError."""
        digest, at = _digest(session), self._now()
        found = await self._store.database.read(
            lambda link: find_session(link, link_id, digest, at, to_room=to_room)
        )
        return _holder(link_id, session, found)

    async def sign_out(self, holder: Holder) -> None:
        """End the session that somebody came by, on this one device."""
        digest = _digest(holder.session)
        await self._store.database.write(lambda link: drop_session(link, holder.link_id, digest))
        self._tell(holder.platform, holder.room_id, holder.user_id)

    def watch(self, changed: Callable[[str, str, str], None]) -> None:
        """Have `changed` told whose links have changed: platform, room and user."""
        self._watching.append(changed)

    async def _make(self, club: Club, user_id: str, name: str, day: str) -> str:
        """Make a link in the place of the member's last one of its kind; return its address."""
        link_id, secret = secrets.token_urlsafe(ID_BYTES), secrets.token_urlsafe(SECRET_BYTES)
        made = NewLink(link_id, club.id, user_id, name, day, _digest(secret))
        at = self._now()
        await self._store.database.write(lambda link: save_link(link, made, at))
        self._tell(club.platform, club.room_id, user_id)
        return link_address(self._origin, link_id, secret, to_room=not day)

    def _tell(self, platform: str, room_id: str, user_id: str) -> None:
        for changed in self._watching:
            changed(platform, room_id, user_id)


def without_link(reply: Reply, *, is_here: bool) -> Reply:
    """Return a reply as it stands where no link leads anywhere; `is_here`: on the page itself."""
    match reply:
        case BoardLinkGiven():
            return NoBoardLink(is_here=is_here)
        case InvitationGiven() | InvitationEnded():
            return NoInvitation()
    return reply


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
