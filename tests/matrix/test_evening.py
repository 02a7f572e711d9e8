"""A leader's lesson in Matrix: a desk in the private room, moved by reactions, and one event in a
thread that each move edits.
"""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from bot.platforms.matrix.layout import KEYCAPS
from tests.doubles.matrix.member import Member, message_of, text_of
from tests.matrix.conftest import Bench


def _opened(bench: Bench, member: Member) -> list[dict[str, Any]]:
    return [each for each in bench.posts(member) if "going through" in text_of(each)]


def _frames(bench: Bench, member: Member) -> list[dict[str, Any]]:
    """Return the events in the lesson's thread, and the edits of them."""
    (opened,) = _opened(bench, member)
    hung = bench.thread(member, opened["event_id"])
    ids = {each["event_id"] for each in hung}
    edits = [each for each in bench.from_bot(member, bench.room_id) if message_of(each) in ids]
    return [*hung, *(each for each in edits if each not in hung)]


async def _sees(bench: Bench, member: Member, words: str) -> dict[str, Any]:
    """Wait until the one message in the thread says something; return what it is now."""
    await bench.tick()
    await member.until(lambda: bool(_opened(bench, member)))
    shown = await member.until(
        lambda: [each for each in _frames(bench, member)[-1:] if words in text_of(each)]
    )
    assert len({message_of(each) for each in _frames(bench, member)}) == 1
    return dict(shown[0])


@pytest.mark.long
async def test_a_lesson_is_moved_by_reactions_and_back_to_what_it_said(open_bench: Bench) -> None:
    bench = open_bench
    await bench.start()
    await bench.tick()
    for _ in range(2):
        bench.ahead += timedelta(days=1)
        await bench.tick()
    ada, rowan = bench.ada, bench.rowan
    (desk,) = await bench.ask(rowan, "club lesson")
    assert "This is your desk" in text_of(desk)
    await _sees(bench, ada, "as it went up")
    first = ""
    while "puzzle turns" not in text_of(desk):
        (desk,) = await bench.press(rowan, desk, "Next")
        first = first or text_of(desk)
    begun = await _sees(bench, ada, "leave one place")
    await bench.restart()
    (desk,) = await bench.press(rowan, desk, "Ask")
    asked = await _sees(bench, ada, "what can you do here?")
    assert "puzzle turns" not in text_of(asked)
    await bench.react(ada, asked, KEYCAPS[0])
    (right,) = await bench.ask(ada, "see r1c7-6")
    assert "all of it" in text_of(right)
    (desk,) = await bench.press(rowan, desk, "Show")
    await _sees(bench, ada, "One of you tried it, and saw it.")
    # What was said before is said once more.
    (desk,) = await bench.press(rowan, desk, "Back")
    again = await _sees(bench, ada, "leave one place")
    assert text_of(again) == text_of(begun)
    assert again["event_id"] != begun["event_id"]
