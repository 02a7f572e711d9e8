"""What holds of a club's first evening under a homeserver's own limits, as
`python -m tests.matrix.first_evening` prints it. Both take minutes: the limits are in seconds.
"""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path

import pytest

from bot.wording.matrix import MATRIX
from tests.discord.first_evening import MEMBERS
from tests.doubles.matrix.member import text_of
from tests.matrix.first_evening import MORE, Evening, EveningBench, evening, rush

pytestmark = pytest.mark.long


@pytest.fixture
async def bench(tmp_path: Path) -> AsyncIterator[EveningBench]:
    made = EveningBench(tmp_path)
    yield made
    await made.close()


async def test_fourteen_who_press_start_together_are_all_served_and_told_how_long(
    bench: EveningBench,
) -> None:
    told = await rush(bench)
    for wait in told.waits:
        print(wait)  # noqa: T201 - its figures
    assert {wait.name for wait in told.waits} == {*MEMBERS, *MORE}
    # No clock runs from the press of who had to wait, and none begins after its puzzle came.
    assert all(0 < wait.clock <= wait.arrived for wait in told.waits)
    queue = [text for text in told.room() if text.startswith(MATRIX.queued.split("{}")[0])]
    assert queue
    assert told.room()[-1] == MATRIX.queue_over


async def test_a_founder_members_and_one_who_means_it_ill_have_a_quiet_evening(
    bench: EveningBench,
) -> None:
    told = await evening(bench)
    assert bench.house is not None
    (club,) = await bench.house.store.load_clubs()
    assert not club.paused
    _nobody_leads_by_a_name(told)
    day = (await bench.house.store.load_days(club.id))[0]
    room = bench.rowan.sources(bench.room_id)
    left = [text_of(each) for each in room if not each.get("redacted")]
    assert not any(day.puzzle.solution in text for text in left)
    looks, reminder, today = (text_of(each) for each in told.answers["Cleo"][1:4])
    assert "are dark" in looks
    assert "an hour before a puzzle closes" in reminder
    assert "Your clock has been running" in today


def _nobody_leads_by_a_name(told: Evening) -> None:
    said, refused = (text_of(each) for each in told.answers["Mallory"])
    assert "I took it away" in said
    assert "for the club's leaders" in refused
