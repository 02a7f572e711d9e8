"""Addresses, names, origins and rates: the pure part of who may reach the web room."""

from __future__ import annotations

import unicodedata

import pytest

from bot.platforms.web.guard import (
    BURST,
    NAME_LIMIT,
    Bucket,
    NotLoopbackError,
    clean_name,
    clean_text,
    is_own_origin,
    own_authorities,
    parse_loopback,
    user_id_of,
)
from tests.bot.platforms.conftest import HandClock


@pytest.mark.parametrize(
    ("host", "address"),
    [("127.0.0.1", "127.0.0.1"), ("127.0.0.9", "127.0.0.9"), ("::1", "::1"),
     ("localhost", "127.0.0.1")],
)  # fmt: skip
def test_a_loopback_address_is_taken(host: str, address: str) -> None:
    assert parse_loopback(host) == address


@pytest.mark.parametrize(
    "host",
    ["0.0.0.0", "::", "192.168.1.4", "10.0.0.1", "example.org", "", "127.0.0.1.example.org",
     "2130706433", "fe80::1"],
)  # fmt: skip
def test_any_other_address_is_refused(host: str) -> None:
    with pytest.raises(NotLoopbackError) as refused:
        parse_loopback(host)
    assert refused.value.host == host


OWN = own_authorities("127.0.0.1", 8080)


def test_the_room_answers_to_its_address_and_to_localhost() -> None:
    assert frozenset({"127.0.0.1:8080", "localhost:8080"}) == OWN
    assert own_authorities("::1", 8080) == {"[::1]:8080", "localhost:8080"}
    assert "localhost" in own_authorities("127.0.0.1", 80)


@pytest.mark.parametrize("origin", ["http://127.0.0.1:8080", "http://localhost:8080"])
def test_our_own_origin_is_known(origin: str) -> None:
    assert is_own_origin(origin, OWN)


@pytest.mark.parametrize(
    "origin",
    [None, "", "null", "http://127.0.0.1:8081", "https://127.0.0.1:8080", "http://example.org",
     "http://127.0.0.1:8080.example.org", "file://", "http://127.0.0.1"],
)  # fmt: skip
def test_another_origin_is_not_ours(origin: str | None) -> None:
    assert not is_own_origin(origin, OWN)


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("  Ada   Byrne ", "Ada Byrne"),
        ("Ada\u202e\u200b\x00\n\tByrne", "Ada Byrne"),
        ("Zoë", "Zoë"),
        ("\uff22\uff4f", "Bo"),
        ("नमिता", "नमिता"),
        ("A" + "\u0301" * 30, "Á" + "\u0301" * 2),
        ("A" + "\u0301\u0323" * 30, "\u1ea0" + "\u0323" * 2 + "\u0301" * 2),
        ("A" + "\u0301\u200b" * 30, "Á" + "\u0301" * 2),
        ("<b>Bo</b>", "<b>Bo</b>"),
        ("x" * 100, "x" * NAME_LIMIT),
        ("\u202e\u200b", ""),
        ("...", ""),
    ],
)
def test_a_name_is_one_readable_line(typed: str, shown: str) -> None:
    assert clean_name(typed) == shown


@pytest.mark.parametrize(
    "name",
    [
        "ခင်မျိုးချစ်", "မိုးမြင့်", "မြွှေး",  # Burmese: up to five to a letter
        "སྒྲོལ་མ", "བསྐྱོད",  # Tibetan: letters below letters
        "שִׁשָּׁה", "نَبِيُّ", "श्रीमतीं", "ស្រីមុំ", "น้ำผึ้ง", "Nguyễn", "Ọ̀ṣun",
    ],
)  # fmt: skip
def test_a_name_keeps_every_mark_of_its_script(name: str) -> None:
    assert clean_name(name) == unicodedata.normalize("NFKC", name)


def test_the_same_name_is_the_same_member_whatever_its_case() -> None:
    assert user_id_of(" ADA  byrne") == user_id_of("Ada Byrne") == "ada byrne"


def test_cleaning_a_name_twice_changes_nothing_more() -> None:
    for name in ("A" + "\u0301" * 30, "  ﬁ  ", "x" * 31 + " y"):
        assert clean_name(clean_name(name)) == clean_name(name)


def test_text_keeps_its_lines_and_loses_control_characters() -> None:
    assert clean_text("53..7\r\n6..19\x00\x1b[31m\ta") == "53..7\n6..19[31m\ta"


def test_a_burst_is_let_through_and_then_one_every_half_second() -> None:
    clock = HandClock()
    bucket = Bucket(clock.now)
    assert [bucket.take() for _ in range(BURST + 1)] == [True] * BURST + [False]
    clock.wind(0.5)
    assert [bucket.take(), bucket.take()] == [True, False]
    clock.wind(3600)
    assert [bucket.take() for _ in range(BURST + 1)] == [True] * BURST + [False]


def test_a_clock_set_back_does_not_lock_a_tab_out() -> None:
    clock = HandClock()
    bucket = Bucket(clock.now)
    bucket.take()
    clock.wind(-3600)
    assert bucket.take()
    for _ in range(BURST):
        bucket.take()
    clock.wind(0.5)
    assert bucket.take()
