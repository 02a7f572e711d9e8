"""Who may do what in the web room: the one place that lets requests, people and acts in.

A request counts only from this room's own page, by its Host and Origin. A person is the name that
they entered under, in the room that they entered: a frame names neither, and one that tries is not
read. Nobody proves who they are; whoever sits at this machine may be anyone. Only this module makes
an `Incoming` here.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from aiohttp import web
from aiohttp.typedefs import Middleware

from bot.platforms.boards import Boards
from bot.platforms.links import Holder, Links
from bot.platforms.message import Incoming
from bot.platforms.web.frames import Act, Enter, Touch
from bot.platforms.web.guard import clean_name, clean_text, is_own_origin, opaque_id, user_id_of
from bot.platforms.web.names import NameWords, People, find_problem
from bot.platforms.web.refusals import WebProblem
from bot.platforms.web.words import WebWords

PLATFORM = "web"
SOCKET = "/socket"

Who = tuple[str, str, str, str]
"""A platform, a room, a user, and the day that alone is shown, empty for whichever is open."""

Serve = Callable[[web.Request], Awaitable[web.StreamResponse]]
Authorities = Callable[[], frozenset[str]]
PeopleOf = Callable[[str], Awaitable[People]]
"""Returns who is known to the club of a room."""


@dataclass(frozen=True, slots=True)
class Place:
    """A room of the page: its title, and the names of those who may lead its club."""

    title: str
    leaders: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Visitor:
    """Somebody who has entered; `leads` by the room's own list. `holder`: they came to one board by
    a link, and are in no room."""

    room_id: str
    user_id: str
    name: str
    leads: bool
    holder: Holder | None = None

    @property
    def who(self) -> Who:
        """Whose board they see, and the day of a link."""
        if self.holder is None:
            return (PLATFORM, self.room_id, self.user_id, "")
        return (self.holder.platform, self.room_id, self.user_id, self.holder.day)


class NotLetInError(Exception):
    """Somebody may not enter so. `problem` goes to the page, which has the words."""

    def __init__(self, problem: WebProblem) -> None:
        super().__init__(problem)
        self.problem = problem


async def no_people(room_id: str) -> People:
    """Return nobody: for a page without a club's store behind it."""
    return People()


async def no_name(room_id: str) -> str | None:
    """Know of no name but the place's title."""
    return None


@dataclass(frozen=True, slots=True)
class PageClubs:
    """The clubs on the page, by their rooms. `name_of` returns what a room's club is called by now,
    None if there is none yet; `people_of` who is known to it. `boards` are its members', `links`
    what members of any club come to theirs by."""

    places: Mapping[str, Place]
    name_of: Callable[[str], Awaitable[str | None]] = no_name
    people_of: PeopleOf = no_people
    boards: Boards | None = None
    links: Links | None = None


def gate(authorities: Authorities, words: WebWords) -> Middleware:
    """Return the middleware that every request passes, the socket's too.

    A browser names an Origin with every socket and whatever it sends; who names none is no page.
    """

    @web.middleware
    async def check(request: web.Request, handler: Serve) -> web.StreamResponse:
        host = request.headers.get("Host", "").lower()
        origin = request.headers.get("Origin")
        if host not in authorities():
            return web.Response(status=421, text=words.elsewhere)
        # A browser names none where it only looks.
        only_looks = request.method in ("GET", "HEAD") and "Upgrade" not in request.headers
        is_bare = origin is None and only_looks
        if not is_bare and not is_own_origin(origin, authorities()):
            return web.Response(status=403, text=words.foreign)
        return await handler(request)

    return check


class Door:
    """Lets people in, and acts from whoever was let in. `words` are names that read as the club's
    own."""

    def __init__(self, clubs: PageClubs, words: NameWords) -> None:
        self._rooms = clubs.places
        self._people_of = clubs.people_of
        self._words = words
        self._leaders = {
            room_id: frozenset(user_id_of(name) for name in place.leaders)
            for room_id, place in clubs.places.items()
        }

    async def let_in(self, enter: Enter, title: str, present: Iterable[Visitor]) -> Visitor:
        """Return who enters. `title`: what the club is called by now; `present`: who is in any
        room. Raises NotLetInError.
        """
        place, name = self._rooms.get(enter.room), clean_name(enter.name)
        if place is None:
            raise NotLetInError(WebProblem.ROOM)
        known = await self._people_of(enter.room)
        here = {each.user_id: each.name for each in present if each.room_id == enter.room}
        people = People((*place.leaders, *known.leaders), {**here, **known.members})
        problem = find_problem(name, people, (place.title, title), self._words)
        if problem is not None:
            raise NotLetInError(problem)
        user_id = user_id_of(name)
        return Visitor(enter.room, user_id, name, user_id in self._leaders[enter.room])

    def let_in_by(self, holder: Holder) -> Visitor:
        """Return who comes to their board by a link; it gives nobody the power to lead."""
        return Visitor(holder.room_id, holder.user_id, holder.name, leads=False, holder=holder)

    def admit(self, visitor: Visitor, act: Act | Touch, at: datetime) -> Incoming:
        """Return what a visitor's page sent as an act of theirs, in their room."""
        platform, room_id, user_id, _ = visitor.who
        who = opaque_id(room_id, user_id)
        by_link = "" if visitor.holder is None else f"link:{platform}:"
        return Incoming(
            event_id=f"{PLATFORM}:{by_link}{room_id}:{who}:{act.id}",
            platform=platform,
            room_id=visitor.room_id,
            user_id=visitor.user_id,
            name=visitor.name,
            leads=visitor.leads,
            acted_at=at,
            received_at=at,
            text=clean_text(act.text),
            fields={name: clean_text(value) for name, value in act.fields.items()},
            in_open=isinstance(act, Act) and act.open,
        )
