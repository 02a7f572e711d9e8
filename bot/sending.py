"""Sends what the outbox holds, in lanes: what is held up in one lane holds up no other.

Every lane of a club (see `bot.club.lanes`) is emptied by a task of its own, has a back-off of its
own and keeps its order. A notice goes out once: that its sending begins is written down before, and
after a crash the post is looked for before it is sent again. No error ends anything.
"""

from __future__ import annotations

import asyncio
import logging
from collections import defaultdict
from collections.abc import Awaitable, Callable, Collection, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from itertools import groupby
from typing import Protocol

from bot.club.lanes import Kind, Lane, is_calm, lane_of
from bot.club.ports import Notice, SendingAttempt
from bot.club.state import Club
from bot.platforms.message import (
    RightMissingError,
    RoomError,
    RoomGoneError,
    RoomUnreachableError,
)
from bot.steady_clock import SteadyClock

_LOG = logging.getLogger("ninebark.sending")

FIRST_BACK_OFF = timedelta(seconds=1)
LONGEST_BACK_OFF = timedelta(seconds=60)

LONGEST_BACK_OFF_OF_A_MEMBER = timedelta(minutes=10)
"""One person out of reach may be so for good; a room is what the club waits for."""

REST = timedelta(hours=1)
"""How long a club whose room is gone, or a notice that cannot be sent, is left alone."""

CALM = timedelta(minutes=1)
"""What changes all day is sent, or mended, no more often than this."""

SEND_LIMIT_SECONDS = 600.0
"""A platform that takes longer for one post is as good as unreachable. Long enough for the turn of
the last of many clubs that are due together, where a platform is posted to at a pace."""

Send = Callable[[Notice], Awaitable[str]]
"""Sends a notice and returns the platform's reference. Raises RoomError."""

Find = Callable[[Notice], Awaitable[str | None]]
"""Looks for a notice that may be out already, and returns its reference. Raises RoomError."""


Stamp = Callable[[Notice, str], Awaitable[datetime | None]]
"""Tells when the platform took the post with a reference, None where it does not say. Raises
RoomError."""


async def untold(notice: Notice, reference: str) -> datetime | None:
    """Know of no platform's stamps."""
    return None


Sent = Callable[[Notice], None]
"""Told what has just been sent and marked so. It must not wait."""


def told_to_nobody(notice: Notice) -> None:
    """Leave it unsaid that something was sent."""


Refused = Callable[[Club, str], Awaitable[None]]
"""Told of a club and the key of a notice that the platform refuses."""


async def refused_in_silence(club: Club, key: str) -> None:
    """Leave it unsaid that something was refused."""


class Outbox(Protocol):
    """The part of the store that is sent from."""

    async def load_club_notices(
        self, club_id: int, resting: Collection[int] = ()
    ) -> tuple[Notice, ...]:
        """Return what is to be sent in the club, oldest first: the first of each kind and
        receiver, without those that rest."""

    async def begin_attempt(self, notice_id: int, at: datetime) -> SendingAttempt | None:
        """Write down that sending begins; None where nothing is to be sent any more."""

    async def mark_sent(self, notice_id: int, reference: str, at: datetime) -> None:
        """Note that a notice is out, under the platform's reference."""

    async def drop_notice(self, notice_id: int, at: datetime) -> None:
        """Give up on a notice."""


@dataclass(slots=True)
class _LaneState:
    """What is remembered of a lane; nothing that a restart would miss. Moments here and of a club
    are even ones: by a clock that nobody sets."""

    back_off: timedelta = FIRST_BACK_OFF
    resume_at: datetime | None = None
    sending: asyncio.Task[None] | None = None


@dataclass(slots=True)
class _ClubState:
    lanes: defaultdict[Lane, _LaneState] = field(default_factory=lambda: defaultdict(_LaneState))
    resting: dict[int, datetime] = field(default_factory=dict)
    resume_at: datetime | None = None
    is_gone: bool = False


