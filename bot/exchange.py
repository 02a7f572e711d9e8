"""Between a room and the club: a line becomes an event, a reply becomes a message with its picture.

This is where words and pictures meet; it decides nothing. It never raises towards a room: what
goes wrong is logged under a short reference, which the member is told.
"""

from __future__ import annotations

import asyncio
import logging
import secrets
from collections.abc import Callable, Container, Mapping
from dataclasses import replace
from functools import lru_cache
from types import MappingProxyType
from typing import Literal

import msgspec

from bot import drawing, wording
from bot.club.acts import Act, Event, Misread, Overheard, Talk
from bot.club.facts import HintPicture, Picturable
from bot.club.ports import Store
from bot.club.replies import (
    DaysPreviewed,
    Reply,
    TurningShown,
    WalkthroughPosted,
    WalkthroughShown,
    WentWrong,
)
from bot.club.service import ClubService
from bot.club.state import Club
from bot.commands import table as commands
from bot.platforms.message import Incoming, Message, Picture, Room, RoomError
from bot.watchdog import Watchdog

_LOG = logging.getLogger("ninebark.exchange")


Look = Literal["light", "dark"]


PAGES = ("web",)
"""Platforms whose people choose a theme each; the others show the club's, so one is drawn."""

DRAWN = 256


@lru_cache(maxsize=DRAWN)
def _draw(facts: Picturable, look: Look) -> bytes:
    """Draw a picture, or take the one just drawn: a whole club asks for the day's at once."""
    return drawing.draw(facts, look)


_describe = lru_cache(maxsize=DRAWN)(wording.describe)


async def draw_picture(facts: Picturable, name: str, look: Look, *, in_both: bool) -> Picture:
    """Draw a picture, off the event loop, and describe it; in both themes where both are shown."""

    def draw() -> tuple[bytes, bytes]:
        if in_both:
            return _draw(facts, "light"), _draw(facts, "dark")
        return (only := _draw(facts, look)), only

    light, dark = await asyncio.to_thread(draw)
    return Picture(name, _describe(facts), light, dark, look)


async def compose(reply: Reply, look: Look, *, in_both: bool = True) -> tuple[Message, ...]:
    """Return the messages that a reply makes: its words with its picture, and an echo before it."""
    message = wording.phrase(reply)
    echo: Picturable | None = getattr(reply, "echo", None)
    facts: Picturable | None = getattr(reply, "picture", None)
    messages = []
    if not message.text:
        return ()  # plain talk in the room is heard, and not answered
    ending: tuple[Message, ...] = ()
    if isinstance(reply, WalkthroughShown):
        ending = (
            *await _compose_steps(reply, look, in_both=in_both),
            wording.walkthrough_ending(reply),
        )
    if isinstance(reply, DaysPreviewed):
        ending = await _compose_days(reply, look, in_both=in_both)
    if isinstance(reply, TurningShown):
        ending = await _compose_turning(reply, look, in_both=in_both)
    if echo is not None:
        picture = await draw_picture(echo, "board.png", look, in_both=in_both)
        messages.append(replace(wording.phrase_echo(), picture=picture))
    if facts is not None:
        kind = str(type(facts).__struct_config__.tag)
        message = replace(
            message, picture=await draw_picture(facts, f"{kind}.png", look, in_both=in_both)
        )
    return (*messages, message, *ending)


async def compose_thread(
    reply: Reply, look: Look, *, in_both: bool = True
) -> tuple[str, tuple[Message, ...]]:
    """Return a walkthrough thread's title and messages."""
    if not isinstance(reply, WalkthroughPosted):
        raise TypeError(f"{type(reply).__name__} is no thread")
    steps = await _compose_steps(reply, look, in_both=in_both)
    return wording.walkthrough_title(reply), (*steps, wording.walkthrough_ending(reply))


