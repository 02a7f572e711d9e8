"""Between a room and the club: a line becomes an event, a reply becomes a message with its picture.

This is where pictures come to the words; it decides nothing. It never raises towards a room: what
goes wrong is logged under a short reference, which the member is told.
"""

from __future__ import annotations

import asyncio
import logging
import secrets
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from typing import Literal

import msgspec

from bot import drawing, languages
from bot.club.acts import Act, Event, Misread, Overheard, Talk
from bot.club.clock import local_date
from bot.club.facts import GridPicture, HintPicture, Picturable
from bot.club.facts_sheets import PrintedSheet
from bot.club.people import people_in
from bot.club.pictures import decode_picture, encode_picture
from bot.club.ports import Store
from bot.club.replies import Reply, TalkHeard, WentWrong
from bot.club.service import ClubService
from bot.club.settings import LANGUAGES, ClubSettings
from bot.club.state import Club
from bot.commands import table as commands
from bot.links import PersonalLinks, without_link
from bot.platforms.message import (
    Attachment,
    Incoming,
    Message,
    Picture,
    Room,
    RoomError,
    without_photos,
)
from bot.watchdog import Watchdog
from bot.wording import Worded

_LOG = logging.getLogger("ninebark.exchange")


Look = Literal["light", "dark"]

Answered = Callable[[str, str, str], None]
"""Told the platform, the room and the user whose act was answered. It must not wait."""


DRAWN = 256


@lru_cache(maxsize=DRAWN)
def _draw(facts: Picturable, look: Look) -> bytes:
    """Draw a picture, or take the one just drawn: a whole club asks for the day's at once."""
    return drawing.draw(facts, look)


@lru_cache(maxsize=DRAWN)
def _describe(facts: Picturable, language: str) -> str:
    return languages.language_of(language).describe(facts)


async def draw_picture(
    facts: Picturable, name: str, settings: ClubSettings, *, in_both: bool
) -> Picture:
    """Draw a picture, off the event loop, and describe it; in both themes where both are shown."""
    look = settings.look

    def draw() -> tuple[bytes, bytes]:
        if in_both:
            return _draw(facts, "light"), _draw(facts, "dark")
        return (only := _draw(facts, look)), only

    light, dark = await asyncio.to_thread(draw)
    alt = _describe(facts, settings.language)
    return Picture(name, alt, light, dark, look, encode_picture(facts))


async def draw_again(facts: bytes, look: Look) -> bytes:
    """Draw a picture by its `Picture.facts`. Raises FutureVersionError, msgspec.DecodeError."""
    return await asyncio.to_thread(_draw, decode_picture(facts), look)


def _with_marks(facts: Picturable | None, settings: ClubSettings) -> Picturable | None:
    """Return a picture with the candidates that the club's pictures show."""
    if isinstance(facts, GridPicture | HintPicture) and not facts.keeps_marks:
        return msgspec.structs.replace(facts, marks=settings.marks)
    return facts


async def _draw_each(
    messages: Sequence[Worded], settings: ClubSettings, *, in_both: bool
) -> tuple[Message, ...]:
    drawn = []
    for worded in messages:
        message, facts = worded.message, _with_marks(worded.picture, settings)
        if facts is not None:
            name = worded.name or str(type(facts).__struct_config__.tag)
            picture = await draw_picture(facts, f"{name}.png", settings, in_both=in_both)
            message = replace(message, picture=picture)
        if worded.sheet is not None:
            message = await _with_sheet(message, worded.sheet, worded.name, settings)
        drawn.append(message)
    return tuple(drawn)


async def _with_sheet(
    message: Message, sheet: PrintedSheet, name: str, settings: ClubSettings
) -> Message:
    """Return a message with its sheet as a file, or that tells why there is none."""
    language = languages.language_of(settings.language)
    if not drawing.can_print():
        return replace(message, text=language.tell_unprinted(None))
    printed = await asyncio.to_thread(drawing.draw_sheet, sheet)
    told = (message.text, language.tell_unprinted(drawing.letters_lacking(sheet)))
    file = Attachment(f"{name}.pdf", printed, "application/pdf")
    return replace(message, text=" ".join(filter(None, told)), file=file)


async def compose(
    reply: Reply, settings: ClubSettings, *, in_both: bool = True
) -> tuple[Message, ...]:
    """Return the messages that a reply makes, in the club's language, with their pictures."""
    messages = languages.language_of(settings.language).phrase_all(reply)
    return _naming(reply, await _draw_each(messages, settings, in_both=in_both))


async def compose_thread(
    reply: Reply, settings: ClubSettings, *, in_both: bool = True
) -> tuple[str, tuple[Message, ...]]:
    """Return a thread's title and messages. Raises TypeError for a reply that is none."""
    # A walkthrough has many words: off the loop, which answers people meanwhile.
    language = languages.language_of(settings.language)
    title, messages = await asyncio.to_thread(language.phrase_thread, reply)
    return title, _naming(reply, await _draw_each(messages, settings, in_both=in_both))


