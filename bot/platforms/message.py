"""What passes between the club and any platform: messages out, acts in, and the room's interface.

A room file knows its library and this module, nothing else of the project. A message is plain
text, never markup: each room escapes it for its platform. A button or a form carries a command
line, so that pressing is the same as typing, and a press outlives a restart.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from enum import StrEnum
from typing import Literal, Protocol

BUTTON_COMMAND_LIMIT = 72
"""Characters of a button's command line: the tightest limit of the platforms (Discord's 100, less
what names the room beside it)."""

LINE_LIMIT = 4000
"""Characters of a command line and its form's fields together, on every platform: two weeks of
drawn puzzles fit. Longer ones are refused before any of it is read."""


@dataclass(frozen=True, slots=True)
class Picture:
    """A PNG in both themes with the text that holds the same facts. `name` is a file name.

    `preferred` is the club's choice, for a platform that cannot show both. `facts`: what a platform
    that shows its posts itself may keep in place of the PNGs, as whoever drew them draws again;
    empty where nobody does. They tell all, so they are shown to nobody.
    """

    name: str
    alt: str
    light: bytes
    dark: bytes
    preferred: Literal["light", "dark"] = "light"
    facts: bytes = b""

    @property
    def shown(self) -> bytes:
        """The PNG in the theme that the club prefers."""
        return self.dark if self.preferred == "dark" else self.light


@dataclass(frozen=True, slots=True)
class Attachment:
    """A file to keep, handed over as it is. `name` is a file name, `kind` its media type."""

    name: str
    raw: bytes
    kind: str = "application/json"


@dataclass(frozen=True, slots=True)
class Button:
    """`command` is the line that pressing sends, at most BUTTON_COMMAND_LIMIT characters.

    `takes_photo`: a photo may go with it at once; without one the answer asks for it. Where no
    photos are read it is left out.
    """

    label: str
    command: str
    is_main: bool = False
    takes_photo: bool = False


@dataclass(frozen=True, slots=True)
class Choice:
    """One line of a menu; `value` is at most BUTTON_COMMAND_LIMIT characters."""

    label: str
    value: str
    is_chosen: bool = False


@dataclass(frozen=True, slots=True)
class Menu:
    """Choosing sends `command` with the chosen value right behind it. At most 25 choices.

    A room that has no menus leaves them out: all that they do can be typed.
    """

    label: str
    command: str
    choices: tuple[Choice, ...]


@dataclass(frozen=True, slots=True)
class Picker:
    """The platform's own list of its people, or of its groups; `picked`: ids of some, so far.
    Picking sends `command` with the ids of all that are picked right behind it, commas between.

    A room that has no such list leaves it out: all that it does can be typed.
    """

    label: str
    command: str
    picked: tuple[str, ...] = ()
    of_groups: bool = False


@dataclass(frozen=True, slots=True)
class Field:
    """One text field of a form; `rows` is the height in lines of text. `takes_photo`: it takes a
    photo in place of a text; a room that cannot, or where none are read, leaves it out."""

    name: str
    label: str
    value: str = ""
    rows: int = 1
    placeholder: str = ""
    takes_photo: bool = False


@dataclass(frozen=True, slots=True)
class Form:
    """Fields to fill. Sending it sends `command` with the fields' texts beside it.

    `opens` is the line that brings it once more, where it cannot be opened at once; empty: that is
    its own command.
    """

    title: str
    command: str
    fields: tuple[Field, ...]
    send_label: str = "Send"
    opens: str = ""


@dataclass(frozen=True, slots=True)
class Link:
    """An address to open, which is its bearer's sign-in: a room shows it to the one whom it tells,
    and keeps it nowhere. `squares`: the same as a code to scan, a row of 0 and 1 each; `sheet`: on
    paper."""

    label: str
    address: str = field(repr=False)
    squares: tuple[str, ...] = field(default=(), repr=False)
    sheet: Attachment | None = field(default=None, repr=False)


@dataclass(frozen=True, slots=True)
class Message:
    """`text` is for reading, `code` for a block of equal-width letters (a grid as text). `names`
    are the people whom it names, as they are called. `is_quiet`: where a platform can, a post goes
    up without a sound. `pings`: the groups whom it calls, or `room` for all who are in the room.
    """

    text: str
    code: str = ""
    picture: Picture | None = None
    buttons: tuple[Button, ...] = ()
    form: Form | None = None
    menus: tuple[Menu, ...] = ()
    pickers: tuple[Picker, ...] = ()
    file: Attachment | None = None
    names: tuple[str, ...] = ()
    link: Link | None = None
    is_quiet: bool = False
    pings: tuple[str, ...] = ()


def without_photos(message: Message) -> Message:
    """Return a message without what asks for a photo, for where none are read."""
    form, left = message.form, tuple(each for each in message.buttons if not each.takes_photo)
    if form is not None:
        fields = tuple(each for each in form.fields if not each.takes_photo)
        form = replace(form, fields=fields) if fields else None
    return replace(message, buttons=left, form=form)


@dataclass(frozen=True, slots=True)
class Photo:
    """A picture that came with an act, not fetched yet: nothing of its name or place is told.

    `size`: its bytes, as the platform tells them. `fetching` takes how many there may be at most,
    and returns them, or None where they cannot be had or are more.
    """

    size: int
    fetching: Callable[[int], Awaitable[bytes | None]]

    async def fetch(self, most: int) -> bytes | None:
        """Return its bytes; None where they cannot be had, or are more than `most`."""
        return await self.fetching(most)


@dataclass(frozen=True, slots=True)
class Incoming:
    """One act of one person, as the platform reported it.

    - `event_id`: the platform's own id of the act, unique over all platforms; a redelivery has it
      again.
    - `user_id`, `name`: who; the name is for showing and comes from outside, so it may hold
      anything. `leads`: the platform says that this person may lead the club.
    - `groups`: the ids of the groups that they are in there, each with a `&` before it, where a
      group can lead.
    - `acted_at`: the platform's stamp of the act; `received_at`: when it reached us. Aware, UTC.
    - `reached_at`: when an answer could first reach them, where that was later than the act.
    - `text`: the command line, or what was said. `fields`: the texts of a form's fields by name.
      They are as long as the platform lets them be; LINE_LIMIT is kept where they are read.
    - `in_open`: said where everyone in the room sees it, under `message_id`.
    - `is_addressed`: False where the platform asks for a sign that a line is a command, and the
      line has none: then it is talk, whatever it says.
    - `called`: said in the open to the bot itself, which answers whatever it is where it is called
      `by-name`; what comes `by-reply` to a post of its own may be talk about the puzzle.
    - `is_shown_only`: everyone sees it, but it is no act, as an edit is none: it can only be taken
      away.
    - `photo`: a picture that was sent with it, in private.
    """

    event_id: str
    platform: str
    room_id: str
    user_id: str
    name: str
    leads: bool
    acted_at: datetime
    received_at: datetime
    text: str
    fields: Mapping[str, str] = field(default_factory=dict)
    in_open: bool = False
    message_id: str | None = None
    is_addressed: bool = True
    called: Literal["", "by-name", "by-reply"] = ""
    is_shown_only: bool = False
    photo: Photo | None = None
    groups: tuple[str, ...] = ()
    reached_at: datetime | None = None


class Duty(StrEnum):
    """What a club's room has to let the bot do."""

    BE_THERE = "be-there"
    SEE = "see"
    POST = "post"
    SHOW_PICTURES = "show-pictures"
    LOOK_BACK = "look-back"
    OPEN_THREADS = "open-threads"
    WRITE_IN_THREADS = "write-in-threads"
    OFFER_CHOICES = "offer-choices"
    REMOVE = "remove"


