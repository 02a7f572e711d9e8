"""The sums that are kept, against the plain count: what the store in memory counts from its rows.

Clubs go through random histories on both stores at once: late answers, rulings, days that turn out
to be up after all or are withdrawn, members who have their data erased and come back, mends that
are sent. After each step both must tell the same of every period and every member.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from pathlib import Path
from random import Random

import pytest
from msgspec import structs

from bot.club.clock import Period, period_of
from bot.club.fake_store import FakeStore
from bot.club.ports import (
    Change,
    EraseMember,
    MarkPosted,
    OpenDay,
    QueueNotice,
    SaveEntry,
    SaveMember,
    WithdrawDay,
)
from bot.club.state import Board, Charge, Club, Day, Member, MemberSolve
from bot.club.table import Standing
from bot.storage import SqliteStore, open_store
from bot.storage.backup import copy_whole
from bot.storage.migrations import MIGRATIONS
from bot.storage.result_tables import RESULTS
from bot.storage.results import keep_all
from tests.bot.storage.samples import (
    MINUTE,
    MONDAY,
    NOON,
    ONE_DAY,
    day_number,
    new_club,
    puzzle_number,
)
from tests.bot.storage.test_no_byte_is_left import write_as_of

DAYS, STEPS = 45, 60
PERIODS: tuple[Period, ...] = ("day", "week", "month", "all")
VERDICTS = ("ranked", "ranked", "ranked", "accepted", "flagged", "unranked")
SEEN: Counter[str] = Counter()


@dataclass
class Twins:
    """One club on both stores; what is done is done to both."""

    fake: FakeStore
    real: SqliteStore
    club: Club
    random: Random
    numbers: list[int] = field(default_factory=list)
    editions: Counter[int] = field(default_factory=Counter)
    posts: int = 0

    async def save(self, *changes: Change) -> None:
        for change in changes:
            await self.fake.save([change])
            await self.real.save([change])

    async def ids_of(self, number: int) -> tuple[Day, Day]:
        on_date = MONDAY + number * ONE_DAY
        fake = await self.fake.load_day(self.club.id, on_date)
        real = await self.real.load_day(self.club.id, on_date)
        assert fake is not None
        assert real is not None
        return fake, real

    # --- what can happen ---

    async def open_a_day(self) -> None:
        number = self.random.randrange(DAYS)
        if number in self.numbers:
            return
        self.numbers.append(number)
        puzzle = puzzle_number(number + 1, level=self.random.randint(1, 4))
        self.editions[number] += 1
        day = day_number(self.club, number, puzzle)
        await self.save(OpenDay(structs.replace(day, edition=self.editions[number])))
        if self.random.random() < 0.8:
            await self.post_a_day(number)

    async def post_a_day(self, number: int | None = None) -> None:
        """Mark a day as up: at once, or long after, when it is found."""
        if number is None and not self.numbers:
            return
        number = self.random.choice(self.numbers) if number is None else number
        fake, real = await self.ids_of(number)
        if fake.posted_at is None:
            at = fake.due_at + self.random.randrange(5) * MINUTE
            await self.fake.save([MarkPosted(fake.id, at, "post")])
            await self.real.save([MarkPosted(real.id, at, "post")])

    async def answer(self) -> None:
        if not self.numbers:
            return
        fake, real = await self.ids_of(self.random.choice(self.numbers))
        user_id = self.random.choice("abcde")
        await self.save(SaveMember(Member(0, self.club.id, user_id, user_id.upper())))
        entry = self._entry(fake)
        await self.fake.save([SaveEntry(user_id, structs.replace(entry, day_id=fake.id))])
        await self.real.save([SaveEntry(user_id, structs.replace(entry, day_id=real.id))])

    def _entry(self, day: Day) -> MemberSolve:
        random = self.random
        finished_at = day.due_at + timedelta(minutes=random.randint(5, 90))
        charges = [
            Charge(f"hint:{random.randrange(3)}", random.randint(1, 3), 15, technique)
            for technique in random.choices(("pointing", "x-wing", ""), k=random.randrange(4))
        ]
        return MemberSolve(
            0,
            day.id,
            0,
            Board("." * 81),
            started_at=random.choice((None, day.due_at + 2 * MINUTE)),
            charges=tuple(charges),
            tries=random.randrange(3),
            finished_at=None if random.random() < 0.1 else finished_at,
            is_late=random.random() < 0.1,
            verdict=random.choice(VERDICTS),  # type: ignore[arg-type] # a list of literals
        )

    async def withdraw(self) -> None:
        if not self.numbers:
            return
        number = self.numbers.pop(self.random.randrange(len(self.numbers)))
        fake, real = await self.ids_of(number)
        await self.fake.save([WithdrawDay(fake.id)])
        await self.real.save([WithdrawDay(real.id)])

    async def erase(self) -> None:
        user_id, mark = self.random.choice("abcde"), self.random.choice(("", "mark"))
        if mark:
            self.posts += 1
            key = f"solved:{self.posts}"
            await self.save(QueueNotice(self.club.id, key, "room", b"line"))
            await self.send_all()
            await self.save(QueueNotice(self.club.id, key, "mend", b""))
        await self.save(EraseMember(self.club.id, user_id, mark))

    async def send_all(self) -> None:
        for store in (self.fake, self.real):
            for notice in await store.load_notices():
                await store.mark_sent(notice.id, f"post {notice.key}", NOON)

    async def count_anew(self) -> None:
        await self.real.database.write(keep_all)

    async def step(self) -> None:
        happening = self.random.choices(
            (self.open_a_day, self.post_a_day, self.answer, self.withdraw, self.erase,
             self.send_all),
            (8, 2, 30, 1, 1, 1),
        )[0]  # fmt: skip
        SEEN[happening.__name__] += 1
        await happening()

    # --- what must be the same ---

    async def check(self) -> None:
        on_date = MONDAY + self.random.randrange(DAYS) * ONE_DAY
        recent = [MONDAY + number * ONE_DAY for number in self.numbers]
        still_open = self.random.choice(((), sorted(recent)[-2:], recent[:2]))
        for period in PERIODS:
            for with_former in (False, True):
                first, last = period_of(period, on_date)
                plain, kept = [
                    _comparable(
                        await store.load_standing(
                            self.club.id, period, first, last,
                            still_open=still_open, with_former=with_former,
                        )
                    )
                    for store in (self.fake, self.real)
                ]  # fmt: skip
                assert kept == plain, (period, on_date, still_open)
                SEEN["former"] += any(not each.name for each in kept.sums)
                SEEN["sums"] += len(kept.sums)
        for user_id in "abcdef":
            plain_record, kept_record = [
                await store.load_record(self.club.id, user_id, still_open=still_open)
                for store in (self.fake, self.real)
            ]
            assert _nobodys(kept_record.results) == _nobodys(plain_record.results)
            assert replace(kept_record, results=()) == replace(plain_record, results=())
            assert await self.real.load_bests(self.club.id, user_id) == kept_record.bests
            assert await self._dates(self.real, user_id) == await self._dates(self.fake, user_id)

    async def _dates(self, store: FakeStore | SqliteStore, user_id: str) -> list[date]:
        days = await store.load_finished_days(self.club.id, user_id)
        return [day.date for day in days]


def _nobodys(results: tuple[structs.Struct, ...]) -> list[structs.Struct]:
    return [structs.replace(each, member_id=0) for each in results]


def _comparable(standing: Standing) -> Standing:
    """Ids differ between stores; `before` has no order, nor have members."""
    sums = (replace(each, member_id=0, before=tuple(sorted(each.before))) for each in standing.sums)
    return replace(standing, sums=tuple(sorted(sums, key=str)))


async def live(seed: int, path: Path, steps: int) -> None:
    fake = FakeStore()
    async with open_store(path, now=lambda: NOON) as real:
        club, same = await new_club(fake), await new_club(real)
        assert club.id == same.id
        twins = Twins(fake, real, club, Random(seed))
        for number in range(steps):
            await twins.step()
            if number % 3 == 0:
                await twins.check()
        await twins.check()
        kept = await real.database.read(_all_kept)
        await twins.count_anew()
        await twins.check()
        assert list(map(tuple, await real.database.read(_all_kept))) == list(map(tuple, kept))
        await twins.send_all()
        await twins.check()


def _all_kept(link):  # type: ignore[no-untyped-def] # a connection, as it is
    return link.execute("SELECT * FROM tally ORDER BY 1, 2, 3").fetchall()


async def test_sums_are_made_anew_for_a_database_or_a_copy_of_before_there_were_any(
    tmp_path: Path,
) -> None:
    path = tmp_path / "club.db"
    await live(1, path, STEPS)
    copy_whole(path, tmp_path / "copy.db")
    write_as_of(path, MIGRATIONS.index(RESULTS))
    sums = []
    for kept in (path, tmp_path / "copy.db"):
        async with open_store(kept, now=lambda: NOON) as store:
            sums.append([tuple(row) for row in await store.database.read(_all_kept)])
            assert sums[-1]
    assert sums[0] == sums[1]


@pytest.mark.parametrize("seed", range(6))
async def test_what_is_kept_is_what_is_counted_whatever_happens(tmp_path: Path, seed: int) -> None:
    await live(seed, tmp_path / "club.db", STEPS)


@pytest.mark.long
async def test_what_is_kept_is_what_is_counted_in_many_histories(tmp_path: Path) -> None:
    SEEN.clear()
    for seed in range(100, 130):
        await live(seed, tmp_path / f"{seed}.db", 200)
    assert min(SEEN.values()) >= 30, SEEN
