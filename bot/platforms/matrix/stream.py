"""Listens to the homeserver: syncs, fills gaps, and saves what came in with the stream's place.

The place moves on only in the transaction that saves the events, so nothing is lost or taken in
twice, whenever the process dies. What cannot be read is saved beside them and the place moves on.
Failures of the homeserver are waited out, longer each time; a refused token ends the listening.
"""

from __future__ import annotations

import asyncio
import logging
from collections import Counter
from collections.abc import Awaitable, Callable, Mapping
from datetime import datetime, timedelta
from typing import Any

from bot.platforms.matrix.errors import LimitedError
from bot.platforms.matrix.inbound import SEALED, UnreadableError, contained, set_aside
from bot.platforms.matrix.journal import InboxEvent, Journal
from bot.platforms.matrix.json import as_json
from bot.platforms.matrix.news import Membership, News, SetAside, State, Talk
from bot.platforms.matrix.patience import Wait
from bot.platforms.matrix.server import EPOCH, Server
from bot.platforms.message import PlatformRefusedError, RoomError, RoomUnreachableError

FIRST_REST, LONGEST_REST = 1.0, 60.0
PAGES_LIMIT = 100
"""Pages of 100 events that a gap is filled from, at most."""
GAP_TRIES = 5
"""How often a sync is asked for again because of one room's gap, before the others go on."""

MOST_TOLD = 1000

_LOG = logging.getLogger("ninebark.matrix")


class Stream:
    """`heard` is called after each sync, with the rooms that it tells of, and with what waits to be
    served where that has changed.
    """

    def __init__(
        self,
        server: Server,
        journal: Journal,
        *,
        now: Callable[[], datetime],
        wait: Wait,
        heard: Callable[[frozenset[str], tuple[InboxEvent, ...]], Awaitable[None]],
    ) -> None:
        self._server = server
        self._journal = journal
        self._now = now
        self._wait = wait
        self._heard = heard
        self._token: str | None = None
        self._is_first = True
        self._has_gap = True
        self._told: set[tuple[str, str, str]] = set()
        self._gap_tries: Counter[str] = Counter()

    async def begin(self) -> None:
        """Make the first sync, which brings the state of every room. Raises RoomError."""
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
        if self._is_first:
            self._token = await self._journal.load_token()
        news = await self._server.sync(self._token, is_first=self._is_first)
        waiting = await self._take(news)
        await self._server.tend_keys()
        self._is_first = self._has_gap = False
        await self._heard(frozenset(news.joined), waiting)

    async def _take(self, news: News) -> tuple[InboxEvent, ...]:
        received_at = self._now()
        events: list[InboxEvent] = []
        sent: dict[str, str] = {}
        for room_id, room in news.joined.items():
            said: list[Talk | State] = list(room.timeline)
            if self._token is not None and room.is_limited:
                said = await self._fill_gap(room_id, room.before, self._token, news) + said
            for talk in _since_joining(said, self._server.user_id):
                if talk.sender != self._server.user_id:
                    event = self._inbox_event(room_id, talk, received_at, news.unreadable)
                    events += [event] if event is not None else []
                elif talk.transaction_id and self._has_gap:  # else the sender has noted it
                    sent[talk.transaction_id] = talk.event_id
        if self._token is None:
            events = []  # before this there was no club of ours: old lines are not commands
        unreadable = [*news.unreadable, *self._server.take_unreadable()]
        self._tell(unreadable)
        waiting: tuple[InboxEvent, ...] = ()
        if events or sent or unreadable or self._is_first or self._has_gap:
            waiting = await self._journal.take_in(news.token, events, sent, unreadable)
        self._token = news.token
        return waiting

    def _inbox_event(
        self, room_id: str, talk: Talk, received_at: datetime, unreadable: list[SetAside]
    ) -> InboxEvent | None:
        source: Mapping[str, Any] | None = talk.source
        try:
            if talk.kind == SEALED and self._server.is_encrypting:
                source = self._server.decrypt(talk.source, room_id)
            body = as_json(talk.source if source is None else source)
        except (UnreadableError, ValueError, RecursionError) as problem:
            reason = str(problem) if isinstance(problem, UnreadableError) else "no JSON"
            unreadable.append(set_aside(room_id, talk.source, reason))
            return None
        return InboxEvent(
            event_id=talk.event_id,
            room_id=room_id,
            sender=talk.sender,
            stamped_at=_moment_of(talk.stamp, received_at),
            received_at=received_at,
            body=body,
            is_sealed=source is None or (talk.kind == SEALED and not self._server.is_encrypting),
            after_gap=self._has_gap,
        )

    def _tell(self, unreadable: list[SetAside]) -> None:
        """Log what is set aside: of one sender in one place each problem once a run."""
        for each in unreadable:
            known = (each.place, each.sender, each.problem)
            if known in self._told or len(self._told) >= MOST_TOLD:
                continue
            self._told.add(known)
            _LOG.warning(
                "set aside as unreadable, from %s in %s: %s",
                each.sender or "nobody in particular", each.place, each.problem,
            )  # fmt: skip

    async def _fill_gap(self, room_id: str, start: str, end: str, news: News) -> list[Talk | State]:
        """Load what a limited timeline has left out, oldest first."""
        found: list[Talk | State] = []
        place: str | None = start
        for _ in range(PAGES_LIMIT):
            try:
                page, place = await self._server.load_history(room_id, place or "", end)
            except LimitedError:
                raise
            except RoomError as problem:
                self._gap_tries[room_id] += 1
                may_pass = isinstance(problem, RoomUnreachableError)
                if may_pass and self._gap_tries[room_id] < GAP_TRIES:
                    raise
                _LOG.warning("the gap in %s could not be filled: %s", room_id, problem)
                break
            said = [contained(room_id, source, news.unreadable) for source in page]
            found += [each for each in said if each is not None]
            if not page or place is None or place == end:
                break
            if any(_is_joining(each, self._server.user_id) for each in said):
                break
            await asyncio.sleep(0)
        self._gap_tries.pop(room_id, None)
        return found[::-1]


def _moment_of(stamp: int, received_at: datetime) -> datetime:
    """Return a stamp in milliseconds as a moment; one beyond the calendar is as late as can be."""
    latest = (received_at - EPOCH) // timedelta(milliseconds=1)
    return EPOCH + timedelta(milliseconds=max(0, min(stamp, latest + 1)))


def _since_joining(said: list[Talk | State], user_id: str) -> list[Talk]:
    """Drop what was said before we came in: it was not said to us."""
    for index in range(len(said) - 1, -1, -1):
        if _is_joining(said[index], user_id):
            said = said[index + 1 :]
            break
    return [each for each in said if isinstance(each, Talk)]


def _is_joining(event: object, user_id: str) -> bool:
    return (
        isinstance(event, Membership)
        and event.user_id == user_id
        and event.state == "join"
        and event.was != "join"
    )