@dataclass(frozen=True, slots=True)
class Lacking:
    """What the bot may not do in a club's room: duties, each with what the platform calls the right
    to it. `how`: how somebody gives them, in words."""

    rights: tuple[tuple[Duty, str], ...] = ()
    how: str = ""


@dataclass(frozen=True, slots=True)
class Place:
    """A room that somebody named. `room_id`: empty where there is none that they can see; `title`:
    what people there call it. `is_led`: the platform lets them lead a club there. `lacking`: what
    the bot may not do there. `how`: how a room is named, in words, with an example."""

    room_id: str = ""
    title: str = ""
    is_led: bool = False
    lacking: Lacking = Lacking()
    how: str = ""


Answerer = Callable[[Incoming], Awaitable[tuple[Message, ...]]]
"""Takes an act and returns the private answers to it, in order; never raises."""


class RoomError(Exception):
    """The root of what a room raises when the platform refuses or fails."""


class RoomUnreachableError(RoomError):
    """The platform did not take it now; trying again later may work."""


class RoomGoneError(RoomError):
    """The room is no more, or no longer ours to write in; trying again will not help."""


class RightMissingError(RoomGoneError):
    """The room is there, but the bot lacks a right in it: it waits until somebody gives it."""


class Refusal(StrEnum):
    """Why a platform refuses the bot as a whole."""

    TOKEN = "token"
    INTENTS = "intents"
    SHARDS = "shards"
    VERSION = "version"
    CLOSED = "closed"


