"""The club's store on SQLite: every method is one hop to the database's thread.

The statements are in the modules beside this one, by what they are about. Nothing is decided here.
"""

from __future__ import annotations

import asyncio
import sqlite3
from collections.abc import AsyncIterator, Callable, Collection, Container, Sequence
from contextlib import asynccontextmanager
from datetime import date, datetime, timedelta
from pathlib import Path

from bot.club.clock import Period
from bot.club.ports import Change, EraseMember, Notice, Picked, Queued, SendingAttempt, Withdrawn
from bot.club.self_page import OwnRecord
from bot.club.state import Club, ClubSettings, Day, Member, MemberSolve, Puzzle, Result, Scene
from bot.club.table import Bests, Standing
from bot.storage import (
    clock,
    days,
    exporting,
    links,
    members,
    moving,
    outbox,
    puzzles,
    results,
    standing,
)
from bot.storage.changes import save_changes
from bot.storage.connection import Database, fold_log, open_database, write_anew
from bot.storage.dated import keep_dated
from bot.storage.memory import RoomMemory
from bot.storage.rows import utc_now
from bot.storage.scenes import load_scene
from bot.storage.teaching import TeachingStore

KEEP_REPLIES = timedelta(days=60)
"""How long replies are kept for redelivered events: far longer than any platform redelivers."""