class Sending:
    """Empties the outboxes of clubs."""

    def __init__(
        self,
        outbox: Outbox,
        *,
        send: Send,
        find: Find,
        clock: SteadyClock,
        stamp: Stamp = untold,
        sent: Sent = told_to_nobody,
        refused: Refused = refused_in_silence,
    ) -> None:
        self._refused = refused
        self._outbox = outbox
        self._send = send
        self._find = find
        self._stamp = stamp
        self._sent = sent
        self._clock = clock
        self._clubs: defaultdict[int, _ClubState] = defaultdict(_ClubState)

    def come_back(self, club_id: int) -> None:
        """Forget what held a club up: its room is open to us, perhaps again."""
        state = self._clubs[club_id]
        state.resume_at, state.is_gone = None, False
        state.resting.clear()
        for lane in state.lanes.values():
            lane.resume_at = None

    def held_for(self, club_id: int) -> timedelta | None:
        """Return in what time what is held up in a club is tried again, None where nothing is."""
        state = self._clubs[club_id]
        held = [lane.resume_at for lane in state.lanes.values()]
        moments = [at for at in (state.resume_at, *held) if at is not None]
        return min(moments) - self._clock.even() if moments else None

    async def start(
        self, club: Club, *, only_private: bool = False
    ) -> Sequence[asyncio.Task[None]]:
        """Begin to send whatever waits in a lane that is free; return the tasks that do it. What
        is said in private goes out though the room be closed to us."""
        state, now = self._clubs[club.id], self._clock.even()
        if state.resume_at is not None and state.resume_at <= now:
            state.resume_at = None
        state.resting = {each: until for each, until in state.resting.items() if now < until}
        waiting = await self._outbox.load_club_notices(club.id, tuple(state.resting))
        started = []
        # Sorting is stable, so each lane's notices stay in their order.
        only_private |= state.resume_at is not None
        for lane, notices in groupby(sorted(waiting, key=lane_of), key=lane_of):
            if only_private and lane.kind is not Kind.PRIVATE:
                continue
            if self._is_free(state.lanes[lane]):
                task = asyncio.create_task(self._empty(lane, tuple(notices), state))
                state.lanes[lane].sending = task
                started.append(task)
        return started

    def under_way(self, club_id: int) -> Sequence[asyncio.Task[None]]:
        """Return the tasks that are sending for a club now, whoever began them."""
        tasks = [lane.sending for lane in self._clubs[club_id].lanes.values()]
        return [task for task in tasks if task is not None and not task.done()]

    async def stop(self, club_id: int) -> None:
        """Break off whatever is being sent in a club; it is sent, or found, after a new start."""
        tasks = self.under_way(club_id)
        for task in tasks:
            task.cancel()
        await asyncio.gather(*tasks, return_exceptions=True)

    def _is_free(self, lane: _LaneState) -> bool:
        if lane.sending is not None and not lane.sending.done():
            return False
        if lane.resume_at is not None and self._clock.even() < lane.resume_at:
            return False
        lane.resume_at = None
        return True

    async def _empty(self, lane: Lane, notices: Sequence[Notice], state: _ClubState) -> None:
        """Send a lane's notices in order until one tells that none gets through now."""
        for notice in notices:
            await self._send_one(notice, lane, state)
            is_held = state.resume_at is not None and lane.kind is not Kind.PRIVATE
            if is_held or state.lanes[lane].resume_at is not None:
                return

    async def _send_one(self, notice: Notice, lane: Lane, state: _ClubState) -> None:
        try:
            async with asyncio.timeout(SEND_LIMIT_SECONDS):
                await self._send_once(notice)
        except asyncio.CancelledError:
            # Also a library's own: whoever starts the lane again finds it waiting for a while.
            self._back_off(lane, state.lanes[lane])
            raise
        except (RoomUnreachableError, TimeoutError) as problem:
            self._back_off(lane, state.lanes[lane])
            _LOG.warning("%s of club %s does not get through: %r", lane, notice.club.id, problem)
        except RoomError as problem:
            await self._give_up(notice, state, problem)
        except Exception:
            # One notice that cannot be made into a message must not hold up the others.
            state.resting[notice.id] = self._clock.even() + REST
            _LOG.exception("notice %s of club %s could not be sent", notice.key, notice.club.id)
        else:
            if is_calm(notice):
                state.resting[notice.id] = self._clock.even() + CALM
            self._got_through(lane, state)

    def _back_off(self, lane: Lane, held: _LaneState) -> None:
        is_private = lane.kind is Kind.PRIVATE
        longest = LONGEST_BACK_OFF_OF_A_MEMBER if is_private else LONGEST_BACK_OFF
        held.resume_at = self._clock.even() + held.back_off
        held.back_off = min(longest, held.back_off * 2)

    def _got_through(self, lane: Lane, state: _ClubState) -> None:
        was_held = state.lanes[lane].back_off > FIRST_BACK_OFF
        state.lanes[lane].back_off = FIRST_BACK_OFF
        state.is_gone = False
        if was_held:
            # It may have been an outage of all: the others try now, and keep their growing waits.
            for other in state.lanes.values():
                other.resume_at = None

    async def _send_once(self, notice: Notice) -> None:
        attempt = await self._outbox.begin_attempt(notice.id, self._clock.now())
        if attempt is None:
            return
        reference = None
        # Replacing a post twice does no harm, so only new posts are looked for.
        if attempt.is_again and attempt.notice.audience != "mend":
            reference = await self._find(attempt.notice)
        if reference is None and attempt.is_over:
            _LOG.warning("%s could not go up in its time", attempt.notice.key)
            await self._outbox.drop_notice(notice.id, self._clock.now())
            return
        if reference is None:
            reference = await self._send(attempt.notice)
        await self._outbox.mark_sent(notice.id, reference, await self._sent_at(notice, reference))
        self._sent(notice)

    async def _sent_at(self, notice: Notice, reference: str) -> datetime:
        """Return when a notice went out: a day's post by the platform's own stamp, so that it
        counts from the same moment whenever it is marked."""
        stamp = None
        try:
            if lane_of(notice).kind is Kind.POST:
                stamp = await self._stamp(notice, reference)
        except RoomUnreachableError:
            raise
        except RoomError as problem:
            _LOG.warning("the time of %s is not known: %s", notice.key, problem)
        return stamp or self._clock.now()

    async def _give_up(self, notice: Notice, state: _ClubState, problem: RoomError) -> None:
        club_id, until = notice.club.id, self._clock.even() + REST
        is_gone = isinstance(problem, RoomGoneError)
        if notice.left_room:
            _LOG.warning(
                "notice %s, of a room that club %s has left, is dropped", notice.key, club_id
            )
            await self._outbox.drop_notice(notice.id, self._clock.now())
        elif isinstance(problem, RightMissingError) and notice.audience != "member":
            state.resting[notice.id] = until
            _LOG.warning("notice %s waits for a right in club %s", notice.key, club_id)
        elif notice.audience == "room" and is_gone:
            state.resume_at = until
            if not state.is_gone:
                _LOG.warning("the room of club %s is gone: %s", club_id, problem)
            state.is_gone = True
        elif notice.audience == "room":
            state.resting[notice.id] = until
            _LOG.warning("notice %s of club %s was refused: %s", notice.key, club_id, problem)
            await self._refused(notice.club, notice.key)
        elif is_gone and await self._is_room_closed(notice):
            state.resting[notice.id] = until
            _LOG.warning("notice %s waits for the room of club %s", notice.key, club_id)
        else:
            # A member who left, or a post that somebody removed: the club goes on without.
            _LOG.warning("notice %s of club %s is dropped: %s", notice.key, club_id, problem)
            await self._outbox.drop_notice(notice.id, self._clock.now())

    async def _is_room_closed(self, notice: Notice) -> bool:
        """Say whether the room, not only a post or a member, is closed to us."""
        try:
            await self._find(replace(notice, audience="room"))
        except RoomError:
            return True
        return False
