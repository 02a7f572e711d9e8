"""The stocker: fills what plans lack, uses no seed twice, rests where nothing can be made."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Sequence
from pathlib import Path

import pytest
from msgspec.structs import replace

from bot.club.plan import DayPlan, fits, plans_of
from bot.club.ports import SavePuzzle, SaveSettings
from bot.club.state import Puzzle
from bot.stock.stocker import FAILURES_IN_A_ROW, Stocker, count_missing
from bot.storage import SqliteStore, open_store
from tests.bot.club.stories import settings_with


@pytest.fixture
async def store(tmp_path: Path) -> AsyncIterator[SqliteStore]:
    async with open_store(tmp_path / "club.db") as opened:
        yield opened


def puzzle_for(entry: DayPlan, number: int) -> Puzzle:
    needs = (entry.theme,) if entry.theme else ()
    return Puzzle(
        0, f"{number:081}", "", entry.lowest, needs, form=f"form {number}", pattern=entry.pattern
    )


class Bench:
    """A workshop that makes what is asked for at once, but for kinds that it cannot make."""

    def __init__(self, *impossible: DayPlan) -> None:
        self.impossible = impossible
        self.asked: list[tuple[DayPlan, int, tuple[str, ...]]] = []

    async def make_for_stock(
        self, entry: DayPlan, seed: int, like: Sequence[str] = ()
    ) -> Puzzle | None:
        self.asked.append((entry, seed, tuple(like)))
        return None if entry in self.impossible else puzzle_for(entry, len(self.asked))


PLAIN = settings_with(levels=(1, 1, 1, 1, 1, 1, 1))
THEMED = settings_with(levels=(1, 1, 1, 2, 2, 2, 2), theme="naked-pair", pattern="half-turn")


def test_what_is_missing_is_counted_for_each_entry_and_disguises_count_once() -> None:
    settings = settings_with(levels=(1, 1, 1, 1, 1, 1, 2))
    easy, harder = plans_of(settings)
    stock = [puzzle_for(easy, number) for number in range(3)]
    twin = replace(stock[0], givens="9" * 81)
    assert count_missing(settings, [*stock, twin], 4) == {easy: 1, harder: 4}
    assert count_missing(settings, [*stock, puzzle_for(harder, 9)], 1) == {}


async def test_every_entry_of_every_club_is_filled_the_scarcest_first(store: SqliteStore) -> None:
    await store.add_club("web", "maple", PLAIN)
    await store.add_club("web", "elm", THEMED)
    (easy,), (themed,) = plans_of(PLAIN), plans_of(THEMED)
    await store.add_stock([puzzle_for(easy, 900), puzzle_for(easy, 901)])
    bench = Bench()
    stocker = Stocker(store, bench, at_least=3)
    assert await stocker.fill() == 4
    assert [entry for entry, _, _ in bench.asked[:2]] == [themed, themed]
    assert await stocker.missing() == {}
    assert await stocker.fill() == 0


async def test_what_a_club_has_had_does_not_count_for_it(store: SqliteStore) -> None:
    club = await store.add_club("web", "maple", PLAIN)
    (easy,) = plans_of(PLAIN)
    stocker = Stocker(store, Bench(), at_least=2)
    await stocker.fill()
    (first, _) = await store.load_stock(club.id)
    await store.save([SavePuzzle(first, club.id, is_queued=True)])
    assert await stocker.missing() == {easy: 1}
    assert await stocker.fill() == 1


async def test_no_seed_is_used_twice_whatever_becomes_of_the_making(tmp_path: Path) -> None:
    path, seeds = tmp_path / "club.db", list[int]()
    (easy,) = plans_of(PLAIN)
    for bench in (Bench(easy), Bench(), Bench(easy)):
        async with open_store(path) as store:
            club = await store.add_club("web", "maple", PLAIN)
            for puzzle in await store.load_stock(club.id):
                await store.save([SavePuzzle(puzzle, club.id, is_queued=True)])
            await Stocker(store, bench, at_least=2).fill()
        seeds.extend(seed for _, seed, _ in bench.asked)
    assert len(seeds) == len(set(seeds)) == 2 * FAILURES_IN_A_ROW + 2


async def test_what_cannot_be_made_is_left_alone_and_the_rest_is_made(store: SqliteStore) -> None:
    await store.add_club("web", "maple", PLAIN)
    await store.add_club("web", "elm", THEMED)
    (themed,) = plans_of(THEMED)
    bench = Bench(themed)
    stocker = Stocker(store, bench, at_least=2)
    assert await stocker.fill() == 2
    tries = sum(entry == themed for entry, _, _ in bench.asked)
    assert tries == FAILURES_IN_A_ROW
    assert await stocker.fill() == 0
    assert sum(entry == themed for entry, _, _ in bench.asked) == tries


async def test_puzzles_of_the_theme_are_the_models_for_more(store: SqliteStore) -> None:
    await store.add_club("web", "elm", THEMED)
    (themed,) = plans_of(THEMED)
    known = [puzzle_for(themed, 900), puzzle_for(replace_pattern(themed), 901)]
    await store.add_stock(known)
    bench = Bench()
    await Stocker(store, bench, at_least=2).fill()
    ((_, _, like),) = bench.asked
    assert like == (known[0].givens,)
    assert all(fits(each, themed) for each in known[:1])


def replace_pattern(entry: DayPlan) -> DayPlan:
    return DayPlan(entry.lowest, entry.highest, entry.theme, "mirror")


async def test_a_disguise_of_what_is_there_is_not_added(store: SqliteStore) -> None:
    class OneIdea(Bench):
        async def make_for_stock(
            self, entry: DayPlan, seed: int, like: Sequence[str] = ()
        ) -> Puzzle | None:
            made = await super().make_for_stock(entry, seed, like)
            return made and replace(made, form="always the same")

    await store.add_club("web", "maple", PLAIN)
    assert await Stocker(store, OneIdea(), at_least=2).fill() == 1
    assert len(await store.list_puzzles()) == 1


async def test_a_new_plan_is_filled_when_the_stocker_is_woken(store: SqliteStore) -> None:
    club = await store.add_club("web", "maple", PLAIN)
    (themed,) = plans_of(THEMED)
    waits, filled = list[float](), asyncio.Event()

    async def wait(woken: asyncio.Event, seconds: float) -> None:
        waits.append(seconds)
        if len(waits) == 2:
            await store.save([SaveSettings(club.id, THEMED, paused=False)])
            stocker.wake()
            await woken.wait()
        elif len(waits) > 3:
            filled.set()
            await asyncio.Event().wait()

    bench = Bench()
    stocker = Stocker(store, bench, at_least=1, wait=wait)
    running = asyncio.create_task(stocker.run())
    await filled.wait()
    running.cancel()
    await asyncio.gather(running, return_exceptions=True)
    assert waits[0] == 30
    assert [entry for entry, _, _ in bench.asked] == [*plans_of(PLAIN), themed]
