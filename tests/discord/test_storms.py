"""Many clubs that close at the same minute: in what order, how late, and at what cost."""

from __future__ import annotations

import asyncio
from pathlib import Path

import pytest

from tests.discord.conftest import Bench, daily_posts
from tests.discord.storms import Sky
from tests.doubles.discord.world import PUBLIC_THREAD

FEW = 6


async def test_clubs_that_close_together_fetch_nothing_and_nothing_of_theirs_is_refused(
    bench: Bench,
) -> None:
    channels = [bench.double.add_club(f"Server {number}") for number in range(FEW)]
    for channel in channels:
        bench.add_club(channel)
    house = await bench.start()
    bench.double.limits.is_on = True

    async def serve_all() -> None:
        clubs = await house.store.load_clubs()
        await asyncio.gather(*(house.schedule.serve(club) for club in clubs))

    await serve_all()
    bench.later(days=1)
    before = len(bench.double.rest.requests)
    await serve_all()
    assert [len(daily_posts(channel)) for channel in channels] == [2] * FEW
    threads = [each for each in bench.double.world.channels.values() if each.kind == PUBLIC_THREAD]
    assert len(threads) == FEW
    asked = [(method, path) for method, path, _ in bench.double.rest.requests[before:]]
    assert not [method for method, _ in asked if method == "GET"]
    assert not bench.double.limits.refused


@pytest.mark.long
async def test_two_thousand_five_hundred_clubs_close_within_the_services_limits(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    sky = Sky(tmp_path, 2500)
    await sky.open()
    try:
        life = await sky.begin(await sky.found("club.db", sky.channels))
        await sky.until(1, 0)
        first = await life.told()
        storm = await sky.next_noon()
    finally:
        await sky.close()
    with capsys.disabled():
        print(f"\nall posted: {first}\n{storm}")  # noqa: T201 - its figures
    assert storm.refused < 100
    assert storm.fetched == 0
    assert storm.last_post < storm.first_thread
    assert all(len(daily_posts(channel)) == 2 for channel in sky.channels)


@pytest.mark.long
@pytest.mark.parametrize("clubs", [40, 5000])
async def test_two_processes_serve_each_their_own_shards_clubs(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], clubs: int
) -> None:
    sky, of = Sky(tmp_path, clubs), 2
    await sky.open()
    try:
        for number in range(of):
            # The service's own rule by its documentation (Gateway, Sharding): the id over 2^22.
            own = [
                channel
                for channel in sky.channels
                if (int(sky.double.guild_of(channel).id) >> 22) % of == number
            ]
            assert own
            database = await sky.found(f"{number}.db", own)
            await sky.begin(database, shards=f"{number} of {of}")
        await sky.until(1, 0)
        storm = await sky.next_noon()
    finally:
        await sky.close()
    with capsys.disabled():
        print(f"\n{storm}")  # noqa: T201 - its figures
    assert storm.refused < 100
    assert storm.fetched == 0
    assert all(len(daily_posts(channel)) == 2 for channel in sky.channels)
