"""The club's store on SQLite: every method is one hop to the database's thread.

The statements are in the modules beside this one, by what they are about. Nothing is decided here.
"""

from __future__ import annotations

import sqlite3
from collections.abc import AsyncIterator, Callable, Collection, Sequence
from contextlib import asynccontextmanager
from datetime import date, datetime, timedelta
from pathlib import Path

from bot.club.ports import Change, Notice, Picked, Queued, Withdrawn
from bot.club.state import Club, ClubSettings, Day, Member, MemberSolve, Puzzle, Result, Scene
from bot.storage import clock, days, members, outbox, puzzles
from bot.storage.changes import save_changes
from bot.storage.connection import Database, open_database
from bot.storage.matrix_journal import prune_matrix
from bot.storage.room_log import prune_lines
from bot.storage.rows import utc_now

KEEP_REPLIES = timedelta(days=60)
"""How long replies are kept for redelivered events: far longer than any platform redelivers."""


class SqliteStore:
    """Implements `bot.club.ports.Store`, and what the schedule and the command line need besides.

    `now` only stamps when rows were saved; it decides nothing of the club's.
    """

    def __init__(self, database: Database, now: Callable[[], datetime] = utc_now) -> None:
        self.database = database
        self._now = now

    # --- clubs and members ---

    async def load_clubs(self) -> tuple[Club, ...]:
        return await self.database.read(members.list_clubs)

    async def load_club(self, platform: str, room_id: str) -> Club | None:
        return await self.database.read(lambda link: members.find_club(link, platform, room_id))

    async def load_clubs_of(self, platform: str, user_id: str) -> tuple[Club, ...]:
        return await self.database.read(lambda link: members.list_clubs_of(link, platform, user_id))

    async def add_club(
        self, platform: str, room_id: str, settings: ClubSettings, *, paused: bool = False
    ) -> Club:
        return await self.database.write(
            lambda link: members.insert_club(link, platform, room_id, settings, paused=paused)
        )

    async def load_member_names(self, club_id: int) -> dict[str, str]:
        return await self.database.read(lambda link: members.load_member_names(link, club_id))

    async def find_members(self, club_id: int, name: str) -> tuple[Member, ...]:
        return await self.database.read(lambda link: members.find_members(link, club_id, name))

    async def export_member(self, club_id: int, user_id: str) -> dict[str, object]:
        return await self.database.read(lambda link: members.export_member(link, club_id, user_id))

    # --- one event ---

    async def load_scene(
        self, club_id: int, user_id: str, acted_at: datetime, event_id: str
    ) -> Scene:
        return await self.database.read(
            lambda link: _scene(link, club_id, user_id, acted_at, event_id)
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
        now = self._now()
        author = (club_id, user_id) if user_id else None
        return await self.database.write(
            lambda link: save_changes(
                link, changes, now, event_id=event_id, reply=reply, author=author
            )
        )

    async def load_reply(self, event_id: str) -> bytes | None:
        return await self.database.read(lambda link: outbox.find_reply(link, event_id))

    # --- days, entries, results ---

    async def load_day(self, club_id: int, day: date) -> Day | None:
        return await self.database.read(lambda link: days.find_day(link, club_id, day))

    async def load_days(self, club_id: int, *, open_only: bool = False) -> tuple[Day, ...]:
        return await self.database.read(
            lambda link: days.list_days(link, club_id, open_only=open_only)
        )

    async def load_withdrawn(self, club_id: int) -> tuple[Withdrawn, ...]:
        return await self.database.read(lambda link: days.list_withdrawn(link, club_id))

    async def load_entry(self, day_id: int, user_id: str) -> MemberSolve | None:
        return await self.database.read(lambda link: members.find_entry(link, day_id, user_id))

    async def load_entries(self, day_id: int) -> tuple[tuple[Member, MemberSolve], ...]:
        return await self.database.read(lambda link: members.list_entries(link, day_id))

    async def load_member_entries(self, club_id: int, user_id: str) -> tuple[MemberSolve, ...]:
        return await self.database.read(
            lambda link: members.list_member_entries(link, club_id, user_id)
        )

    async def load_results(
        self, club_id: int, first: date | None, last: date | None
    ) -> tuple[Result, ...]:
        return await self.database.read(
            lambda link: members.list_results(link, club_id, first, last)
        )

    # --- puzzles ---

    async def load_queue(self, club_id: int) -> tuple[Queued, ...]:
        return await self.database.read(lambda link: puzzles.list_queue(link, club_id))

    async def load_stock(self, club_id: int) -> tuple[Puzzle, ...]:
        return await self.database.read(lambda link: puzzles.list_stock(link, club_id))

    async def load_picks(self, club_id: int) -> tuple[Picked, ...]:
        return await self.database.read(lambda link: puzzles.list_picks(link, club_id))

    async def add_stock(self, added: Sequence[Puzzle]) -> int:
        """Add the puzzles whose givens are not there yet; return how many were added."""
        return await self.database.write(lambda link: puzzles.insert_stock(link, added))

    async def add_new(self, puzzle: Puzzle) -> bool:
        """Add a puzzle; False where it is there already, in whatever disguise."""
        return await self.database.write(lambda link: puzzles.insert_new(link, puzzle))

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
        return await self.database.read(lambda link: outbox.list_notices(link, limit))

    async def load_club_notices(
        self, club_id: int, resting: Collection[int] = (), each: int = 50
    ) -> tuple[Notice, ...]:
        """Return what is to be sent in one club, oldest first: so many `each` of a kind and
        receiver, without those that rest."""
        return await self.database.read(
            lambda link: outbox.list_club_notices(link, club_id, resting, each)
        )

    async def begin_attempt(self, notice_id: int, at: datetime) -> outbox.Attempt | None:
        return await self.database.write(lambda link: outbox.begin_attempt(link, notice_id, at))

    async def mark_sent(self, notice_id: int, reference: str, at: datetime) -> None:
        await self.database.write(lambda link: outbox.mark_sent(link, notice_id, reference, at))

    async def drop_notice(self, notice_id: int, at: datetime) -> None:
        await self.database.write(lambda link: outbox.drop_notice(link, notice_id, at))

    async def load_clock(self) -> datetime | None:
        """Return the last moment that was kept of the machine's clock."""
        return await self.database.read(clock.load_clock)

    async def keep_clock(self, at: datetime) -> None:
        await self.database.write(lambda link: clock.keep_clock(link, at))

    async def prune(self) -> None:
        """Forget replies older than KEEP_REPLIES, and what the rooms need not keep."""

        def work(link: sqlite3.Connection) -> None:
            # A clock that is years ahead must not empty the rooms.
            now = min(self._now(), clock.load_clock(link) or self._now())
            outbox.prune_events(link, now - KEEP_REPLIES)
            prune_lines(link, now)
            prune_matrix(link, now)

        await self.database.write(work)


def _scene(
    link: sqlite3.Connection, club_id: int, user_id: str, acted_at: datetime, event_id: str
) -> Scene:
    today = days.find_open_day(link, club_id, acted_at)
    earlier = days.find_day_before(link, club_id, today.due_at if today else acted_at)
    return Scene(
        club=members.club_with(link, club_id),
        member=members.find_member(link, club_id, user_id),
        today=today,
        entry=members.find_entry(link, today.id, user_id) if today else None,
        earlier=earlier,
        earlier_entry=members.find_entry(link, earlier.id, user_id) if earlier else None,
        day_results=members.list_day_results(link, today.id) if today else (),
        saved_reply=outbox.find_reply(link, event_id),
        came_back=members.days_come_back_to(link, club_id, user_id),
    )


@asynccontextmanager
async def open_store(
    path: Path | None, *, now: Callable[[], datetime] = utc_now, alone: bool = True
) -> AsyncIterator[SqliteStore]:
    """Open the club's database file, made if absent; None keeps all in memory.

    `alone` False is for a command that shares the file with a running bot for a moment. Raises
    StorageError.
    """
    async with open_database(path, alone=alone) as database:
        store = SqliteStore(database, now)
        if alone:
            await store.prune()
        yield store
