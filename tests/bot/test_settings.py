"""The config file: what is read, and what is said of what is wrong in it."""

from __future__ import annotations

from pathlib import Path

import pytest

from bot.settings import ConfigError
from bot.wiring.platforms import read_settings
from bot.wording import terminal

CLUB = '[[club]]\nplatform = "web"\nroom = "main"\nname = "Hedgerow Sudoku Club"\n'

MATRIX_CLUB = """
[matrix]
homeserver = "https://matrix.example.org"
user = "@ninebark:example.org"
[[club]]
platform = "matrix"
room = "{}"
name = "Orchard Road"
"""


def write(folder: Path, text: str) -> Path:
    path = folder / "config.toml"
    path.write_text(text, encoding="utf-8")
    return path


def complaint(folder: Path, text: str) -> str:
    with pytest.raises(ConfigError) as caught:
        read_settings(write(folder, text))
    return terminal.config_error(caught.value)


def test_the_data_folder_is_relative_to_the_config(tmp_path: Path) -> None:
    assert read_settings(write(tmp_path, 'data = "here"\n' + CLUB)).folder == tmp_path / "here"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("dtaa = 1\n" + CLUB, ("`dtaa`", "at the top of config.toml", "`data`", 'data = "data"')),
        (CLUB + 'post_tme = "18:00"\n', ("`post_tme`", "[[club]]", "`post_time`", "18:00")),
        (CLUB + 'post_time = "18 pm"\n', ("`post_time = '18 pm'`", 'post_time = "18:00"')),
        (CLUB + 'zone = "Mars/Base"\n', ("zone", 'zone = "Europe/London"')),
        (CLUB + "levels = [1, 2]\n", ("levels", "levels = [1, 1, 2, 2, 3, 3, 2]")),
        (CLUB + 'theme = "guessing"\n', ("theme", 'theme = "naked-triple"')),
        (
            CLUB + 'uniqueness = false\ntheme = "unique-rectangle"\n',
            ("`theme = 'unique-rectangle'`", "uniqueness = true"),
        ),
        (CLUB + 'theme = "last-three"\n', ("No puzzle needs last three", 'theme = "naked-triple"')),
        (CLUB + "sealed = 1\n", ("sealed", "sealed = false")),
        (CLUB + "[club.penalties]\nrungs = [1]\n", ("rungs", "[club.penalties]", "15, 30")),
        (CLUB + "[club.penalties]\nwrnog = 1\n", ("`wrnog`", "`wrong`")),
        ("[web]\nport = 99999\n" + CLUB, ("port", "[web]", "port = 8317")),
        ('[web]\nhost = "0.0.0.0"\n' + CLUB, ("host", 'host = "127.0.0.1"')),
        ('[web]\naddress = "club.example.org"\n' + CLUB, ('address = "https://club.example.org"',)),
        (MATRIX_CLUB.format("#orchard:example.org"), ("room", 'room = "!abcdefgh:example.org"')),
        (CLUB + CLUB, ("share the room", "web main")),
        ('[[club]]\nplatform = "web"\nroom = "main"\n', ("`name` is missing", "Hedgerow")),
        ("", ("names no club", "[[club]]")),
        ("[[club", ("cannot be read as TOML",)),
    ],
)
def test_a_wrong_config_is_told_with_an_example_that_works(
    tmp_path: Path, text: str, expected: tuple[str, ...]
) -> None:
    said = complaint(tmp_path, text)
    for part in expected:
        assert part in said


def test_a_room_in_matrix_is_named_by_its_id(tmp_path: Path) -> None:
    text = MATRIX_CLUB.format("!abcdefgh:example.org")
    (club,) = read_settings(write(tmp_path, text)).clubs
    assert club.room == "!abcdefgh:example.org"


def test_a_config_that_is_not_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(ConfigError) as caught:
        read_settings(tmp_path / "config.toml")
    assert "config.example.toml" in terminal.config_error(caught.value)


def test_an_address_has_the_page_served_for_clubs_elsewhere(tmp_path: Path) -> None:
    club = MATRIX_CLUB.format("!abcdefgh:example.org")
    for table, served in (
        ("", {"matrix"}),
        ("[web]\nport = 8400\n", {"matrix"}),
        ('[web]\naddress = "https://club.example.org"\n', {"matrix", "web"}),
    ):
        assert set(read_settings(write(tmp_path, table + club)).platforms) == served


def test_an_address_alone_is_no_club(tmp_path: Path) -> None:
    table = '[web]\naddress = "https://club.example.org"\n'
    assert "names no club" in complaint(tmp_path, table)