async def _compose_steps(
    reply: WalkthroughPosted | WalkthroughShown, look: Look, *, in_both: bool
) -> tuple[Message, ...]:
    """Return the steps of a walkthrough as messages.

    A run of singles is one message; every step above level 1 has one of its own, with its picture.
    """
    lines = wording.walkthrough_lines(reply.steps, reply.positions)
    messages: list[Message] = []
    run: list[str] = []
    for line, step, position in zip(lines, reply.steps, reply.positions, strict=True):
        if step.level == 1:
            run.append(line)
            continue
        if run:
            messages.append(Message("\n".join(run)))
            run = []
        facts = HintPicture(givens=reply.givens, position=position, step=step, rung="why")
        messages.append(
            Message(line, picture=await draw_picture(facts, "step.png", look, in_both=in_both))
        )
    if run:
        messages.append(Message("\n".join(run)))
    return tuple(messages)


async def _compose_days(reply: DaysPreviewed, look: Look, *, in_both: bool) -> tuple[Message, ...]:
    """Return the days to come, a message with its picture for each."""
    return tuple(
        [
            replace(
                wording.day_message(day),
                picture=await draw_picture(day.picture, "grid.png", look, in_both=in_both),
            )
            for day in reply.days
        ]
    )


async def _compose_turning(
    reply: TurningShown, look: Look, *, in_both: bool
) -> tuple[Message, ...]:
    """Return the parts of a report on where a puzzle turns, with their pictures."""
    messages = []
    for part in wording.tell_turning(reply.report, most=wording.ROOM_POINTS, theme=reply.theme):
        message = Message(part.text)
        if part.picture is not None:
            picture = await draw_picture(part.picture, f"{part.name}.png", look, in_both=in_both)
            message = replace(message, picture=picture)
        messages.append(message)
    return tuple(messages)


class Exchange:
    """Answers every act of every room. `rooms` by platform name.

    `leaders`: whom the config names, by platform and room; those that a club itself named lead too.
    """

    def __init__(
        self,
        service: ClubService,
        store: Store,
        rooms: Mapping[str, Room],
        *,
        wake: Callable[[int], None],
        leaders: Mapping[tuple[str, str], Container[str]] = MappingProxyType({}),
        watchdog: Watchdog | None = None,
    ) -> None:
        self._service = service
        self._store = store
        self._rooms = rooms
        self._wake = wake
        self._leaders = leaders
        self._watchdog = watchdog or Watchdog()

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
            return (wording.phrase(WentWrong(reference=reference)),)

    async def _answer(self, incoming: Incoming) -> tuple[Message, ...]:
        club = await self._store.load_club(incoming.platform, incoming.room_id)
        if club is None:
            return ()
        parsed: Act | Reply = Talk(incoming.text)
        if incoming.is_shown_only:
            parsed = Overheard(incoming.text)
        elif incoming.is_addressed:
            parsed = commands.parse(incoming.text, incoming.fields, in_open=incoming.in_open)
        in_both = incoming.platform in PAGES
        if isinstance(parsed, Reply):
            if not incoming.in_open:
                return await compose(parsed, club.settings.look, in_both=in_both)
            parsed = Misread(parsed)
        reply = await self._service.answer(
            Event(
                event_id=incoming.event_id,
                club_id=club.id,
                user_id=incoming.user_id,
                name=incoming.name,
                is_leader=self._leads(incoming, club),
                acted_at=incoming.acted_at,
                received_at=incoming.received_at,
                act=parsed,
                in_open=incoming.in_open,
                message_id=incoming.message_id,
                text="\n".join((incoming.text, *incoming.fields.values())),
            )
        )
        self._wake(club.id)
        if reply.was_public and incoming.message_id is not None:
            removed = await self._remove(incoming.platform, incoming.room_id, incoming.message_id)
            reply = msgspec.structs.replace(reply, was_removed=removed)
        return await compose(reply, club.settings.look, in_both=in_both)

    def _leads(self, incoming: Incoming, club: Club) -> bool:
        named = self._leaders.get((incoming.platform, incoming.room_id), ())
        return (
            incoming.leads or incoming.user_id in club.settings.leaders or incoming.user_id in named
        )

    async def _remove(self, platform: str, room_id: str, message_id: str) -> bool:
        """Take an answer out of the open; it counts whether that works or not."""
        try:
            return await self._rooms[platform].remove(room_id, message_id)
        except RoomError as problem:
            _LOG.warning("message %s could not be removed: %s", message_id, problem)
            return False
