"""What the store in memory tells of results: counted from its rows each time, and no sum is kept.

So it is the plain definition of what the real store keeps; one contract suite runs on both.
"""

from __future__ import annotations

import asyncio
from collections.abc import Collection
from datetime import date

from bot.club.clock import Period
from bot.club.fake_rows import Rows
from bot.club.self_page import OwnRecord
from bot.club.state import MemberSolve, Result
from bot.club.table import Bests, Standing, sum_up


class FakeResults:
    """The part of `bot.club.ports.Store` that is about results."""

    def __init__(self) -> None:
        self._rows = Rows()

    async def load_results(
        self, club_id: int, first: date | None, last: date | None, *, with_former: bool = False
    ) -> tuple[Result, ...]:
        await hop()
        return self._rows.results_between(club_id, first, last, with_former=with_former)

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
        await hop()
        results = self._rows.results_between(club_id, None, None, with_former=with_former)
        dates = self._rows.posted_dates(club_id)
        return sum_up(results, first, last, puzzle_dates=dates, still_open=still_open)

    async def load_record(
        self,
        club_id: int,
        user_id: str,
        *,
        still_open: Collection[date] = (),
        apart_from: MemberSolve | None = None,
    ) -> OwnRecord:
        await hop()
        member = self._rows.member_with(club_id, user_id)
        if member is None:
            return OwnRecord()
        return self._rows.record_of(member, still_open, apart_from)

    async def load_bests(self, club_id: int, user_id: str) -> Bests:
        return (await self.load_record(club_id, user_id)).bests

    async def load_former(self, club_id: int, mark: str) -> tuple[int, ...]:
        await hop()
        former = self._rows.former.items()
        ids = [key for key, each in former if each[:2] == (club_id, mark)]
        return tuple(-each for each in reversed(ids))


async def hop() -> None:
    """Let others go first, as a call to the database's thread does."""
    await asyncio.sleep(0)
