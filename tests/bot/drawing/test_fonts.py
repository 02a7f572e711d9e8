"""Names from anywhere can be shown, and the shipped letters come with their licence."""

from __future__ import annotations

from datetime import date

import pytest
from PIL import Image

from bot import assets
from bot.club.facts import Table, TablePicture, TableRow
from bot.drawing import draw
from bot.drawing.fonts import ELLIPSIS, MISSING, Face, fitted, showable, width_of
from bot.drawing.shapes import digit_shape, text_shape
from bot.wording import labels


@pytest.mark.parametrize(
    "name",
    ["Rosalind", "Tove Østergård", "Łukasz Żółć", "İpek Şahin", "Zoë", "Dvořák", "Țepeș", "ß"],
)
def test_european_names_are_shown_whole(name: str) -> None:
    assert showable(name) == name


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("王小明", MISSING * 3),
        ("שרה", MISSING * 3),
        ("Zoë 🦊", f"Zoë {MISSING}"),
        ("a\u202eb\u200dc", "abc"),
        ("two\nlines\tand  spaces", "two lines and spaces"),
        ("e\u0301", "é"),
        ("\x00\ud800", ""),
    ],
)
def test_what_the_font_lacks_becomes_a_visible_box(name: str, shown: str) -> None:
    assert showable(name) == shown


def test_the_box_for_a_missing_letter_can_be_seen() -> None:
    shape = text_shape(MISSING, Face.MEDIUM, 24)
    assert sum(covered > 127 for covered in shape.tobytes()) > 20


def test_a_long_name_ends_in_an_ellipsis_and_keeps_to_its_column() -> None:
    name = fitted("Anna-Lena Überschmidt-Kowalczyk", Face.MEDIUM, 24, 180)
    assert name.endswith(ELLIPSIS)
    assert name.startswith("Anna")
    assert width_of(name, Face.MEDIUM, 24) <= 180
    assert fitted("Bjarte", Face.MEDIUM, 24, 180) == "Bjarte"


@pytest.mark.parametrize("name", ["", "\u200b", "W" * 5000, "🦊" * 300, "\u0301", "\ud83d"])
def test_no_name_stops_a_table(name: str) -> None:
    row = TableRow(1, name, 7, 359_999_999, 0, 3)
    table = Table(name, "week", date(2026, 11, 16), date(2026, 11, 22), (row,), (name,) * 30)
    assert draw(TablePicture(table), "light")


def test_no_two_digits_look_alike() -> None:
    # Every two digits differ in at least an eighth of the pixels that either covers, even small.
    for face in Face:
        shapes = {digit: digit_shape(str(digit), face, 18, 18) for digit in range(1, 10)}
        for one in range(1, 10):
            for other in range(one + 1, 10):
                assert _unlike(shapes[one], shapes[other]) >= 0.125, (face, one, other)


def _unlike(one: Image.Image, other: Image.Image) -> float:
    pixels = [
        (left > 127, right > 127)
        for left, right in zip(one.tobytes(), other.tobytes(), strict=True)
    ]
    return sum(left != right for left, right in pixels) / sum(
        left or right for left, right in pixels
    )


def test_the_letters_come_with_their_open_licence() -> None:
    licence = assets.path("fonts", "OFL.txt").read_text(encoding="utf-8")
    assert "SIL OPEN FONT LICENSE Version 1.1" in licence
    assert "with Reserved Font Name" not in licence
    told = assets.path("fonts", "README.txt").read_text(encoding="utf-8")
    for face in Face:
        file = assets.path("fonts", f"atkinson-hyperlegible-next-{face.value}.ttf")
        assert file.name in told


@pytest.mark.parametrize(
    ("seconds", "text"),
    [(0, "0:00"), (247, "4:07"), (3753, "1:02:33"), (359_999, "99:59:59"), (443_040, "123 h 04")],
)
def test_a_time_is_written_shortly(seconds: int, text: str) -> None:
    assert labels.format_seconds(seconds) == text


@pytest.mark.parametrize(
    ("period", "first", "last", "text"),
    [
        ("week", date(2026, 11, 16), date(2026, 11, 22), "Week 47 · 16 to 22 November 2026"),
        # ISO 8601: 2026-12-31 is 2026-W53-4.
        (
            "week",
            date(2026, 12, 28),
            date(2027, 1, 3),
            "Week 53 · 28 December 2026 to 3 January 2027",
        ),
        ("month", date(2026, 11, 1), date(2026, 11, 30), "November 2026"),
        ("day", date(2026, 11, 24), date(2026, 11, 24), "Tuesday 24 November 2026"),
        ("all", None, None, "All time"),
    ],
)
def test_a_table_says_which_days_it_counts(
    period: str, first: date | None, last: date | None, text: str
) -> None:
    assert labels.format_period(Table("Club", period, first, last, ())) == text
