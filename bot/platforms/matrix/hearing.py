"""From an event in the journal to its answer: what was said, where, by whom, and what is sent back.

An event stays in the journal until its answers are out, and answers have keys, so it does not
matter where a crash falls between. Events of one person are answered in order. A sealed event is
tried again after later syncs; when its key does not come, its sender is told.
"""

from __future__ import annotations

import json
import logging
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from functools import partial
from operator import attrgetter
from typing import Any

from bot.platforms.clubs import Clubs
from bot.platforms.matrix import reading
from bot.platforms.matrix.door import Door, Spot
from bot.platforms.matrix.errors import BlockedError
from bot.platforms.matrix.inbound import UnreadableError
from bot.platforms.matrix.journal import Draft, InboxEvent
from bot.platforms.matrix.json import as_json
from bot.platforms.matrix.lanes import FIRST_REST, LONGEST_REST, Lanes
from bot.platforms.matrix.layout import in_place, lay_out_answer, lay_out_notice
from bot.platforms.matrix.line import Line
from bot.platforms.matrix.meeting import AGAIN, Meeting
from bot.platforms.matrix.patience import Wait
from bot.platforms.matrix.pointing import Pointing
from bot.platforms.matrix.verifying import Way
from bot.platforms.matrix.words import MatrixWords
from bot.platforms.message import (
    Answerer,
    Incoming,
    Message,
    Photo,
    RoomError,
    RoomUnreachableError,
)

FOUNDING = "!club"
"""What a leader's line begins with that founds a club in a room without one."""
SEALED_PATIENCE = timedelta(seconds=60)
FEWEST_TRIES = 2

_LOG = logging.getLogger("ninebark.matrix")


