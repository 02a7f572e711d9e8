"""Listens to the homeserver: syncs, fills gaps, and saves what came in with the stream's place.

The place moves on only in the transaction that saves the events, so nothing is lost or taken in
twice, whenever the process dies. Failures are waited out, longer each time; a refused token ends
the listening. What events say is not looked at here.
"""

from __future__ import annotations

import asyncio
import json
import logging
from collections.abc import Awaitable, Callable
from datetime import datetime, timedelta
from typing import Any

import nio

from bot.chat.matrix_errors import LimitedError
from bot.chat.matrix_journal import InboxEvent, Journal
from bot.chat.matrix_outbox import Wait
from bot.chat.matrix_server import EPOCH, Server
from bot.chat.message import PlatformRefusedError, RoomError, RoomUnreachableError

FIRST_REST, LONGEST_REST = 1.0, 60.0
PAGES_LIMIT = 100
"""Pages of 100 events that a gap is filled from, at most."""

_KINDS = ("m.room.message", "m.reaction", "m.room.encrypted")

_LOG = logging.getLogger("ninebark.matrix")


class Stream:
    """`heard` is called after each sync, with what waits to be served where that has changed."""

    def __init__(
        self,
        server: Server,
        journal: Journal,
        *,
        now: Callable[[], datetime],
        wait: Wait,
        heard: Callable[[tuple[InboxEvent, ...]], Awaitable[None]],
    ) -> None:
        self._server = server
        self._journal = journal
        self._now = now
        self._wait = wait
        self._heard = heard
        self._token: str | None = None
        self._is_first = True
        self._has_gap = True

    async def begin(self) -> None:
        """Make the first sync, which brings the state of every room. Raises RoomError."""
        self._token = await self._journal.load_token()
        await self._listen_once()

    async def run(self) -> None:
        """Listen until cancelled. Raises PlatformRefusedError where the token is refused."""
        rest = FIRST_REST
        while True:
            try:
                await self._listen_once()
            except PlatformRefusedError:
                raise
            except LimitedError as limit:
                self._has_gap = True
                await self._wait(max(rest, min(limit.seconds, LONGEST_REST)))
            except Exception as problem:
                self._has_gap = True
                if isinstance(problem, RoomUnreachableError):
                    _LOG.warning("the homeserver is out of reach: %s", problem)
                else:
                    _LOG.exception("a sync could not be taken in")
                await self._wait(rest)
            else:
                rest = FIRST_REST
                continue
            rest = min(LONGEST_REST, rest * 2)

    async def _listen_once(self) -> None:
        response = await self._server.sync(self._token, is_first=self._is_first)
        await self._server.tend_keys()
        waiting = await self._take(response)
        await self._heard(waiting)
        self._is_first = self._has_gap = False

    async def _take(self, response: nio.SyncResponse) -> tuple[InboxEvent, ...]:
        received_at = self._now()
        events: list[InboxEvent] = []
        sent: dict[str, str] = {}
        for room_id, room in response.rooms.join.items():
            timeline = list(room.timeline.events)
            if self._token is not None and room.timeline.limited:
                start = room.timeline.prev_batch or ""
                timeline = await self._fill_gap(room_id, start, self._token) + timeline
            for event in _since_joining(timeline, self._server.user_id):
                source = event.source
                if source.get("sender") == self._server.user_id:
                    transaction_id = source.get("unsigned", {}).get("transaction_id")
                    if transaction_id and self._has_gap:  # else the sender has noted it
                        sent[transaction_id] = event.event_id
                elif source.get("type") in _KINDS:
                    events.append(self._inbox_event(room_id, event, received_at))
        if self._token is None:
            events = []  # before this there was no club of ours: old lines are not commands
        waiting: tuple[InboxEvent, ...] = ()
        if events or sent or self._is_first or self._has_gap:
            waiting = await self._journal.take_in(response.next_batch, events, sent)
        self._token = response.next_batch
        return waiting

    def _inbox_event(self, room_id: str, event: Any, received_at: datetime) -> InboxEvent:
        stamp = event.source.get("origin_server_ts", 0)
        return InboxEvent(
            event_id=event.event_id,
            room_id=room_id,
            sender=event.source["sender"],
            stamped_at=EPOCH + timedelta(milliseconds=stamp),
            received_at=received_at,
            body=json.dumps(event.source).encode(),
            is_sealed=isinstance(event, nio.MegolmEvent),
            after_gap=self._has_gap,
        )

    async def _fill_gap(self, room_id: str, start: str, end: str) -> list[Any]:
        """Load what a limited timeline has left out, oldest first."""
        found: list[Any] = []
        place: str | None = start
        for _ in range(PAGES_LIMIT):
            try:
                page, place = await self._server.load_history(room_id, place or "", end)
            except RoomUnreachableError:
                raise
            except RoomError as problem:
                _LOG.warning("the gap in %s could not be filled: %s", room_id, problem)
                break
            found += page
            if not page or place is None or place == end:
                break
            if any(_is_joining(event, self._server.user_id) for event in page):
                break
            await asyncio.sleep(0)
        return found[::-1]


def _since_joining(timeline: list[Any], user_id: str) -> list[Any]:
    """Drop what was said before we came in: it was not said to us."""
    for index in range(len(timeline) - 1, -1, -1):
        if _is_joining(timeline[index], user_id):
            return timeline[index + 1 :]
    return timeline


def _is_joining(event: Any, user_id: str) -> bool:
    return (
        isinstance(event, nio.RoomMemberEvent)
        and event.state_key == user_id
        and event.membership == "join"
        and event.prev_membership != "join"
    )
