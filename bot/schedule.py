"""The due loop: asks what is due for each club, has it done, and has what is to be said sent.

Level-triggered: every pass looks at the state as it is now, so it does not matter what was missed
while the bot was down. Each club has a loop of its own, so a slow or broken one delays no other,
no error ends a loop, and no pass waits for what is being sent. Nothing is done by a clock that may
be wrong, and no wait is counted by one that can be set. What is due is decided elsewhere.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Awaitable, Callable, Sequence
from datetime import datetime, timedelta
from typing import Protocol

from bot.club.clock import next_post_after
from bot.club.due import Due
from bot.club.state import Club
from bot.places import Places
from bot.sending import Find, Outbox, Send, Sending, Sent, Stamp, told_to_nobody, untold
from bot.steady_clock import SteadyClock

_LOG = logging.getLogger("ninebark.schedule")

LONGEST_WAIT = timedelta(seconds=30)
"""A pass comes at least this often: a clock set anew or a leader's change is seen by then."""

PASSES_AT_ONCE = 4
"""Clubs that what is due is found and done for: all that are due together would stop the loop."""

Wait = Callable[[asyncio.Event, float], Awaitable[None]]
"""Waits until the event is set, for so many seconds at most."""


class DueWork(Protocol):
    """The club service, as far as the loop needs it."""

    async def due(self, club: Club, now: datetime) -> Sequence[Due]:
        """Return what is due, in the order in which it is to be done."""

    async def note_rights(self, club: Club, now: datetime) -> bool:
        """Have who leads told what the bot may not do in the club's room; say whether it may do
        anything again."""

    async def note_refused(self, club: Club, key: str) -> None:
        """Have who leads told that the platform refuses a post."""

    async def carry_out(self, due: Due) -> None:
        """Do and save it; what is to be said waits in the outbox."""


class Kept(Outbox, Protocol):
    """The part of the store that the loop works on."""

    async def load_clubs(self) -> tuple[Club, ...]:
        """Return all clubs."""

    async def reload_club(self, club_id: int) -> Club:
        """Return a club as it stands now."""

    async def keep_clock(self, at: datetime) -> None:
        """Write down the last moment that the clock was believed at."""


async def wait_for(event: asyncio.Event, seconds: float) -> None:
    """Wait by the event loop's own clock."""
    try:
        async with asyncio.timeout(seconds):
            await event.wait()
    except TimeoutError:
        pass


