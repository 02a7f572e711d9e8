"""Practice in Matrix: a position in the member's private room, missed, helped with and shown."""

from __future__ import annotations

import pytest

from tests.doubles.matrix.member import text_of
from tests.matrix.conftest import Bench


@pytest.mark.long
async def test_a_position_is_missed_helped_with_shown_and_followed_by_another(
    open_bench: Bench,
) -> None:
    bench = open_bench
    await bench.start()
    ada = bench.ada
    told = await bench.ask(ada, "practice naked-pair")
    assert any("Is there a naked pair here?" in text_of(each) for each in told)
    missed = await bench.ask(ada, "see none")
    assert any("There is a naked pair here" in text_of(each) for each in missed)
    helped = await bench.ask(ada, "practice hint")
    assert any("Have a good look at" in text_of(each) for each in helped)
    over = await bench.ask(ada, "practice show")
    assert any("I'll show you a naked pair again soon." in text_of(each) for each in over)
    following = await bench.ask(ada, "practice next")
    assert any("Is there" in text_of(each) for each in following)
