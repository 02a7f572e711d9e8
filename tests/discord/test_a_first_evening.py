"""What holds of a club's first evening, as `python -m tests.discord.first_evening` prints it."""

from __future__ import annotations

import pytest

from tests.discord.conftest import Bench
from tests.discord.first_evening import MEMBERS, evening
from tests.doubles.discord.shown import show

MOST_LINES = 14
"""A private answer on a phone is read at one look; the page of settings and a table are long."""
LONG = ("The club's settings", "Changed:", "The week of")


@pytest.mark.parametrize("count", [4, pytest.param(10, marks=pytest.mark.long)])
async def test_a_founder_members_and_one_who_means_it_ill_have_a_quiet_evening(
    bench: Bench, count: int
) -> None:
    told = await evening(bench, count=count)
    room = [show(each) for each in told.channel.messages.values()]
    # Ten hints, tries and answers later: the welcome, the two puzzles, who has solved, the results.
    starts = ("Welcome to Maple Street", "This day is closed", f"{count + 1} members have solved",
              "The puzzle for Monday 23 November is closed", "Today's puzzle is up")  # fmt: skip
    assert sorted(text for text in starts for each in room if each.text.startswith(text)) == sorted(
        starts
    )
    assert len(room) == len(starts)
    (club,) = await bench.house.store.load_clubs() if bench.house else ()
    day = (await bench.house.store.load_days(club.id))[0] if bench.house else None
    assert day is not None
    rows = [day.puzzle.solution[i : i + 9] for i in range(0, 81, 9)]
    seen = "\n".join(each.text + each.code for each in room)
    assert not any(row in seen for row in rows), "the solution is nowhere in the open room"
    assert club.settings.post_time == "13:00"
    assert not club.paused
    mallory = told.answers["@everyone **Rowan**"]
    assert "I took it away" in mallory[0].text
    assert "for the club's leaders" in mallory[-1].text
    for name in (*MEMBERS[:2], "Rowan", "@everyone **Rowan**"):
        for shown in told.answers[name]:
            assert shown.is_private or shown in told.mallory.direct()
            is_long = shown.text.startswith(LONG)
            assert is_long or len(shown.text.splitlines()) <= MOST_LINES, shown.text