class PlatformRefusedError(RoomError):
    """The platform refuses the bot as a whole, now and on every further try.

    `code` is the platform's own.
    """

    def __init__(self, problem: Refusal, *, code: int = 0) -> None:
        super().__init__(f"{problem} ({code})")
        self.problem = problem
        self.code = code


class HostRefusedError(RoomError):
    """This machine does not give what a room needs. The host mends that before anything starts,
    whatever else could be served."""


class Room(Protocol):
    """A platform, seen from the club. One object serves all rooms of its platform.

    Posting with a key that was posted before in the same room returns the first post's reference
    and posts nothing. References are the platform's, as text. `offers_themes`: each of its people
    chooses a theme for pictures; elsewhere the club's is shown.
    """

    platform: str
    offers_themes: bool

    async def start(self, answer: Answerer) -> None:
        """Connect and begin to hand acts to `answer`."""

    async def stop(self) -> None:
        """Disconnect; acts under way are answered first."""

    async def ended(self) -> None:
        """Wait until the room, which has started, is over by itself; that may be never. Raises
        PlatformRefusedError where the platform refuses the bot for good."""

    async def post(
        self, room_id: str, message: Message, *, key: str, may_wait: bool = False
    ) -> str:
        """Post for everyone in the room, once per key. Raises RoomError. What `may_wait` does so
        behind the posts of other rooms, where a platform takes so many at a time."""

    async def find_post(self, room_id: str, key: str) -> str | None:
        """Return the reference of the post with this key, None where there is none."""

    async def stamp_of(self, room_id: str, reference: str) -> datetime | None:
        """Return when a post of ours could first be seen, by the platform's own stamp, None where
        it tells none. Raises RoomError."""

    async def is_up(self, room_id: str, reference: str) -> bool:
        """Ask whether a post of ours is still there. Raises RoomError."""

    async def edit(self, room_id: str, reference: str, message: Message, *, key: str) -> str:
        """Replace the post of ours that has this key; return its reference from now on. Raises
        RoomError."""

    async def post_thread(
        self, room_id: str, reference: str, title: str, messages: tuple[Message, ...], *, key: str
    ) -> str:
        """Open a thread under a post and write `messages` in it, once per key. Raises RoomError."""

    async def post_under(
        self, room_id: str, reference: str, title: str, message: Message, *, key: str
    ) -> str:
        """Post one message in a thread under a post, once per key; return its reference, by which
        it is edited as any post. Raises RoomError."""

    async def tell(self, room_id: str, user_id: str, message: Message, *, key: str) -> str:
        """Write privately to one person, once per key. Raises RoomError."""

    async def remove(self, room_id: str, message_id: str) -> bool:
        """Take a person's message out of the open room; False where we may not."""

    def lacking(self, room_id: str) -> Lacking | None:
        """Return what the bot may not do in a club's room, by what the platform has told; None
        where that is not known at the moment."""

    def server_of(self, room_id: str) -> str:
        """Return the id of what a room is part of; empty where the platform has no such thing, or
        where it is not known at the moment."""

    async def find_place(self, room_id: str, named: str, user_id: str) -> Place:
        """Return the room that somebody of a club's room names, as the platform has it for them.
        Raises RoomError."""

    def in_charge(self, room_id: str) -> tuple[str, ...]:
        """Return who leads in a room by the platform's own word, as far as it tells without being
        asked."""
