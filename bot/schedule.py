"""The due loop: asks what is due for each club, has it done, and sends what the outbox holds.

Level-triggered: every pass looks at the state as it is now, so it does not matter what was missed
while the bot was down. Each club has a loop of its own, so a slow or broken one delays no other,
and no error ends a loop. A notice goes out once: that sending begins is written down before, and
after a crash the post is looked for before it is sent again. What is due is decided elsewhere.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Awaitable, Callable, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Protocol

from bot.chat.message import RoomError, RoomGoneError, RoomUnreachableError
from bot.club.clock import next_post_after
from bot.club.due import Due
from bot.club.ports import Notice
from bot.club.state import Club

_LOG = logging.getLogger("ninebark.schedule")

LONGEST_WAIT = timedelta(seconds=30)
"""A pass comes at least this often: a clock set anew or a leader's change is seen by then."""

FIRST_BACK_OFF = timedelta(seconds=1)
LONGEST_BACK_OFF = timedelta(seconds=60)

REST = timedelta(hours=1)
"""How long a club whose room is gone, or a notice that cannot be sent, is left alone."""

SEND_LIMIT_SECONDS = 600.0
"""A platform that takes longer for one post is as good as unreachable. Long enough for the turn of
the last of many clubs that are due together, where a platform is posted to at a pace."""

Send = Callable[[Notice], Awaitable[str]]
"""Sends a notice and returns the platform's reference. Raises RoomError."""

Find = Callable[[Notice], Awaitable[str | None]]
"""Looks for a notice that may be out already, and returns its reference. Raises RoomError."""

Wait = Callable[[asyncio.Event, float], Awaitable[None]]
"""Waits until the event is set, for so many seconds at most."""


class DueWork(Protocol):
    """The club service, as far as the loop needs it."""

    async def due(self, club: Club, now: datetime) -> Sequence[Due]:
        """Return what is due, in the order in which it is to be done."""

    async def carry_out(self, due: Due) -> None:
        """Do and save it; what is to be said waits in the outbox."""


class Attempt(Protocol):
    """A notice as it stands when its sending begins."""

    @property
    def notice(self) -> Notice: ...

    @property
    def is_again(self) -> bool:
        """An attempt was begun before, so it may be out already."""

    @property
    def is_over(self) -> bool:
        """It is a day's post, and the day is closed meanwhile."""


class Outbox(Protocol):
    """The part of the store that the loop works on."""

    async def load_clubs(self) -> tuple[Club, ...]: ...

    async def load_club(self, platform: str, room_id: str) -> Club | None: ...

    async def load_club_notices(self, club_id: int) -> tuple[Notice, ...]:
        """Return what is to be sent in the club, oldest first."""

    async def begin_attempt(self, notice_id: int, at: datetime) -> Attempt | None:
        """Write down that sending begins; None where nothing is to be sent any more."""

    async def mark_sent(self, notice_id: int, reference: str, at: datetime) -> None: ...

    async def drop_notice(self, notice_id: int, at: datetime) -> None: ...


async def wait_for(event: asyncio.Event, seconds: float) -> None:
    """Wait by the event loop's own clock."""
    try:
        async with asyncio.timeout(seconds):
            await event.wait()
    except TimeoutError:
        pass


@dataclass(slots=True)
class _Tending:
    """What the loop remembers of one club between two passes; nothing that a restart would miss."""

    woken: asyncio.Event = field(default_factory=asyncio.Event)
    back_off: timedelta = FIRST_BACK_OFF
    resume_at: datetime | None = None
    is_gone: bool = False
    resting: dict[int, datetime] = field(default_factory=dict)


