"""Whatever the reply to digits said in the open room, it says what became of them there."""

from __future__ import annotations

import msgspec
import pytest

from bot.club.replies import BoardShown, InputRefused, Reply
from bot.wording import phrase
from tests.bot.wording.samples import SAMPLES

PUBLIC = [sample for sample in SAMPLES if hasattr(sample, "was_public")]


@pytest.mark.parametrize("reply", PUBLIC, ids=lambda reply: type(reply).__name__)
def test_digits_said_in_the_open_are_spoken_of(reply: Reply) -> None:
    private = msgspec.structs.replace(reply, was_public=False, was_removed=False)
    removed = msgspec.structs.replace(reply, was_public=True, was_removed=True)
    still_there = msgspec.structs.replace(reply, was_public=True, was_removed=False)
    assert "open room" not in phrase(private).text
    assert "took it away" in phrase(removed).text
    assert "delete it yourself" in phrase(still_there).text


def test_boards_and_refused_answers_are_among_them() -> None:
    kinds = {type(sample) for sample in PUBLIC}
    assert {BoardShown, InputRefused} <= kinds
