"""A leader takes back a puzzle that went up too soon, in Matrix: its post says so, and its
reactions start nothing any more, and say so.
"""

from __future__ import annotations

from datetime import timedelta

from bot.platforms.matrix.layout import KEYCAPS
from tests.doubles.matrix.member import text_of
from tests.matrix.conftest import Bench


async def test_a_puzzle_that_went_up_too_soon_is_taken_back(open_bench: Bench) -> None:
    bench = open_bench
    await bench.start()
    await bench.tick()
    ada, rowan = bench.ada, bench.rowan
    await ada.until(lambda: bench.daily_posts(ada))
    # The next day, three hours before the puzzle's time.
    bench.ahead += timedelta(hours=20)
    (told,) = await bench.ask(rowan, "!club post-now")
    assert "goes up now" in text_of(told)
    await bench.tick()
    (early,) = await ada.until(lambda: bench.daily_posts(ada)[1:])
    (told,) = await bench.ask(rowan, "club withdraw")
    assert "has been taken back" in text_of(told)
    await bench.tick()
    await ada.until(
        lambda: any("took it back" in text_of(each) for each in bench.from_bot(ada, bench.room_id))
    )
    await ada.react(bench.room_id, early["event_id"], KEYCAPS[0])
    (answer,) = await ada.until(lambda: bench.from_bot(ada, bench.private_room(ada)))
    assert "had no puzzle on" in text_of(answer)
    assert "Your clock" not in text_of(answer)
    bench.ahead += timedelta(hours=5)
    await bench.tick()
    await ada.until(lambda: len(bench.daily_posts(ada)) > 2)
