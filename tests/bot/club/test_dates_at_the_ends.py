"""Dates that a calendar has and no club's week does: they are refused like any that cannot be."""

from __future__ import annotations

import pytest

from bot.club.problems import Problem
from bot.club.replies import InputRefused
from tests.bot.club.stories import crook_puzzle, open_story


@pytest.mark.parametrize(
    ("line", "problem"),
    [
        ("club sheet 9999-12-31", Problem.DATE),
        ("club sheet 0001-01-01", Problem.DATE),
        ("club ask naked-triple on=9999-12-31", Problem.UNTIL),
        ("club ask naked-triple until=9999-12-31 23:59", Problem.UNTIL),
        ("club plan from=9999-12-31 theme=naked-triple lessons=yes", Problem.DATE),
    ],
)
async def test_a_date_with_no_room_around_it_is_refused(line: str, problem: Problem) -> None:
    story = await open_story(crook_puzzle())
    refused = await story.hears(InputRefused, line, leads=True)
    assert refused.problem is problem
