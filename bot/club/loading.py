"""What an act may ask of the store and the engine, and what the days to come can get.

It is the service's reading part: nothing is decided or saved here. Whoever calls holds the club's
lock, so what takes long is asked for as a question (see `bot.club.questions`).
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime

from bot.club.acts import Event
from bot.club.choosing import Coming, Supply, choose_puzzle, seeds_of, supply_of
from bot.club.facts import Lacks
from bot.club.leaders import Leaders
from bot.club.photo_pace import PhotoPace
from bot.club.plan import plan_for, relaxed
from bot.club.ports import Rooms, Store
from bot.club.questions import Studies, make_puzzle
from bot.club.state import Club, Day, MemberSolve, Puzzle


@dataclass(frozen=True, slots=True)
class Loading:
    """What one act may ask.

    - `believe` returns a stamp, or the latest that it can have been.
    - `leaders`: who leads a club.
    - `rooms`: the rooms of the club's platform.
    - `may_make`: a puzzle is made where queue and stock have none.
    - `reads_photos`: photos can be read here.
    - `pace`: how many photos of one member are read.
    """

    store: Store
    studies: Studies
    believe: Callable[[datetime], datetime]
    leaders: Leaders
    rooms: Rooms
    may_make: bool
    reads_photos: bool
    pace: PhotoPace

    def lacks_in(self, club: Club) -> Lacks:
        """Return what the bot may not do in a club's room, as far as that is known."""
        return self.rooms.lacks_in(club) or Lacks()

    def leaders_of(self, club: Club) -> tuple[str, ...]:
        """Return whom to tell what waits for leaders."""
        return self.leaders.told(club)

    async def named_day(
        self, club: Club, event: Event, wanted: date | None
    ) -> tuple[Day | None, MemberSolve | None]:
        """Return the posted day of a date that the act names, and the member's entry on it."""
        if wanted is None:
            return None, None
        day = await self.store.load_day(club.id, wanted)
        if day is None or day.posted_at is None or day.due_at > event.acted_at:
            return None, None
        return day, await self.store.load_entry(day.id, event.user_id)

    # --- puzzles to come ---

    async def edition(self, club: Club, on_date: date) -> int:
        """Return which edition a date's puzzle would be: each that is withdrawn counts."""
        withdrawn = await self.store.load_withdrawn(club.id)
        return 1 + sum(each.day == on_date for each in withdrawn)

    async def supply(self, club: Club) -> Supply:
        """Return what may come next, and what the club had."""
        store = self.store
        return supply_of(
            club.settings,
            await store.load_queue(club.id),
            await store.load_picks(club.id),
            await store.load_stock(club.id),
            await store.load_days(club.id),
            await store.load_withdrawn(club.id),
        )

    async def choose(self, club: Club, on_date: date) -> Puzzle | None:
        """Return the puzzle for a date. Raises StudyNeededError where one has to be made."""
        coming = await self.coming(club, await self.supply(club), on_date)
        return None if coming is None else coming.puzzle

    async def coming(self, club: Club, supply: Supply, on_date: date) -> Coming | None:
        """Return the puzzle for a date; one is made where queue and stock have none."""
        coming = await asyncio.to_thread(choose_puzzle, supply, on_date)
        if coming is not None or not self.may_make:
            return coming
        had = supply.had
        for plan in relaxed(plan_for(on_date, club.settings)):
            for seed in seeds_of(club, on_date):
                made = self.studies.of(make_puzzle, plan, seed)
                if made is not None and made.identity not in had:
                    return Coming(on_date, made, "made")
        return None
