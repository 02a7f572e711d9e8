"""What holds of a club's first evening, as `python -m tests.web.first_evening` prints it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.discord.first_evening import MEMBERS
from tests.web.first_evening import Evening, House, evening

MOST_LINES = 14
"""A private answer on a phone is read at one look; the page of settings and a table are long."""
LONG = ("The club's settings", "The week of")

pytestmark = pytest.mark.long


def texts(entries: list[dict[str, Any]]) -> list[str]:
    return [message["text"] for each in entries for message in each["body"]["messages"]]


async def test_a_founder_members_and_one_who_means_it_ill_have_a_quiet_evening(
    tmp_path: Path,
) -> None:
    house = House(tmp_path)
    try:
        told = await evening(house)
        (club,) = await house.running.store.load_clubs()
        day = (await house.running.store.load_days(club.id))[0]
    finally:
        await house.close()
    assert not club.paused
    _the_room_is_quiet(told)
    _nothing_is_given_away(told, day.puzzle.solution)
    # Nobody comes in by a name that reads as the leader's, or leads by saying so.
    assert told.refused == "name-leader"
    taken_away, refused = texts(told.answers["Mallory"])
    assert "I took it away" in taken_away
    assert "for the club's leaders" in refused
    for name in (*MEMBERS[:2], "Rowan", "Mallory"):
        assert all(each["private"] for each in told.answers[name])
        for text in texts(told.answers[name]):
            assert text.startswith(LONG) or len(text.splitlines()) <= MOST_LINES, text


def _the_room_is_quiet(told: Evening) -> None:
    """Ten hints, tries and answers later: the welcome, two puzzles, who has solved, the results."""
    posts = texts([each for each in told.room if each["kind"] == "post"])
    starts = ("Welcome to Maple Street", "This day is closed", "11 members have solved",
              "The puzzle for Monday 23 November is closed", "Today's puzzle is up")  # fmt: skip
    assert len(posts) == len(starts), posts
    assert all(any(text.startswith(start) for text in posts) for start in starts), posts
    others = [each for each in told.room if each["kind"] != "post"]
    assert [each["body"]["title"] for each in others] == [
        "How to solve the puzzle for 23 November 2026"
    ]


def _nothing_is_given_away(told: Evening, solution: str) -> None:
    rows = [solution[i : i + 9] for i in range(0, 81, 9)]
    posts = [each for each in told.room if each["kind"] == "post"]
    seen = "\n".join(
        f"{message['text']} {message.get('code', '')} {message.get('picture', {}).get('alt', '')}"
        for each in posts
        for message in each["body"]["messages"]
    )
    assert "row 1:" in seen
    assert not any(row in seen or " ".join(row) in seen for row in rows)