class Schedule:
    """Runs the loops. `now` is the clock; `wait` sleeps by it."""

    def __init__(
        self,
        service: DueWork,
        store: Outbox,
        *,
        send: Send,
        find: Find,
        now: Callable[[], datetime],
        wait: Wait = wait_for,
    ) -> None:
        self._service = service
        self._store = store
        self._send = send
        self._find = find
        self._now = now
        self._wait = wait
        self._woken = asyncio.Event()
        self._tended: dict[int, _Tending] = {}
        self._away: set[int] = set()
        self._looped: set[int] = set()

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
        if (tending := self._tended.get(club_id)) is not None:
            tending.resume_at, tending.is_gone = None, False
            tending.resting.clear()
            tending.woken.set()

    def wake(self, club_id: int | None = None) -> None:
        """Have a club looked at now; without an id, all of them, and clubs that are new."""
        if club_id is not None and club_id in self._tended:
            self._tended[club_id].woken.set()
            return
        self._woken.set()
        for tending in self._tended.values():
            tending.woken.set()

    def resumes_at(self, club_id: int) -> datetime | None:
        """Return until when nothing is sent in a club, None where nothing holds it up."""
        tending = self._tended.get(club_id)
        return None if tending is None else tending.resume_at

    async def run(self) -> None:
        """Tend every club until cancelled; clubs that are added later are found."""
        async with asyncio.TaskGroup() as loops:
            while True:
                self._woken.clear()
                for club in await self._find_new_clubs():
                    self._tended.setdefault(club.id, _Tending())
                    self._looped.add(club.id)
                    loops.create_task(self._tend(club), name=f"club {club.id}")
                await self._wait(self._woken, LONGEST_WAIT.total_seconds())

    async def _find_new_clubs(self) -> tuple[Club, ...]:
        try:
            clubs = await self._store.load_clubs()
        except Exception:
            _LOG.exception("the clubs could not be loaded")
            return ()
        return tuple(club for club in clubs if club.id not in self._looped)

    async def _tend(self, club: Club) -> None:
        tending = self._tended[club.id]
        while True:
            tending.woken.clear()
            again_at = await self.serve(club)
            seconds = max(0.0, (again_at - self._now()).total_seconds())
            await self._wait(tending.woken, seconds)

    async def serve(self, club: Club) -> datetime:
        """Make one pass over a club; return when the next is needed at the latest."""
        tending = self._tended.setdefault(club.id, _Tending())
        again_at = self._now() + LONGEST_WAIT
        if club.id in self._away:
            return again_at
        try:
            # Loaded anew: a leader may have changed the settings since the last pass.
            club = await self._store.load_club(club.platform, club.room_id) or club
            settings = club.settings
            again_at = min(
                again_at, next_post_after(self._now(), settings.post_time, settings.zone)
            )
            await self._carry_out_due(club)
        except Exception:
            _LOG.exception("what is due in club %s could not be found", club.id)
        try:
            await self._empty_outbox(club, tending)
        except Exception:
            _LOG.exception("the outbox of club %s could not be emptied", club.id)
        if tending.resume_at is not None:
            again_at = min(again_at, tending.resume_at)
        return again_at

    async def _carry_out_due(self, club: Club) -> None:
        for due in await self._service.due(club, self._now()):
            try:
                await self._service.carry_out(due)
            except Exception:
                # A day that cannot be closed must not keep the next one from going up.
                _LOG.exception("%s in club %s failed", type(due).__name__, club.id)

    async def _empty_outbox(self, club: Club, tending: _Tending) -> None:
        """Send in order until nothing waits, or the room does not take it now."""
        if tending.resume_at is not None and self._now() < tending.resume_at:
            return
        tending.resume_at = None
        tried: set[int] = set()
        while waiting := [
            notice
            for notice in await self._store.load_club_notices(club.id)
            if notice.id not in tried and not self._rests(notice, tending)
        ]:
            for notice in waiting:
                tried.add(notice.id)
                await self._send_one(notice, tending)
                if tending.resume_at is not None:
                    return

    def _rests(self, notice: Notice, tending: _Tending) -> bool:
        until = tending.resting.get(notice.id)
        return until is not None and self._now() < until

    async def _send_one(self, notice: Notice, tending: _Tending) -> None:
        try:
            async with asyncio.timeout(SEND_LIMIT_SECONDS):
                await self._send_once(notice)
        except (RoomUnreachableError, TimeoutError) as problem:
            tending.resume_at = self._now() + tending.back_off
            tending.back_off = min(LONGEST_BACK_OFF, tending.back_off * 2)
            _LOG.warning("club %s is out of reach: %r", notice.club.id, problem)
        except RoomError as problem:
            await self._give_up(notice, tending, problem)
        except Exception:
            # One notice that cannot be made into a message must not hold up the others.
            tending.resting[notice.id] = self._now() + REST
            _LOG.exception("notice %s of club %s could not be sent", notice.key, notice.club.id)
        else:
            tending.resting.pop(notice.id, None)
            tending.back_off = FIRST_BACK_OFF
            tending.is_gone = False

    async def _send_once(self, notice: Notice) -> None:
        attempt = await self._store.begin_attempt(notice.id, self._now())
        if attempt is None:
            return
        reference = None
        # Replacing a post twice does no harm, so only new posts are looked for.
        if attempt.is_again and attempt.notice.audience != "mend":
            reference = await self._find(attempt.notice)
        if reference is None and attempt.is_over:
            _LOG.warning("%s could not go up in its time", attempt.notice.key)
            await self._store.drop_notice(notice.id, self._now())
            return
        if reference is None:
            reference = await self._send(attempt.notice)
        await self._store.mark_sent(notice.id, reference, self._now())

    async def _give_up(self, notice: Notice, tending: _Tending, problem: RoomError) -> None:
        club_id = notice.club.id
        if notice.audience != "room":
            # A member who left, or a post that somebody removed: the club goes on without.
            _LOG.warning("notice %s of club %s is dropped: %s", notice.key, club_id, problem)
            await self._store.drop_notice(notice.id, self._now())
        elif isinstance(problem, RoomGoneError):
            tending.resume_at = self._now() + REST
            if not tending.is_gone:
                _LOG.warning("the room of club %s is gone: %s", club_id, problem)
            tending.is_gone = True
        else:
            tending.resting[notice.id] = self._now() + REST
            _LOG.warning("notice %s of club %s was refused: %s", notice.key, club_id, problem)
