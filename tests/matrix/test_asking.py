"""A leader's question to the club, in Matrix: answered in private rooms, and shown at its time."""

from __future__ import annotations

from datetime import timedelta

import pytest

from tests.doubles.matrix.member import text_of
from tests.matrix.conftest import Bench


@pytest.mark.long
async def test_a_question_is_answered_rightly_nearly_wrongly_and_late(open_bench: Bench) -> None:
    bench = open_bench
    await bench.start()
    ada, ben, rowan = bench.ada, bench.ben, bench.rowan

    # Rowan puts a question, to be shown at the daily hour two days on.
    (put,) = await bench.ask(rowan, "club ask naked-triple until=tomorrow")
    assert "goes up" in text_of(put)
    await bench.tick()
    (post,) = await ada.until(
        lambda: [each for each in bench.posts(ada) if "Question 1" in text_of(each)]
    )
    assert "column 6" in text_of(post)
    assert "I show the find on" in text_of(post)

    # Ada answers nearly, then rightly, and wants to be named; the bot was restarted before.
    await bench.restart()
    (asked,) = await bench.press(ada, post, "My answer")
    assert "Example: see r" in text_of(asked)
    (nearly,) = await bench.ask(ada, "see r3c6 not 1")
    assert "right, and there is more" in text_of(nearly)
    (right,) = await bench.ask(ada, "see r3c6-1 r5c6-1 r4c6-124 r6c6-4")
    assert "on your second try" in text_of(right)
    (named,) = await bench.ask(ada, "see named")
    assert "I'll name you" in text_of(named)

    # Ben is wrong, and hears why.
    (wrong,) = await bench.ask(ben, "see 124 in r2c6 r7c6 r3c6")
    assert "can also be" in text_of(wrong)

    # At its time the find is shown by itself; what Ben sees after it is not counted.
    bench.ahead += timedelta(days=1, hours=1)
    await bench.tick()
    (told,) = await ben.until(
        lambda: [each for each in bench.posts(ben) if "members tried" in text_of(each)]
    )
    assert "Two members tried, and one saw it: Ada." in text_of(told)
    (late,) = await bench.ask(ben, "see naked triple col 6")
    assert "isn't counted" in text_of(late)
