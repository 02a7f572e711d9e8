"""A leader plans the week, looks ahead, swaps, and queues a puzzle of their own, in Matrix."""

from __future__ import annotations

import re
from datetime import timedelta
from random import Random
from typing import Any

import pytest

from engine.board.grid import format_grid, parse_grid
from engine.making.puzzles import shuffle_puzzle
from tests.bot.club.stories import CROOK
from tests.bot.paper import read_pages
from tests.doubles.matrix.member import message_of, text_of
from tests.matrix.conftest import PNG, Bench

# Herzberg & Murty, Notices AMS 54(6), 2007: exactly two solutions, which differ in four cells.
TWO_SOLUTIONS = "9.6.7.4.3...4..2...7..23.1.5.....1...4.2.8.6...3.....5.3.7...5...7..5...4.5.1.7.8"

# With one of the four cells given it has one.
MENDED = f"{TWO_SOLUTIONS[:49]}4{TWO_SOLUTIONS[50:]}"


def rows_of(text: str) -> list[str]:
    """Return what the picture's words tell of each row; of several pictures, the first's."""
    found = (re.search(r"row [1-9]: .*", line) for line in text.splitlines())
    return [row[0] for row in found if row][:9]


def pictures_after(bench: Bench, told: dict[str, Any]) -> list[dict[str, Any]]:
    """Return the pictures that came to the leader after a message."""
    heard = bench.from_bot(bench.rowan, bench.private_room(bench.rowan))
    place = [event["event_id"] for event in heard].index(told["event_id"])
    return [event for event in heard[place + 1 :] if event["content"]["msgtype"] == "m.image"]


async def tell(bench: Bench, line: str, words: str) -> None:
    """Have the leader send a line, and wait for an answer with the words."""
    rowan, private = bench.rowan, bench.private_room(bench.rowan)
    assert private is not None
    assert not any(words in text for text in rowan.texts(private))
    await rowan.say(private, line)
    await rowan.until(lambda: any(words in text for text in rowan.texts(private)))


@pytest.mark.long
async def test_a_leader_plans_looks_ahead_swaps_and_queues(open_bench: Bench) -> None:
    bench = open_bench
    await bench.start()
    await bench.tick()
    ada, rowan = bench.ada, bench.rowan
    (refused,) = await bench.ask(ada, "club plan")
    assert "for the club's leaders" in text_of(refused)
    (page,) = await bench.ask(rowan, "club plan week level=3 theme=naked-pair rising")
    assert "Monday to Sunday: level 3, naked pair" in text_of(page)
    _, *days = await bench.press(rowan, page, "See the coming days", messages=8)
    assert len(days) == 7
    assert (await bench.picture(rowan, days[-1])).startswith(PNG)
    # Two wait in the queue; what the plan picks can be swapped.
    assert ["from your queue" in text_of(day) for day in days[:3]] == [True, True, False]
    await bench.restart()
    shown = rows_of(await bench.below(rowan, days[2]))
    (swapped,) = await bench.press(rowan, days[2], "Swap it")
    assert message_of(swapped) == message_of(days[2])
    private, root = bench.private_room(rowan), message_of(swapped)
    await rowan.until(lambda: len(bench.thread(rowan, root, private)) == 2)
    other = rows_of(await bench.below(rowan, swapped))
    assert len(other) == 9
    assert other != shown
    told, *_ = await bench.press(rowan, swapped, "Where it turns")
    assert "Only you see this" in text_of(told)
    await rowan.until(lambda: pictures_after(bench, told))

    third = (bench.now() + timedelta(days=3)).date()
    line = f"walkthrough {third} theme=naked pairs"
    await tell(bench, line, "It goes by naked pair wherever that leads on.")

    await tell(bench, "club sheet next per-page=6", "Here's the sheet")
    (sheet,) = await rowan.until(
        lambda: [
            each
            for each in bench.from_bot(rowan, private)
            if each["content"]["msgtype"] == "m.file"
        ]
    )
    assert sheet["content"]["info"]["mimetype"] == "application/pdf"
    assert "level" in read_pages(await bench.picture(rowan, sheet))[0].words

    later = (bench.now() + timedelta(days=20)).date()
    await tell(bench, f"club queue {TWO_SOLUTIONS}", "more than one solution")
    await tell(bench, f"club queue {MENDED} {later} credit=Rowan", "Credit: Rowan")
    disguised = format_grid(shuffle_puzzle(Random(1), parse_grid(CROOK)))
    await tell(bench, f"club queue {disguised}", "is already waiting in the queue in disguise")

    for _ in range(3):
        bench.ahead += timedelta(days=1)
        await bench.tick()
    (*_, post) = await ada.until(lambda: bench.daily_posts(ada)[3:])
    (below, *_) = await ada.until(lambda: bench.thread(ada, post["event_id"]))
    assert rows_of(text_of(below)) == other
    assert len(bench.from_bot(ada, bench.private_room(ada))) == 1, "a member is told nothing of it"