class Schedule:
    """Runs the loops. `wait` sleeps by the clock that nobody sets."""

    def __init__(
        self,
        service: DueWork,
        store: Kept,
        *,
        send: Send,
        find: Find,
        clock: SteadyClock,
        stamp: Stamp = untold,
        sent: Sent = told_to_nobody,
        wait: Wait = wait_for,
    ) -> None:
        self._service = service
        self._store = store
        self._sending = Sending(
            store, send=send, find=find, clock=clock, stamp=stamp, sent=sent,
            refused=service.note_refused,
        )  # fmt: skip
        self._clock = clock
        self._wait = wait
        self._woken = asyncio.Event()
        self._wakes: dict[int, asyncio.Event] = {}
        self._passing = Places(PASSES_AT_ONCE)
        self._away: set[int] = set()

    def rest(self, club_id: int) -> None:
        """Leave a club alone until it comes back: its room is closed to us. Nothing is lost."""
        if club_id not in self._away:
            _LOG.warning("club %s rests: its room is closed to us", club_id)
        self._away.add(club_id)

    def come_back(self, club_id: int) -> None:
        """Look at a club now, whatever held it up: its room is open to us, perhaps again."""
        if club_id in self._away:
            _LOG.info("club %s is back", club_id)
        self._away.discard(club_id)
        self._sending.come_back(club_id)
        if (woken := self._wakes.get(club_id)) is not None:
            woken.set()

    def wake(self, club_id: int | None = None) -> None:
        """Have a club looked at now; without an id, all of them, and clubs that are new."""
        if club_id is not None and club_id in self._wakes:
            self._wakes[club_id].set()
            return
        self._woken.set()
        for woken in self._wakes.values():
            woken.set()

    def resumes_at(self, club_id: int) -> datetime | None:
        """Return when what is held up in a club is tried again, None where nothing is."""
        held = self._sending.held_for(club_id)
        return None if held is None else self._clock.now() + held

    async def run(self) -> None:
        """Tend every club until cancelled; clubs that are added later are found."""
        async with asyncio.TaskGroup() as loops:
            while True:
                self._woken.clear()
                for club in await self._find_new_clubs():
                    self._wakes[club.id] = asyncio.Event()
                    loops.create_task(self._tend(club), name=f"club {club.id}")
                await self._keep_clock()
                await self._wait(self._woken, LONGEST_WAIT.total_seconds())

    async def _find_new_clubs(self) -> tuple[Club, ...]:
        try:
            clubs = await self._store.load_clubs()
        except Exception:
            _LOG.exception("the clubs could not be loaded")
            return ()
        return tuple(club for club in clubs if club.id not in self._wakes)

    async def _keep_clock(self) -> None:
        try:
            if (seen := self._clock.to_keep()) is not None:
                await self._store.keep_clock(seen)
        except Exception:
            _LOG.exception("the clock could not be written down")

    async def _tend(self, club: Club) -> None:
        woken = self._wakes[club.id]
        try:
            while True:
                woken.clear()
                async with self._passing.one():
                    again_at, sending = await self._pass(club)
                for task in sending:
                    # What could not be begun beside it, or came meanwhile, is looked for then.
                    task.add_done_callback(lambda _: woken.set())
                # However the clock was set since.
                span = min(max(timedelta(), again_at - self._clock.now()), LONGEST_WAIT)
                await self._wait(woken, span.total_seconds())
        finally:
            await self._sending.stop(club.id)

    async def serve(self, club: Club) -> datetime:
        """Do what is due in a club and send all that can be; return when the next pass is needed
        at the latest."""
        again_at, _ = await self._pass(club)
        while under_way := self._sending.under_way(club.id):
            await asyncio.gather(*under_way)
            await self._start_sending(club)
        return self._no_later(club, again_at)

    async def _pass(self, club: Club) -> tuple[datetime, Sequence[asyncio.Task[None]]]:
        """Do what is due and begin to send; return when the next pass is needed at the latest."""
        again_at, now = self._clock.now() + LONGEST_WAIT, self._clock.trusted()
        if now is None:
            return again_at, ()
        is_away = club.id in self._away
        try:
            # Loaded anew: a leader may have changed the settings since the last pass, or moved it.
            club = await self._store.reload_club(club.id)
            if await self._service.note_rights(club, now):
                self._sending.come_back(club.id)
            if is_away:
                return again_at, await self._sending.start(club, only_private=True)
            settings = club.settings
            again_at = min(again_at, next_post_after(now, settings.post_time, settings.zone))
            await self._carry_out_due(club, now)
        except Exception:
            _LOG.exception("what is due in club %s could not be found", club.id)
        sending = await self._start_sending(club)
        return self._no_later(club, again_at), sending

    async def _start_sending(self, club: Club) -> Sequence[asyncio.Task[None]]:
        try:
            return await self._sending.start(club)
        except Exception:
            _LOG.exception("the outbox of club %s could not be emptied", club.id)
            return ()

    def _no_later(self, club: Club, again_at: datetime) -> datetime:
        return min(again_at, self.resumes_at(club.id) or again_at)

    async def _carry_out_due(self, club: Club, now: datetime) -> None:
        for due in await self._service.due(club, now):
            try:
                await self._service.carry_out(due)
            except Exception:
                # A day that cannot be closed must not keep the next one from going up.
                _LOG.exception("%s in club %s failed", type(due).__name__, club.id)
