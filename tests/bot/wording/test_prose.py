"""Small pieces of English, and names from outside made safe to print."""

from __future__ import annotations

import unicodedata
from datetime import UTC, date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot import wording
from bot.club.facts import Position, Table, TablePicture, TableRow
from bot.club.replies import MemberSolved, TableShown
from bot.wording.prose import clean_name, count_of, join_words, opening_name, quote
from bot.wording.spoken import draw_givens, speak_rows
from bot.wording.tables import table_title
from bot.wording.times import (
    format_date,
    format_full_date,
    format_length,
    format_moment,
    tell_minutes,
)
from engine.board.pasting import read_pasted
from tests.bot.wording.samples import DAY, GIVENS


@pytest.mark.parametrize(
    ("count", "told"),
    [
        (1, "about 1 minute"),
        (25, "about 25 minutes"),
        (60, "about 60 minutes"),
        (61, "more than an hour"),
        (840, "more than an hour"),
    ],
)
def test_of_an_estimate_beyond_an_hour_no_number_is_told(count: int, told: str) -> None:
    assert tell_minutes(count) == told


@pytest.mark.parametrize(
    ("items", "expected"),
    [([], ""), (["a"], "a"), (["a", "b"], "a and b"), (["a", "b", "c"], "a, b and c")],
)
def test_words_are_joined_as_one_says_them(items: list[str], expected: str) -> None:
    assert join_words(items) == expected


def test_counts_agree_with_their_words() -> None:
    assert [count_of(n, "hint") for n in (0, 1, 2)] == ["0 hints", "1 hint", "2 hints"]
    assert count_of(2, "wrong try", "wrong tries") == "2 wrong tries"


@pytest.mark.parametrize(
    ("seconds", "expected"),
    [
        (0, "0 s"),
        (45, "45 s"),
        (60, "1 min"),
        (725, "12 min 5 s"),
        (3600, "1 h"),
        (3725, "1 h 2 min 5 s"),
        (90000, "25 h"),
        (-5, "0 s"),
    ],
)
def test_a_length_of_time_is_short(seconds: int, expected: str) -> None:
    assert format_length(seconds) == expected


def test_dates_are_written_out() -> None:
    assert format_date(DAY) == "Tuesday 24 November"
    assert format_full_date(date(2027, 1, 4)) == "4 January 2027"


def test_a_moment_is_told_in_the_club_s_zone() -> None:
    """Europe/London went back to standard time on 2026-10-25 (IANA)."""
    summer = datetime(2026, 10, 24, 17, 0, tzinfo=UTC)
    winter = datetime(2026, 10, 25, 18, 0, tzinfo=UTC)
    assert format_moment(summer, "Europe/London") == ("Saturday 24 October, 18:00 (London time)")
    assert format_moment(winter, "Europe/London") == "Sunday 25 October, 18:00 (London time)"
    assert format_moment(winter, "Etc/UTC").endswith("(UTC)")


@pytest.mark.parametrize(
    ("period", "first", "last", "expected"),
    [
        ("week", date(2026, 11, 23), date(2026, 11, 29), "The week of 23 to 29 November 2026"),
        ("week", date(2026, 12, 28), date(2027, 1, 3), "The week of 28 December to 3 January 2027"),
        ("month", date(2026, 11, 1), date(2026, 11, 30), "The table for November 2026"),
        ("all", None, None, "The all-time table"),
        ("day", DAY, DAY, "The results of Tuesday 24 November"),
    ],
)
def test_a_table_says_what_it_covers(
    period: str, first: date | None, last: date | None, expected: str
) -> None:
    assert table_title(Table("Club", period, first, last, ())) == expected


def test_a_name_that_is_gone_begins_a_sentence_with_a_capital_and_any_other_as_it_is() -> None:
    assert opening_name("") == "A former member"
    assert opening_name("\u200f") == "Someone"
    assert opening_name("hazel of the hill") == "hazel of the hill"


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("Hazel", "Hazel"),
        ("  Hazel \n Wood ", "Hazel Wood"),
        ("\u202eleztaH", "leztaH"),
        ("Ha\u0000z\u0007el", "Hazel"),
        ("\u2066\u2069\u200f", "someone"),
        ("", "a former member"),
        ("x" * 40, "x" * 31 + "…"),
        ("<b>@everyone</b>", "<b>@everyone</b>"),
        ("Zoë", "Zoë"),
        ("e" + "\u0301" * 50, "\u00e9" + "\u0301" * 3),
    ],
)
def test_a_name_is_made_safe_and_kept_as_it_is_otherwise(name: str, expected: str) -> None:
    assert clean_name(name) == expected


@given(st.text(max_size=200))
def test_no_name_brings_a_line_a_direction_or_a_control_with_it(name: str) -> None:
    cleaned = clean_name(name)
    visible = [mark for mark in cleaned if unicodedata.category(mark)[0] not in "MC"]
    assert 1 <= len(visible) <= 32
    for mark in cleaned:
        assert unicodedata.category(mark)[0] != "C" or mark in "\u200c\u200d"
        assert unicodedata.category(mark) not in ("Zl", "Zp")


def test_a_hostile_name_stays_on_its_line_in_the_table_and_in_the_room() -> None:
    name = "Eve\n1. Mallory: 99 solved\u202e"
    table = Table("Club", "week", DAY, DAY, (TableRow(1, name, 1, 60, 60, 0),))
    shown = wording.phrase(TableShown(table=table, picture=TablePicture(table))).text
    assert len([line for line in shown.splitlines() if line.startswith("1. ")]) == 1
    solved = MemberSolved(date=DAY, name=name, rank=1, adjusted=60, hints=0, is_late=False)
    assert "\n" not in wording.phrase(solved).text
    assert "\u202e" not in wording.phrase(solved).text


def test_what_somebody_typed_is_quoted_shortened_and_on_one_line() -> None:
    assert quote("plaec\nr4c5 7") == "“plaec r4c5 7”"
    assert len(quote("x" * 500)) == 42


def test_a_grid_is_read_for_the_ear() -> None:
    lines = speak_rows(Position(GIVENS).as_written()).splitlines()
    assert lines[0] == "row 1: 5 3 blank blank 7 blank blank blank blank"
    assert len(lines) == 9


def test_a_puzzle_as_text_can_be_pasted_back() -> None:
    assert read_pasted(draw_givens(GIVENS)).text == GIVENS
