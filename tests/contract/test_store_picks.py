"""What the club expects of its store for the plan: picks for days to come, the queue by level."""

from __future__ import annotations

from bot.club.ports import (
    DropPicks,
    OpenDay,
    Picked,
    PickPuzzle,
    SavePuzzle,
    Store,
    UnqueuePuzzle,
)
from tests.bot.storage.samples import MONDAY, ONE_DAY, day_number, new_club, puzzle_number

TUESDAY, WEDNESDAY = MONDAY + ONE_DAY, MONDAY + 2 * ONE_DAY


async def picks(store: Store, club_id: int) -> list[tuple[str, object]]:
    return [(pick.puzzle.givens, pick.day) for pick in await store.load_picks(club_id)]


async def test_picks_come_back_by_date_for_their_own_club(store: Store) -> None:
    club, other = await new_club(store), await new_club(store, "elm")
    await store.save(
        [
            PickPuzzle(club.id, puzzle_number(2), WEDNESDAY),
            PickPuzzle(club.id, puzzle_number(1), TUESDAY),
            PickPuzzle(other.id, puzzle_number(3), TUESDAY),
        ]
    )
    assert await picks(store, club.id) == [
        (puzzle_number(1).givens, TUESDAY),
        (puzzle_number(2).givens, WEDNESDAY),
    ]
    (first, _) = await store.load_picks(club.id)
    assert isinstance(first, Picked)
    assert first.puzzle.id > 0


async def test_another_pick_takes_the_place_of_the_one_before(store: Store) -> None:
    club = await new_club(store)
    for number in (1, 2):
        await store.save([PickPuzzle(club.id, puzzle_number(number), TUESDAY)])
    assert await picks(store, club.id) == [(puzzle_number(2).givens, TUESDAY)]
    # Both stay in stock: a pick is no use of a puzzle yet.
    assert len(await store.load_stock(club.id)) == 2


async def test_picks_are_dropped_by_their_dates(store: Store) -> None:
    club, other = await new_club(store), await new_club(store, "elm")
    for each in (club, other):
        for number, day in enumerate((MONDAY, TUESDAY, WEDNESDAY)):
            await store.save([PickPuzzle(each.id, puzzle_number(number), day)])
    await store.save([DropPicks(club.id, (MONDAY, WEDNESDAY))])
    assert [day for _, day in await picks(store, club.id)] == [TUESDAY]
    assert len(await picks(store, other.id)) == 3


async def test_a_day_that_opens_forgets_its_pick_and_those_before_it(store: Store) -> None:
    club = await new_club(store)
    for number, day in enumerate((MONDAY, TUESDAY, WEDNESDAY)):
        await store.save([PickPuzzle(club.id, puzzle_number(number), day)])
    await store.save([OpenDay(day_number(club, 1, puzzle_number(9)))])
    assert [day for _, day in await picks(store, club.id)] == [WEDNESDAY]


async def test_the_queue_keeps_the_level_that_a_puzzle_waits_for(store: Store) -> None:
    club = await new_club(store)
    await store.save([SavePuzzle(puzzle_number(1), club.id, is_queued=True, level=3)])
    await store.save([SavePuzzle(puzzle_number(2), club.id, TUESDAY, is_queued=True)])
    queue = await store.load_queue(club.id)
    assert [(each.day, each.level) for each in queue] == [(None, 3), (TUESDAY, None)]


async def test_what_is_taken_out_of_the_queue_is_in_stock_again(store: Store) -> None:
    club, other = await new_club(store), await new_club(store, "elm")
    for each in (club, other):
        for number in (1, 2):
            await store.save([SavePuzzle(puzzle_number(number), each.id, is_queued=True)])
    first, second = await store.load_queue(club.id)
    await store.save([UnqueuePuzzle(club.id, first.puzzle.id)])
    assert await store.load_queue(club.id) == (second,)
    assert [each.givens for each in await store.load_stock(club.id)] == [first.puzzle.givens]
    assert len(await store.load_queue(other.id)) == 2
