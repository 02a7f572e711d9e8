"""Who may do what in the web room: the one place that lets people and acts in.

Only what has passed the `gate` comes here. A person is the name that they entered under, in the
room that they entered: a frame names neither, and one that tries is not read. Nobody proves who
they are; whoever sits at this machine may be anyone, so nobody enters by a name where the page has
an address outside. Only this module makes an `Incoming` here.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from bot.platforms.boards import Boards
from bot.platforms.links import Holder, Links
from bot.platforms.message import Incoming, Photo
from bot.platforms.web.frames import Act, Enter, Touch
from bot.platforms.web.guard import clean_name, clean_text, opaque_id, user_id_of
from bot.platforms.web.names import NameWords, People, find_problem
from bot.platforms.web.refusals import WebProblem

PLATFORM = "web"

Who = tuple[str, str, str, str]
"""A platform, a room, a user, and the day that alone is shown, empty for whichever is open."""

PeopleOf = Callable[[str], Awaitable[People]]
"""Returns who is known to the club of a room."""


@dataclass(frozen=True, slots=True)
class Place:
    """A room of the page: its title, and the names of those who may lead its club."""

    title: str
    leaders: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Visitor:
    """Somebody who has entered; `leads` by the room's own list. `holder`: by which link
    they came, where they had to; one to a board leads into no room."""

    room_id: str
    user_id: str
    name: str
    leads: bool
    holder: Holder | None = None

    @property
    def is_linked(self) -> bool:
        """Whether they see one board and nothing else."""
        return self.holder is not None and bool(self.holder.day)

    @property
    def who(self) -> Who:
        """Whose board they see, and the day of a link to it."""
        if self.holder is None or not self.holder.day:
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
    what members of any club come to theirs by. `takes_photos`: the page offers to send them."""

    places: Mapping[str, Place]
    name_of: Callable[[str], Awaitable[str | None]] = no_name
    people_of: PeopleOf = no_people
    boards: Boards | None = None
    links: Links | None = None
    takes_photos: bool = False

    async def title_of(self, room_id: str) -> str:
        """Return what a room's club is called, empty where there is no such room."""
        place = self.places.get(room_id)
        return await self.name_of(room_id) or (place.title if place is not None else "")

    async def titles(self) -> dict[str, str]:
        """Return what the club of each room is called."""
        return {room_id: await self.title_of(room_id) for room_id in self.places}


class Door:
    """Lets people in, and acts from whoever was let in. `words` are names that read as the club's
    own; `is_public`: people come from elsewhere, too."""

    def __init__(self, clubs: PageClubs, words: NameWords, *, is_public: bool) -> None:
        self._is_public = is_public
        self._rooms = clubs.places
        self._people_of = clubs.people_of
        self._words = words
        self._leaders = {
            room_id: frozenset(user_id_of(name) for name in place.leaders)
            for room_id, place in clubs.places.items()
        }

    def let_in_invited(self, holder: Holder) -> Visitor:
        """Return who comes into the room by their link, under the name that they were invited by:
        what their page calls them counts for nothing. Raises NotLetInError."""
        if holder.room_id not in self._rooms:
            raise NotLetInError(WebProblem.ROOM)
        leads = holder.user_id in self._leaders[holder.room_id]
        return Visitor(holder.room_id, holder.user_id, clean_name(holder.name), leads, holder)

    async def let_in(self, enter: Enter, title: str, present: Iterable[Visitor]) -> Visitor:
        """Return who enters. `title`: what the club is called by now; `present`: who is in any
        room. Raises NotLetInError.
        """
        if self._is_public:
            raise NotLetInError(WebProblem.LINK)
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

    def admit(
        self, visitor: Visitor, act: Act | Touch, at: datetime, photo: Photo | None = None
    ) -> Incoming:
        """Return what a visitor's page sent as an act of theirs, in their room; what is said in the
        open has no photo."""
        in_open = isinstance(act, Act) and act.open
        platform, room_id, user_id, _ = visitor.who
        who = opaque_id(room_id, user_id)
        by_link = f"link:{platform}:" if visitor.is_linked else ""
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
            in_open=in_open,
            photo=None if in_open else photo,
        )
