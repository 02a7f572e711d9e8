"""The family of replies: its front door is complete, and each is known by its name."""

from __future__ import annotations

import pytest

from bot.club import replies
from bot.club.replies import AnswerUnfinished, decode_reply, encode_reply, reply_kinds


def test_the_front_door_lists_every_reply() -> None:
    kinds = {
        kind.__name__ for kind in reply_kinds() if kind.__module__.startswith(replies.__name__)
    }
    assert set(replies.__all__) == kinds | {"Reply", "decode_reply", "encode_reply", "reply_kinds"}
    assert len(replies.__all__) == len(set(replies.__all__))


def test_every_reply_has_a_name_of_its_own_in_what_is_stored() -> None:
    tags = [kind.__struct_config__.tag for kind in reply_kinds()]
    assert len(set(tags)) == len(tags)


def test_a_reply_comes_back_as_it_was_stored() -> None:
    reply = AnswerUnfinished(open_cells=3, lines=("row 1", "row 2"))
    assert decode_reply(encode_reply(reply)) == reply
    with pytest.raises(KeyError):
        decode_reply(b'{"type": "Unheard"}')
