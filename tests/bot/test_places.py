"""A few places: who goes in when, and that none is lost."""

from __future__ import annotations

import asyncio

from bot.places import Places


async def test_who_waits_goes_in_by_rank_and_equals_in_their_order() -> None:
    places, order = Places(2), list[str]()
    inside, most = 0, 0

    async def come(name: str, rank: int) -> None:
        nonlocal inside, most
        async with places.one(rank):
            inside += 1
            most = max(most, inside)
            order.append(name)
            await asyncio.sleep(0)
            inside -= 1

    asked = [("a", 5), ("b", 5), ("late", 5), ("later", 5), ("first", 0), ("second", 0), ("mid", 3)]
    await asyncio.gather(*(come(*each) for each in asked))
    assert order == ["a", "b", "first", "second", "mid", "late", "later"]
    assert most == 2


async def test_who_gives_up_takes_no_place_with_them() -> None:
    places, going_on = Places(1), asyncio.Event()

    async def hold() -> None:
        async with places.one():
            await going_on.wait()

    tasks = [asyncio.create_task(hold()) for _ in range(4)]
    await asyncio.sleep(0)
    # One that waits, and one that is just being let in.
    tasks[1].cancel()
    going_on.set()
    await tasks[0]
    tasks[2].cancel()
    await tasks[3]
    async with places.one():
        pass
