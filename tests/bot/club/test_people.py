"""Whom a reply names is found again: by the fields that are known to hold names."""

from __future__ import annotations

from collections.abc import Iterator

import msgspec

from bot.club.people import NAMES, WORDS, people_in
from bot.club.replies import MemberSolved
from tests.bot.wording.samples import DAY, SAMPLES

MEMBERS = {"Fern", "Hazel", "Ivy", "Linden", "Moss", "Robin", "Rowan", "Sorrel", "Wren"}
"""The people of the samples of replies."""


def fields_with(value: object, names: set[str], field: str = "") -> Iterator[str]:
    if isinstance(value, dict):
        for key, each in value.items():
            yield from fields_with(each, names, key)
    elif isinstance(value, list | tuple):
        for each in value:
            yield from fields_with(each, names, field)
    elif isinstance(value, str) and value in names:
        yield field


def test_every_field_that_holds_somebodys_name_is_known_as_one() -> None:
    found = {
        field for reply in SAMPLES for field in fields_with(msgspec.to_builtins(reply), MEMBERS)
    }
    assert found <= NAMES | WORDS, found - NAMES - WORDS
    assert found >= NAMES, NAMES - found


def test_the_people_of_a_reply_are_named_once_each_and_nobody_who_is_gone() -> None:
    def solved(name: str) -> MemberSolved:
        return MemberSolved(date=DAY, name=name, rank=1, adjusted=9, hints=0, is_late=False)

    assert people_in(solved("Hazel")) == ("Hazel",)
    assert people_in(solved("")) == ()
    assert {name for reply in SAMPLES for name in people_in(reply)} >= MEMBERS
