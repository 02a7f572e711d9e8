"""Where the page may listen, and which names and texts are fit for it."""

from __future__ import annotations

import unicodedata

import pytest

from bot.platforms.web.guard import (
    NAME_LIMIT,
    NotLoopbackError,
    clean_name,
    clean_text,
    parse_loopback,
    user_id_of,
)


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