def _naming(reply: Reply, drawn: tuple[Message, ...]) -> tuple[Message, ...]:
    """Return messages with the people whom their reply names."""
    names = people_in(reply)
    return tuple(replace(each, names=names) for each in drawn) if names else drawn


class Exchange:
    """Answers every act of every room. `rooms` by platform name."""

    def __init__(
        self,
        service: ClubService,
        store: Store,
        rooms: Mapping[str, Room],
        *,
        watchdog: Watchdog | None = None,
        links: PersonalLinks | None = None,
    ) -> None:
        self._service = service
        self._store = store
        self._rooms = rooms
        self._links = links
        self._watchdog = watchdog or Watchdog()
        self._watching: list[Answered] = []

    async def answer(self, incoming: Incoming) -> tuple[Message, ...]:
        """Return the private answers to one act; the `Answerer` of every room."""
        command = commands.name_of(incoming.text) or "talk"
        try:
            return await self._watchdog.watched(command, self._answer(incoming))
        except asyncio.CancelledError:
            raise
        except Exception:
            reference = secrets.token_hex(4)
            _LOG.exception("event %s went wrong, reference %s", incoming.event_id, reference)
            return (languages.language_of(LANGUAGES[0]).phrase(WentWrong(reference=reference)),)

    def watch(self, answered: Answered) -> None:
        """Have `answered` told whose act was answered, each time: platform, room and user."""
        self._watching.append(answered)

    async def _answer(self, incoming: Incoming) -> tuple[Message, ...]:
        reply, club = await self.reply_to(incoming)
        if reply is None or club is None:
            return ()
        links = self._links
        if links is None:
            return await self.word(without_link(reply, is_here=False), club)
        reply = await links.settled(reply, club)
        return await links.add_to(await self.word(reply, club), reply, club, incoming)

    async def word(self, reply: Reply, club: Club) -> tuple[Message, ...]:
        """Return the messages of an answer, as the club's room shows them."""
        in_both = self._rooms[club.platform].offers_themes
        messages = await compose(reply, club.settings, in_both=in_both)
        return tuple(map(self.offered, messages))

    def offered(self, message: Message) -> Message:
        """Return a message without what cannot be done here."""
        return message if self._service.reads_photos else without_photos(message)

    async def reply_to(self, incoming: Incoming) -> tuple[Reply | None, Club | None]:
        """Carry out one act; return its reply and the club, as its member sees it; None where the
        room has none."""
        club = await self._store.load_club(incoming.platform, incoming.room_id)
        if club is None:
            return None, None
        parsed: Act | Reply = Talk(incoming.text)
        if incoming.is_shown_only:
            parsed = Overheard(incoming.text)
        elif incoming.photo is not None and not incoming.in_open:
            parsed = commands.parse_photo(incoming.text, incoming.photo)
        elif incoming.is_addressed:
            today = local_date(incoming.acted_at, club.settings.zone)
            parsed = commands.parse(
                incoming.text, incoming.fields, in_open=incoming.in_open, today=today
            )
        if isinstance(parsed, Reply):
            parsed = Misread(parsed)
        event = Event(
            event_id=incoming.event_id,
            club_id=club.id,
            user_id=incoming.user_id,
            name=incoming.name,
            is_leader=incoming.leads,
            acted_at=incoming.acted_at,
            received_at=incoming.received_at,
            act=parsed,
            in_open=incoming.in_open,
            message_id=incoming.message_id,
            text="\n".join((incoming.text, *incoming.fields.values())),
            groups=incoming.groups,
            reached_at=incoming.reached_at,
        )
        reply, look = await self._service.answer_and_look(event)
        if isinstance(reply, TalkHeard) and incoming.called and not incoming.is_shown_only:
            # No answer to a puzzle, and said to the bot all the same.
            act = commands.parse_called(incoming.text, by_name=incoming.called == "by-name")
            if act is not None:
                reply, look = await self._service.answer_and_look(replace(event, act=act))
        for answered in self._watching:
            answered(incoming.platform, incoming.room_id, incoming.user_id)
        if reply.was_public and incoming.message_id is not None:
            removed = await self._remove(incoming.platform, incoming.room_id, incoming.message_id)
            reply = msgspec.structs.replace(reply, was_removed=removed)
        if look and not self._rooms[club.platform].offers_themes:
            settings = msgspec.structs.replace(club.settings, look=look)
            club = msgspec.structs.replace(club, settings=settings)
        return reply, club

    async def _remove(self, platform: str, room_id: str, message_id: str) -> bool:
        """Take an answer out of the open; it counts whether that works or not."""
        try:
            return await self._rooms[platform].remove(room_id, message_id)
        except RoomError as problem:
            _LOG.warning("message %s could not be removed: %s", message_id, problem)
            return False