class Hearing:
    """`take_up` is told of what waits after each sync; `door` is whom it asks who may do what."""

    def __init__(
        self,
        line: Line,
        door: Door,
        *,
        answer: Answerer,
        clubs: Clubs,
        words: MatrixWords,
        prefix: str,
        now: Callable[[], datetime],
        wait: Wait,
    ) -> None:
        self._server = line.server
        self._journal = line.journal
        self._outbox = line.outbox
        self._direct = line.direct
        self.door = door
        self._answer = answer
        self._founder = clubs.founder
        self._verifying = line.caring.verifying
        self._words = words
        self._prefix = prefix
        self._now = now
        self._wait = wait
        self._begins = clubs.begins
        self._under_way: set[str] = set()
        self._sealed: dict[str, InboxEvent] = {}
        self._hopeless: set[str] = set()
        self.lanes = Lanes()
        self.meeting = Meeting(line, words, prefix)
        self._pointing = Pointing(line, words, now)

    async def take_up(self, waiting: tuple[InboxEvent, ...]) -> None:
        """Begin with every event that waits and is not under way; try again what is sealed."""
        known = self._sealed | {event.event_id: event for event in waiting}
        for event in sorted(known.values(), key=attrgetter("received_at")):
            if event.event_id in self._under_way:
                continue
            opened: InboxEvent | None = event
            if event.is_sealed:
                opened = await self._try_to_open(event)
            if opened is not None:
                self._under_way.add(event.event_id)
                self.lanes.put(event.sender, partial(self._serve, opened))

    async def _try_to_open(self, event: InboxEvent) -> InboxEvent | None:
        """Return the event as it can be served now; None where it is to wait on."""
        if not self._server.is_encrypting:
            return event
        source = json.loads(event.body)
        opened = None
        # What its own key has not opened, it never will: a copy of another message, or none.
        if event.event_id not in self._hopeless and self._server.has_key(source, event.room_id):
            try:
                opened = self._server.decrypt(source, event.room_id)
            except UnreadableError as problem:
                self._sealed.pop(event.event_id, None)
                await self._journal.give_up(event, str(problem))
                return None
            self._hopeless.add(event.event_id)
        if opened is not None:
            self._let_go(event)
            body = as_json(opened)
            await self._journal.open_sealed(event.event_id, body)
            return replace(event, body=body, is_sealed=False)
        waited = self._now() - event.received_at
        if event.tries >= FEWEST_TRIES and waited >= SEALED_PATIENCE:
            self._let_go(event)
            return event
        if event.tries < FEWEST_TRIES:  # so that many sealed ones cost no more at every sync
            await self._journal.note_try(event.event_id)
            event = replace(event, tries=event.tries + 1)
        self._sealed[event.event_id] = event
        return None

    def _let_go(self, event: InboxEvent) -> None:
        self._sealed.pop(event.event_id, None)
        self._hopeless.discard(event.event_id)

    async def _serve(self, event: InboxEvent) -> None:
        rest = FIRST_REST
        while True:
            try:
                await self._serve_once(event)
                await self._journal.finish(event.event_id)
            except RoomUnreachableError as problem:
                _LOG.warning("an answer waits: %s", problem)
                await self._wait(rest)
                rest = min(LONGEST_REST, rest * 2)
                continue
            except RoomError as problem:
                # Somebody who cannot be written to any more: nothing is left to do.
                _LOG.warning("event %s stays without an answer: %s", event.event_id, problem)
                await self._journal.finish(event.event_id)
            except Exception:
                # It stays in the journal, and is tried again by the next run.
                _LOG.exception("event %s could not be served", event.event_id)
                return
            self._under_way.discard(event.event_id)
            return

    async def _serve_once(self, event: InboxEvent) -> None:
        try:
            await self._respond(event)
        except BlockedError as blocked:
            await self._say_blocked(event, blocked.room_id)

    async def _respond(self, event: InboxEvent) -> None:
        spot = await self.door.spot_of(event)
        if spot is None:
            return
        if event.is_sealed:
            if spot.has_club or spot.is_private or self.door.leads(spot.room_id, event.sender):
                await self._explain(event, spot.room_id)
            return
        match reading.read_event(json.loads(event.body)):
            case reading.Spoken() as spoken:
                await self._hear(event, spot, spoken)
            case reading.Pictured(media, caption, shown):
                if spot.is_private:
                    photo = Photo(media.size, partial(self._server.download, media))
                    await self._hear(event, spot, reading.Spoken(caption), photo)
                else:
                    await self._overhear(event, spot, shown)
            case reading.Pressed(under, choice):
                await self._press(event, under, choice)
            case reading.Edited(text, shown):
                _, is_addressed = reading.address(text, self._prefix, is_direct=spot.is_private)
                if is_addressed and spot.has_club:
                    await self._say(event, spot.room_id, "edited", self._words.edited)
                await self._overhear(event, spot, shown)
            case reading.Verified(kind, begun, content):
                way = Way(event.sender, begun, event.room_id)
                await self._verifying.take(way, kind, content)
            case reading.Shown(text):
                await self._overhear(event, spot, text)
            case None:
                pass

    async def _hear(
        self, event: InboxEvent, spot: Spot, said: reading.Spoken, photo: Photo | None = None
    ) -> None:
        if spot.is_private:
            if said.text.strip().lower() == AGAIN and await self.meeting.ask_again(event):
                return
            if not spot.room_id:
                met = await self._meet(event, said)
                if met is None:
                    return
                spot = met
        room_id, us = spot.room_id, self._server.user_id
        line, is_addressed = reading.address(said.text, self._prefix, is_direct=spot.is_private)
        called: reading.Called = ""
        if not is_addressed:
            line, called = reading.call(said, us, self._server.places.name_of(room_id, us))
            is_addressed = bool(called)
        spoken = reading.take_fields(line) if is_addressed else reading.Spoken(line)
        incoming = self.door.let_in(
            event,
            spot,
            spoken.text,
            spoken.fields,
            is_addressed=is_addressed,
            called=called,
            photo=photo,
        )
        if not spot.has_club and not spot.is_private:
            may_found = is_addressed and self.door.may_found(event, spot)
            if not may_found or self._founder is None:
                return
            if line.split()[:1] != [FOUNDING]:
                await self._say_unfounded(event, room_id)
                return
            answers = await self._founder(incoming, self._server.places.title_of(room_id))
            await self._give(event, room_id, answers)
        else:
            answers = await self._answer(await self._when_reached(incoming))
            await self._give(event, room_id, answers)
        if answers and not spot.is_private:
            await self._pointing.point(event, room_id)

    async def _meet(self, event: InboxEvent, said: reading.Spoken) -> Spot | None:
        """Return the club that a line in a chat without one is for, or the chat itself for who may
        found one in it; None where the line is answered."""
        here = Spot(event.room_id, is_private=False, has_club=False)
        _, is_command = reading.address(said.text, self._prefix, is_direct=False)
        is_of_none = not await self._direct.clubs_of(event.sender)
        if is_of_none and is_command and self.door.may_found(event, here):
            return here
        room_id = await self.meeting.settle(event, said.text)
        return None if room_id is None else Spot(room_id, is_private=True, has_club=True)

    async def _overhear(self, event: InboxEvent, spot: Spot, text: str) -> None:
        """Have it judged whether something that is no line may stay in the open room."""
        if spot.is_private or not spot.has_club:
            return
        answers = await self._answer(self.door.let_sight_in(event, spot, text))
        await self._give(event, spot.room_id, answers)
        if answers:
            await self._pointing.point(event, spot.room_id)

    async def _press(self, event: InboxEvent, under: str, choice: int) -> None:
        offered = await self._journal.find_sent(under)
        if offered is None:
            return
        if not offered.room_id:
            await self.meeting.press(event, offered, choice)
            return
        incoming = await self.door.let_press_in(event, offered, choice)
        if incoming is not None:
            answers = await self._answer(await self._when_reached(incoming))
            await self._give(event, offered.room_id, answers, pressed=offered)

    async def _when_reached(self, incoming: Incoming) -> Incoming:
        """Return an act as it is; one that begins a clock, with the moment when its answer could
        reach a member who had no private room before, which may take minutes to be opened."""
        room_id, user_id = incoming.room_id, incoming.user_id
        is_command = incoming.is_addressed and self._begins(incoming.text)
        if not is_command or await self._direct.has_one(room_id, user_id):
            return incoming
        await self._direct.ensure(room_id, user_id)
        return replace(incoming, reached_at=self._now())

    async def _give(
        self,
        event: InboxEvent,
        room_id: str,
        answers: tuple[Message, ...],
        pressed: Draft | None = None,
    ) -> None:
        """Send private answers; to what is pressed under one, the first takes its place."""
        if not answers:
            return
        target = await self._direct.ensure(room_id, event.sender)
        await self._direct.turn_to(room_id, event.sender, target)
        for number, answer in enumerate(answers):
            under = pressed if number == 0 else None
            await self._send(f"answer:{event.event_id}:{number}", room_id, target, answer, under)

    async def _send(
        self, key: str, room_id: str, target: str, answer: Message, pressed: Draft | None
    ) -> None:
        is_under_an_answer = pressed is not None and pressed.target == target
        taken = pressed.commands if pressed is not None and is_under_an_answer else ()
        pieces = lay_out_answer(answer, self._words, is_quiet=True, taken=taken)
        reference = pressed.event_id if pressed is not None else None
        if not taken or reference is None or pieces[0].commands[: len(taken)] != taken:
            await self._outbox.deliver(room_id, key, target, pieces)
            return
        await self._outbox.deliver(room_id, key, target, in_place(pieces, reference))
        await self._journal.change_commands(reference, pieces[0].commands)

    async def _say(self, event: InboxEvent, room_id: str, what: str, text: str) -> None:
        target = await self._direct.ensure(room_id, event.sender)
        key = f"answer:{event.event_id}:{what}"
        await self._outbox.deliver(room_id, key, target, (lay_out_notice(text),))

    async def _say_unfounded(self, event: InboxEvent, room_id: str) -> None:
        """Tell a leader, in the room and once, how a club begins there."""
        notice = lay_out_notice(
            self._words.unfounded.format(self._prefix), to=(event.sender,), reply_to=event.event_id
        )
        await self._outbox.deliver(room_id, "unfounded", room_id, (notice,))

    async def _explain(self, event: InboxEvent, room_id: str) -> None:
        """Tell somebody that their message cannot be read; in a club's room once a key."""
        if not self._server.is_encrypting:
            if event.room_id != room_id:  # in a club's room, leaders are told
                await self.meeting.explain_unreadable(event.room_id)
            return
        session: dict[str, Any] = json.loads(event.body).get("content", {})
        if event.room_id == room_id:
            key = f"answer:sealed:{event.sender}:{session.get('session_id', '')}"
            target = await self._direct.ensure(room_id, event.sender)
            notice = lay_out_notice(self._words.unreadable)
            await self._outbox.deliver(room_id, key, target, (notice,))
            return
        key = f"answer:{event.event_id}:sealed"
        notice = lay_out_notice(self._words.unreadable)
        await self._outbox.deliver(room_id, key, event.room_id, (notice,))

    async def _say_blocked(self, event: InboxEvent, room_id: str) -> None:
        """Tell a member in the club's room, once, that they can be answered only in a chat that
        they open."""
        us, them = self._server.user_id, event.sender
        notice = lay_out_notice(self._words.blocked.format(them, us), to=(them,))
        await self._outbox.deliver(room_id, f"blocked:{them}", room_id, (notice,))
