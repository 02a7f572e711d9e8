"""What goes over the web room's socket and into its log, as values with their JSON.

Texts stay plain text here and on the wire; the page shows them as text, never as markup. A picture
is kept once, under its token, and named here.
"""

from __future__ import annotations

import struct
from typing import Annotated

import msgspec
from msgspec import Meta, Struct

from bot.platforms.boards import LiveBoard
from bot.platforms.links import LinkProblem
from bot.platforms.message import Button, Form, Link, Menu
from bot.platforms.web.refusals import WebProblem

# --- from the page: what it does not know of is not read ---

ClientId = Annotated[str, Meta(pattern=r"^[A-Za-z0-9-]{1,64}\Z")]


class Enter(Struct, frozen=True, tag="enter", tag_field="type", forbid_unknown_fields=True):
    """A tab goes into a room under a name. `epoch` and `last` say what it has seen already."""

    room: str
    name: str
    epoch: str = ""
    last: int = 0


PhotoSize = Annotated[int, Meta(ge=0, le=2**53)]
EntryId = Annotated[int, Meta(ge=0, le=2**53)]
"""Bytes of the photo that was sent for an act beforehand, as the page tells them; 0: none was."""


class Act(Struct, frozen=True, tag="act", tag_field="type", forbid_unknown_fields=True):
    """A line, a press or a form sent. `id` is the page's own; sending again uses it again. `under`:
    the private answer that was pressed in, 0 for none."""

    id: ClientId
    text: str
    fields: dict[str, str] = {}
    open: bool = False
    photo: PhotoSize = 0
    under: EntryId = 0


class Touch(Struct, frozen=True, tag="touch", tag_field="type", forbid_unknown_fields=True):
    """A tap on the member's own board: a command line, answered at the board and nowhere else."""

    id: ClientId
    text: str
    fields: dict[str, str] = {}
    photo: PhotoSize = 0


FromPage = Enter | Act | Touch

# --- what the log keeps ---


class PictureBody(Struct, frozen=True):
    """`light` and `dark` are tokens of the log's pictures. Width and height let the page keep the
    place free, so that nothing jumps when the picture comes; 0 where they could not be read."""

    name: str
    alt: str
    light: str
    dark: str
    width: int = 0
    height: int = 0


def size_of_png(picture: bytes) -> tuple[int, int]:
    """Return width and height from a PNG's first chunk, (0, 0) where it is no PNG."""
    if picture[:8] != b"\x89PNG\r\n\x1a\n" or len(picture) < 24:
        return 0, 0
    width, height = struct.unpack(">II", picture[16:24])
    return width, height


class FileBody(Struct, frozen=True):
    """A file to save; the page hands it over without asking us again."""

    name: str
    kind: str
    content: bytes


class MessageBody(Struct, frozen=True, omit_defaults=True):
    """A message as it is kept: `bot.platforms.message.Message`, its picture by tokens. `names` are
    the people whom the club names in it."""

    text: str
    code: str = ""
    picture: PictureBody | None = None
    buttons: tuple[Button, ...] = ()
    form: Form | None = None
    menus: tuple[Menu, ...] = ()
    file: FileBody | None = None
    names: tuple[str, ...] = ()


class EntryBody(Struct, frozen=True, omit_defaults=True):
    """One entry: a message, or for a thread its messages, `under` a post and with a `title`;
    one that `is_open` is seen at once.

    `by` is the name of the person who said it, empty for the club. `is_gone` marks a line that
    was taken away: its words go, its key stays, so that a redelivery does not bring it back.
    """

    at: str
    messages: tuple[MessageBody, ...] = ()
    by: str = ""
    under: int | None = None
    title: str = ""
    is_gone: bool = False
    is_open: bool = False


# --- to the page ---


class Entered(Struct, frozen=True, tag="entered", tag_field="type"):
    """`is_fresh`: forget what is shown, all of it follows. `photos`: the key under which this
    visitor's are sent, empty where none are read."""

    title: str
    name: str
    leads: bool
    epoch: str
    no: int
    is_fresh: bool
    photos: str = ""


class Ready(Struct, frozen=True, tag="ready", tag_field="type"):
    """All that was missed has been sent."""


class Entry(Struct, frozen=True, tag="entry", tag_field="type"):
    """An entry, new or changed. `no` counts what this room's process has sent to anybody."""

    no: int
    id: int
    kind: str
    private: bool
    body: EntryBody


class Gone(Struct, frozen=True, tag="gone", tag_field="type"):
    """The entry with this id was taken away. `no` counts as an entry's does."""

    no: int
    id: int


class Done(Struct, frozen=True, tag="done", tag_field="type"):
    """The act with this id is answered; `entries` are the private answers, in order."""

    id: str
    entries: tuple[int, ...]


class LinkBody(Struct, frozen=True):
    """A link that is shown and kept nowhere."""

    label: str
    address: str
    squares: tuple[str, ...] = ()
    sheet: FileBody | None = None


def link_body(link: Link) -> LinkBody:
    """Return a link as it goes over the wire."""
    given = link.sheet
    sheet = None if given is None else FileBody(given.name, given.kind, given.raw)
    return LinkBody(link.label, link.address, link.squares, sheet)


class Once(Struct, frozen=True, tag="once", tag_field="type"):
    """A link that belongs to the entry with this id, told to the tab that asked and never again."""

    id: int
    link: LinkBody


class BoardNow(Struct, frozen=True, tag="board", tag_field="type"):
    """The member's board as it now is; None where the room has no club yet."""

    board: LiveBoard | None


class Touched(Struct, frozen=True, tag="touched", tag_field="type"):
    """The tap with this id is carried out: what is said of it, and the board after it."""

    id: str
    said: tuple[MessageBody, ...]
    board: LiveBoard | None


class Refused(Struct, frozen=True, tag="refused", tag_field="type"):
    """Something was not taken. `id` is the act's, empty where it could not be read."""

    problem: WebProblem | LinkProblem
    id: str = ""
    limit: int = 0


ToPage = Entered | Ready | Entry | Gone | Done | Once | BoardNow | Touched | Refused

_ENCODER = msgspec.json.Encoder()
_FRAME_DECODER: msgspec.json.Decoder[FromPage] = msgspec.json.Decoder(FromPage)
_BODY_DECODER = msgspec.json.Decoder(EntryBody)


def encode(value: ToPage | EntryBody) -> bytes:
    """Return a frame or an entry's body as JSON; a tag in a frame says what it is."""
    return _ENCODER.encode(value)


def parse_frame(text: str | bytes) -> FromPage:
    """Read a frame from a page. Raises msgspec.DecodeError (or its ValidationError)."""
    return _FRAME_DECODER.decode(text)


def parse_body(text: bytes) -> EntryBody:
    """Read what the log kept; `encode` is the inverse."""
    return _BODY_DECODER.decode(text)
