"""What the bot may not do in a club's room: kept, told to who leads there, done once it may."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from msgspec import structs

from bot.club.ports import SaveSettings
from bot.storage import open_store
from tests.bot.club.stories import EASY_SOLUTION
from tests.doubles.matrix.member import text_of
from tests.matrix.conftest import Bench


async def set_levels(bench: Bench, **levels: Any) -> None:
    """Have Rowan, who made the room, change its power levels."""
    path = f"rooms/{bench.room_id}/state/m.room.power_levels"
    there = await bench.rowan.call("GET", path)
    await bench.rowan.call("PUT", path, {**there, **levels})


async def test_a_leader_is_told_of_a_power_that_is_missing_and_the_puzzle_comes_with_it(
    open_bench: Bench,
) -> None:
    bench = open_bench
    await set_levels(bench, events_default=60, users_default=60, redact=70)
    await bench.start()
    await bench.tick()

    def told() -> list[dict[str, Any]]:
        every = bench.from_bot(bench.rowan, bench.private_room(bench.rowan))
        return [each for each in every if "not allowed" in text_of(each)]

    (notice,) = await bench.rowan.until(told)
    assert "Power level 60" in text_of(notice)
    assert "raise my power level in the room to 70" in text_of(notice)
    assert not bench.daily_posts(bench.rowan)
    await bench.tick()
    assert "Power level 60" in text_of((await bench.ask(bench.rowan, "club setup"))[-1])
    assert len(told()) == 2, "the notice, and the settings"

    await set_levels(bench, events_default=0, redact=50)
    await bench.rowan.until(lambda: bench.daily_posts(bench.rowan))


async def test_a_held_answer_reaches_who_has_the_power_to_lead_where_nobody_is_named(
    open_bench: Bench,
) -> None:
    bench = open_bench
    (entry,) = bench.entries
    settings = structs.replace(entry.settings, leaders=(), quick=60)
    bench.entries = [replace(entry, settings=settings)]
    async with open_store(bench.folder / "club.db") as store:
        (club,) = await store.load_clubs()
        await store.save([SaveSettings(club.id, settings, False)])
    await bench.start()
    await bench.tick()
    await bench.ask(bench.ada, f"hand-in {EASY_SOLUTION}")
    await bench.tick()

    def told() -> list[str]:
        every = bench.from_bot(bench.rowan, bench.private_room(bench.rowan))
        return [text_of(each) for each in every if "faster" in text_of(each)]

    (held,) = await bench.rowan.until(told)
    assert "Accept it" in held
