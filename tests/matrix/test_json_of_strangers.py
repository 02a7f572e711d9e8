"""What strangers wrote parses, whatever is in it, and costs no more than it is long."""

from __future__ import annotations

import json

import pytest

from bot.platforms.matrix.inbound import UnreadableError, read_sync
from bot.platforms.matrix.json import as_json, parse_json


@pytest.mark.parametrize("depth", [99, 101, 990, 60_000])
def test_an_event_that_is_nested_deeply_takes_nothing_else_with_it(depth: int) -> None:
    deep = "[" * depth + "]" * depth
    found = parse_json(b'{"next_batch": "s1", "odd": %s, "s": "a \\"[[[" }' % deep.encode())
    assert (found["next_batch"], found["s"]) == ("s1", 'a "[[[')
    assert json.loads(as_json(found))["next_batch"] == "s1"


@pytest.mark.parametrize("number", ["9" * 5_000, "-" + "9" * 5_000, "1e999", "NaN", "-Infinity"])
def test_a_number_beyond_all_numbers_takes_nothing_else_with_it(number: str) -> None:
    found = parse_json(f'{{"next_batch": "s1", "odd": {number}}}'.encode())
    assert found["next_batch"] == "s1"


@pytest.mark.parametrize("raw", [b"", b"<html>", b"\xff\xfe", b'{"a": ', b"[" * 60_000, b"5"])
def test_what_is_no_json_is_nothing(raw: bytes) -> None:
    assert parse_json(raw) in ({}, 5)


def test_what_is_saved_of_an_event_can_be_saved() -> None:
    found = parse_json(b'{"body": "half \\ud83d, whole \\ud83d\\ude00", "raw": "\xff"}')
    assert as_json(found).decode() == '{"body": "half ?, whole \U0001f600", "raw": "\ufffd"}'


@pytest.mark.parametrize("token", [None, 5, "", "x" * 5_000, "\ud800", ["s1"]])
def test_an_answer_without_a_place_in_the_stream_is_none(token: object) -> None:
    with pytest.raises(UnreadableError):
        read_sync({"next_batch": token})