class SqliteStore(TeachingStore):
    """Implements `bot.club.ports.Store`, and what the schedule and the command line need besides.

    `now` only stamps when rows were saved; it decides nothing of the club's.
    """

    def __init__(
        self,
        database: Database,
        now: Callable[[], datetime] = utc_now,
        memories: Collection[RoomMemory] = (),
        path: Path | None = None,
        everyday: Callable[[], Container[str]] = tuple,
    ) -> None:
        self.database = database
        self._path = path
        self._owes_mends = False
        self._now = now
        self._memories = memories
        self._everyday = everyday

    # --- clubs and members ---

    async def load_clubs(self) -> tuple[Club, ...]:
        """Return all clubs in the order in which they were founded."""
        return await self.database.read(members.list_clubs)

    async def load_club(self, platform: str, room_id: str) -> Club | None:
        """Return the club of a room, else the last one that left it; None where it had none."""
        return await self.database.read(lambda link: members.find_club(link, platform, room_id))

    async def load_left_rooms(self, platform: str) -> dict[str, int]:
        """Return the rooms that clubs have left, with the id of the last one that did."""
        return await self.database.read(lambda link: moving.list_left_rooms(link, platform))

    async def reload_club(self, club_id: int) -> Club:
        """Return a club as it stands now; LookupError where there is none."""
        return await self.database.read(lambda link: members.club_with(link, club_id))

    async def load_clubs_of(self, platform: str, user_id: str) -> tuple[Club, ...]:
        """Return the platform's clubs that know this person."""
        return await self.database.read(lambda link: members.list_clubs_of(link, platform, user_id))

    async def add_club(
        self, platform: str, room_id: str, settings: ClubSettings, *, paused: bool = False
    ) -> Club:
        """Add a club, or return the one that the room has, its settings as they stand."""
        return await self.database.write(
            lambda link: members.insert_club(link, platform, room_id, settings, paused=paused)
        )

    async def load_member_names(self, club_id: int) -> dict[str, str]:
        """Return the names of a club's members by user id."""
        return await self.database.read(lambda link: members.load_member_names(link, club_id))

    async def find_members(self, club_id: int, name: str) -> tuple[Member, ...]:
        """Return the members whose name or user id is `name`, whatever the case; names may
        repeat."""
        return await self.database.read(lambda link: members.find_members(link, club_id, name))

    async def export_member(self, club_id: int, user_id: str) -> dict[str, object]:
        """Return all that is kept of a member, ready for JSON; empty for somebody unknown."""
        return await self.database.read(
            lambda link: exporting.export_member(link, club_id, user_id, self._memories)
        )

    # --- one event ---

    async def load_scene(
        self, club_id: int, user_id: str, acted_at: datetime, event_id: str
    ) -> Scene:
        """Load all that an event needs, from one unchanging state of the database."""
        return await self.database.read(
            lambda link: load_scene(link, club_id, user_id, acted_at, event_id)
        )

    async def save(
        self,
        changes: Sequence[Change],
        *,
        event_id: str = "",
        reply: bytes = b"",
        club_id: int = 0,
        user_id: str = "",
    ) -> bool:
        """Save all in one transaction; False, and nothing saved, where the event id is known.

        Raises StorageError.
        """
        now = self._now()
        author = (club_id, user_id) if user_id else None
        is_new = await self.database.write(
            lambda link: save_changes(
                link,
                changes,
                now,
                event_id=event_id,
                reply=reply,
                author=author,
                memories=self._memories,
                everyday=self._everyday,
            )
        )
        if is_new and any(isinstance(change, EraseMember) for change in changes):
            # The log still holds what was deleted, and the posts are mended only from now on.
            self._owes_mends = not await self._fold_when_mended()
        return is_new

    async def _fold_when_mended(self) -> bool:
        """Write the file anew and empty the log; tell whether both are done and nothing waits that
        will mend a post."""
        # Rows that moved between pages as tables grew may have left themselves behind in a gap.
        is_anew = await self.database.run_bare(write_anew)
        is_empty = await self.checkpoint()
        return is_anew and is_empty and not await self.database.read(outbox.has_waiting)

    async def load_reply(self, event_id: str) -> bytes | None:
        """Return the encoded reply kept for an event, None where it is new or older than
        KEEP_REPLIES."""
        return await self.database.read(lambda link: outbox.find_reply(link, event_id))

    # --- days, entries, results ---

    async def load_day(self, club_id: int, on_date: date) -> Day | None:
        """Return the club's day of that date, posted or not."""
        return await self.database.read(lambda link: days.find_day(link, club_id, on_date))

    async def load_days(
        self, club_id: int, *, open_only: bool = False, since: date | None = None
    ) -> tuple[Day, ...]:
        """Return days by date; `open_only`: those not marked closed; `since`: from a date on."""
        return await self.database.read(
            lambda link: days.list_days(link, club_id, open_only=open_only, since=since)
        )

    async def load_day_before(self, club_id: int, on_date: date) -> Day | None:
        """Return the newest day before a date, posted or not."""
        return await self.database.read(
            lambda link: days.find_newest_before(link, club_id, on_date)
        )

    async def load_withdrawn(self, club_id: int) -> tuple[Withdrawn, ...]:
        """Return the puzzles of withdrawn days, by date."""
        return await self.database.read(lambda link: days.list_withdrawn(link, club_id))

    async def load_entry(self, day_id: int, user_id: str) -> MemberSolve | None:
        """Return what a member has done on a day, None where they never took part in it."""
        return await self.database.read(lambda link: members.find_entry(link, day_id, user_id))

    async def load_entries(self, day_id: int) -> tuple[tuple[Member, MemberSolve], ...]:
        """Return who took part in a day, with what they did, in the order in which they began."""
        return await self.database.read(lambda link: members.list_entries(link, day_id))

    async def load_day_ids(self, club_id: int, user_id: str) -> frozenset[int]:
        """Return the ids of the days that a member took part in."""
        return await self.database.read(lambda link: members.list_day_ids(link, club_id, user_id))

    async def load_finished_days(self, club_id: int, user_id: str) -> tuple[Day, ...]:
        """Return the days on which a member has finished, by date."""
        return await self.database.read(
            lambda link: days.list_finished_days(link, club_id, user_id)
        )

    async def load_results(
        self, club_id: int, first: date | None, last: date | None, *, with_former: bool = False
    ) -> tuple[Result, ...]:
        """Return the finished entries of puzzles dated first to last, both included; None: no
        bound."""
        return await self.database.read(
            lambda link: results.list_results(link, club_id, first, last, with_former=with_former)
        )

    async def load_standing(
        self,
        club_id: int,
        period: Period,
        first: date | None,
        last: date | None,
        *,
        still_open: Collection[date] = (),
        with_former: bool = False,
    ) -> Standing:
        """Return what the table of a period is made of."""
        return await self.database.read(
            lambda link: standing.load_standing(
                link, club_id, period, first, last, still_open, with_former=with_former
            )
        )

    async def load_record(
        self,
        club_id: int,
        user_id: str,
        *,
        still_open: Collection[date] = (),
        apart_from: MemberSolve | None = None,
    ) -> OwnRecord:
        """Return what is known of one member."""
        return await self.database.read(
            lambda link: standing.load_record(link, club_id, user_id, still_open, apart_from)
        )

    async def load_bests(self, club_id: int, user_id: str) -> Bests:
        """Return a member's best result of each level."""
        return await self.database.read(lambda link: standing.load_bests(link, club_id, user_id))

    async def load_former(self, club_id: int, mark: str) -> tuple[int, ...]:
        """Return the ids that results of former members of this mark have, the newest first."""
        return await self.database.read(lambda link: results.list_former(link, club_id, mark))

    # --- puzzles ---

    async def load_queue(self, club_id: int) -> tuple[Queued, ...]:
        """Return what waits in a club's queue, in order."""
        return await self.database.read(lambda link: puzzles.list_queue(link, club_id))

    async def load_stock(self, club_id: int) -> tuple[Puzzle, ...]:
        """Return the puzzles that a club has not had, queued or withdrawn, in whatever disguise."""
        return await self.database.read(lambda link: puzzles.list_stock(link, club_id))

    async def load_picks(self, club_id: int) -> tuple[Picked, ...]:
        """Return what was picked for a club's dates, by date."""
        return await self.database.read(lambda link: puzzles.list_picks(link, club_id))

    async def add_stock(self, added: Sequence[Puzzle]) -> int:
        """Add the puzzles whose givens are not there yet; return how many were added."""
        return await self.database.write(lambda link: puzzles.insert_stock(link, added))

    async def add_new(self, puzzle: Puzzle) -> bool:
        """Add a puzzle; False where it is there already, in whatever disguise."""
        return await self.database.write(lambda link: puzzles.insert_new(link, puzzle))

    async def find_same(self, puzzle: Puzzle) -> Puzzle | None:
        """Return the puzzle that is the same in whatever disguise."""
        return await self.database.read(lambda link: puzzles.find_same(link, puzzle))

    async def list_givens(self) -> frozenset[str]:
        """Return the givens of all puzzles."""
        return await self.database.read(puzzles.list_givens)

    async def set_form(self, puzzle_id: int, form: str, pattern: str) -> None:
        """Note the canonical form and the pattern of a puzzle that was saved without them."""
        await self.database.write(lambda link: puzzles.set_form(link, puzzle_id, form, pattern))

    async def claim_seed(self) -> int:
        """Return a seed that no making has had; it is used up from now on."""
        return await self.database.write(puzzles.claim_seed)

    async def list_puzzles(
        self, *, level: int | None = None, needs: str | None = None, limit: int = 1_000_000
    ) -> tuple[Puzzle, ...]:
        """Return the puzzles of a level, or that need a technique, oldest first."""
        return await self.database.read(
            lambda link: puzzles.list_puzzles(link, level, needs, limit)
        )

    # --- the outbox ---

    async def load_notices(self, limit: int = 100) -> tuple[Notice, ...]:
        """Return what waits to be sent, of all clubs, oldest first."""
        return await self.database.read(lambda link: outbox.list_notices(link, limit))

    async def load_club_notices(
        self, club_id: int, resting: Collection[int] = (), each: int = 50
    ) -> tuple[Notice, ...]:
        """Return what is to be sent in one club, oldest first: so many `each` of a kind and
        receiver, without those that rest."""
        return await self.database.read(
            lambda link: outbox.list_club_notices(link, club_id, resting, each)
        )

    async def begin_attempt(self, notice_id: int, at: datetime) -> SendingAttempt | None:
        """Note that sending begins, and return the notice as it stands; None: nothing to send."""
        return await self.database.write(lambda link: outbox.begin_attempt(link, notice_id, at))

    async def mark_sent(self, notice_id: int, reference: str, at: datetime) -> None:
        """Note that a notice is out; a day's own post marks the day posted in the same
        transaction."""
        await self.database.write(lambda link: outbox.mark_sent(link, notice_id, reference, at))
        if self._owes_mends and not await self.database.read(outbox.has_waiting):
            self._owes_mends = not await self._fold_when_mended()

    async def drop_notice(self, notice_id: int, at: datetime) -> None:
        """Give up on a notice; its key stays taken."""
        await self.database.write(lambda link: outbox.drop_notice(link, notice_id, at))

    async def load_clock(self) -> datetime | None:
        """Return the last moment that was kept of the machine's clock."""
        return await self.database.read(clock.load_clock)

    async def keep_clock(self, at: datetime) -> None:
        """Note `at` as the moment of the machine's clock that was believed last."""
        await self.database.write(lambda link: clock.keep_clock(link, at))

    async def checkpoint(self) -> bool:
        """Bring everything into the one file; False while another program reads it."""
        return await self.database.run_bare(fold_log)

    async def keep_copy(self) -> None:
        """Make the day's dated copy where there is none yet, and remove those kept long enough.

        Data in memory alone has none. Raises StorageError.
        """
        if self._path is not None:
            today = (await self.database.read(self._believed_now)).date()
            await asyncio.to_thread(keep_dated, self._path, today)

    def _believed_now(self, link: sqlite3.Connection) -> datetime:
        # A clock that is years ahead must not empty the rooms, nor the copies.
        return min(self._now(), clock.load_clock(link) or self._now())

    async def prune(self) -> None:
        """Forget replies older than KEEP_REPLIES, and what the rooms need not keep."""

        def work(link: sqlite3.Connection) -> None:
            now = self._believed_now(link)
            outbox.prune_events(link, now - KEEP_REPLIES)
            links.prune_links(link, now)
            for memory in self._memories:
                memory.prune(link, now)

        await self.database.write(work)


@asynccontextmanager
async def open_store(
    path: Path | None,
    *,
    now: Callable[[], datetime] = utc_now,
    alone: bool = True,
    memories: Collection[RoomMemory] = (),
    everyday: Callable[[], Container[str]] = tuple,
) -> AsyncIterator[SqliteStore]:
    """Open the club's database file, made if absent; None keeps all in memory.

    `alone` False is for a command that shares the file with a running bot for a moment. `memories`:
    what rooms remember, to be erased with a member and pruned. `everyday`: the words that nobody
    is known by, asked for when somebody is erased. Raises StorageError.
    """
    async with open_database(path, alone=alone, on_date=now().date()) as database:
        store = SqliteStore(database, now, memories, path, everyday)
        if alone:
            await store.prune()
        yield store
