"""A day's thread in Matrix: who has solved the puzzle, one by one and without a sound."""

from __future__ import annotations

from typing import Any

import pytest

from tests.bot.club.stories import EASY_SOLUTION
from tests.doubles.matrix.member import text_of
from tests.matrix.conftest import Bench


@pytest.mark.long
async def test_a_line_on_a_solver_hangs_under_the_post_as_a_notice(open_bench: Bench) -> None:
    bench = open_bench
    await bench.start()
    await bench.tick()
    ada, rowan = bench.ada, bench.rowan
    await bench.ask(rowan, "club setup solved-lines=thread")
    await bench.ask(ada, "start")
    await bench.ask(ada, f"hand-in {EASY_SOLUTION}")
    await bench.tick()
    (post,) = [each for each in bench.posts(rowan) if each["content"]["msgtype"] == "m.image"]

    def lines() -> list[dict[str, Any]]:
        """Return what says so below the post, besides the puzzle row by row."""
        below = bench.thread(rowan, post["event_id"])
        return [each for each in below if "solved" in text_of(each)]

    (line,) = await rowan.until(lines)
    assert "solved today's puzzle" in text_of(line)
    assert line["content"]["msgtype"] == "m.notice"
    assert not [each for each in bench.posts(rowan) if "solved" in text_of(each)]
