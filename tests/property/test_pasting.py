"""Whatever dress a grid is pasted in, it is read as it was; what could be two grids is none."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.board.pasting import holds_grid, read_pasted
from engine.errors import GridLengthError

Rows = Sequence[str]
Dress = Callable[[Rows], str]

MARKS = "." * 9 + "123456789"
NAMES = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
BOX = ("┌───┬───┬───┐", "├───┼───┼───┤", "└───┴───┴───┘", "│")
DOUBLE = ("╔═══╦═══╦═══╗", "╠═══╬═══╬═══╣", "╚═══╩═══╩═══╝", "║")


@st.composite
def grids(draw: st.DrawFn) -> tuple[str, ...]:
    """Nine rows of any digits and blanks: reading judges nothing."""
    text = draw(st.text(MARKS, min_size=81, max_size=81))
    return tuple(text[start : start + 9] for start in range(0, 81, 9))


def numbers(rows: Rows, blank: object) -> list[list[object]]:
    return [[blank if mark == "." else int(mark) for mark in row] for row in rows]


def joined(mark: str, before: str = "", after: str = "") -> Dress:
    """Fields between marks, empty ones with nothing in them."""
    return lambda rows: "\n".join(before + mark.join(row).replace(".", "") + after for row in rows)


def framed(frame: Sequence[str]) -> Dress:
    top, ruler, bottom, bar = frame

    def draw(rows: Rows) -> str:
        lines = [bar + bar.join((row[:3], row[3:6], row[6:])) + bar for row in rows]
        bands = [*lines[:3], ruler, *lines[3:6], ruler, *lines[6:]]
        return "\n".join([top, *bands, bottom])

    return draw


def in_other_marks(table: dict[str, str]) -> Dress:
    return lambda rows: "\n".join(rows).translate({ord(old): new for old, new in table.items()})


def misread(dress: Dress, written: str, read: str) -> Dress:
    """A text that was written in one encoding and read in another."""

    def encode(rows: Rows) -> str:
        each = (bytes([byte]) for byte in dress(rows).encode(written))
        return "".join(byte.decode(read, errors="ignore") or chr(byte[0]) for byte in each)

    return encode


def spaced(dress: Dress) -> Dress:
    return lambda rows: dress([row.replace(".", " ") for row in rows])


DIGITS = "123456789"
DRESSES: dict[str, Dress] = {
    "one line": "".join,
    "rows": "\n".join,
    "crosses": in_other_marks({".": "x"}),
    "commas": lambda rows: ",".join("".join(rows)),
    "quotes": lambda rows: "\n".join(f'"{row}",' for row in rows),
    "curly quotes": lambda rows: "“" + "\n".join(rows) + "”",
    "code fence": lambda rows: "```text\n" + "\n".join(rows) + "\n```",
    "cited": lambda rows: "\n".join("> " + row for row in rows),
    "slashes": "/".join,
    "full width": in_other_marks(
        {each: chr(ord(each) + 0xFEE0) for each in DIGITS} | {".": "\uff0e"}
    ),
    "keycaps": in_other_marks({each: each + "\ufe0f\u20e3" for each in DIGITS} | {".": "⬜"}),
    "names of emoji": in_other_marks(
        {each: f":{NAMES[int(each)]}:" for each in DIGITS} | {".": ":white_large_square:"}
    ),
    "lists": lambda rows: json.dumps(numbers(rows, 0)),
    "lists, a value a line": lambda rows: json.dumps(numbers(rows, 0), indent=2),
    "lists with null": lambda rows: json.dumps(numbers(rows, None)),
    "lists with None": lambda rows: repr(numbers(rows, None)),
    "lists with empty texts": lambda rows: json.dumps(numbers(rows, "")),
    "a list of rows": lambda rows: json.dumps(list(rows)),
    "an object": lambda rows: json.dumps({"grid": numbers(rows, 0)}),
    "a list of rows with spaces": lambda rows: json.dumps(
        [row.replace(".", " ") for row in rows], indent=1
    ),
    "tabs": joined("\t"),
    "empty fields": joined(","),
    "a bar around": joined("|", "|", "|"),
    "labels, empty fields": lambda rows: "\n".join(
        f"{number}," + ",".join(row).replace(".", "") for number, row in enumerate(rows, start=1)
    ),
    "box drawing": framed(BOX),
    "double box drawing": framed(DOUBLE),
    "box drawing, spaces": spaced(framed(BOX)),
    "box drawing of old screens in Latin-1": misread(framed(BOX), "cp437", "latin-1"),
    "the same, double, spaces": misread(spaced(framed(DOUBLE)), "cp437", "latin-1"),
    "box drawing in UTF-8 as Latin-1": misread(framed(BOX), "utf-8", "latin-1"),
    "the same, double": misread(framed(DOUBLE), "utf-8", "latin-1"),
    "box drawing in UTF-8 as of Windows": misread(spaced(framed(BOX)), "utf-8", "cp1252"),
    "a byte order mark": lambda rows: "\ufeff" + "\n".join(rows),
    "a byte order mark as Latin-1": misread(
        lambda rows: "\ufeff" + "".join(rows), "utf-8", "latin-1"
    ),
    "UTF-16 as Latin-1": misread("\r\n".join, "utf-16", "latin-1"),
    "labels": lambda rows: "\n".join(f"row {n}: {row}" for n, row in enumerate(rows, start=1)),
}


EXAMPLES = 30
"""Grids for each dress."""


@pytest.mark.parametrize("dress", DRESSES)
@settings(max_examples=EXAMPLES)
@given(rows=grids())
def test_a_grid_in_any_dress_is_read_as_it_was(dress: str, rows: tuple[str, ...]) -> None:
    text = DRESSES[dress](rows)
    assert read_pasted(text).text == "".join(rows)
    assert holds_grid(text) == any(mark != "." for mark in "".join(rows))


@given(rows=grids(), mark=st.sampled_from("\t,;|"), sides=st.sampled_from(("before", "after")))
def test_a_mark_at_one_side_of_all_rows_is_left_out_or_the_table_refused(
    rows: tuple[str, ...], mark: str, sides: str
) -> None:
    dress = joined(mark, mark, "") if sides == "before" else joined(mark, "", mark)
    other = 8 if sides == "before" else 0
    if all(row[other] == "." for row in rows):
        with pytest.raises(GridLengthError):
            read_pasted(dress(rows))
    else:
        assert read_pasted(dress(rows)).text == "".join(rows)


@given(rows=grids(), trimmed=st.sampled_from(("text", "lines", "both")))
def test_a_table_that_lost_its_ends_is_read_as_it_was_or_refused(
    rows: tuple[str, ...], trimmed: str
) -> None:
    text = joined("\t")(rows)
    if trimmed != "text":
        text = "\n".join(line.rstrip() for line in text.splitlines())
    if trimmed != "lines":
        text = text.strip()
    try:
        assert read_pasted(text).text == "".join(rows)
    except GridLengthError:
        assert rows[0][0] == "." or rows[0][8] == "." or text.count("\n") < 8


@given(rows=grids(), row=st.integers(0, 8), is_longer=st.booleans(), other=st.integers(0, 8))
def test_a_row_of_another_length_is_named_though_another_makes_up_for_it(
    rows: tuple[str, ...], row: int, is_longer: bool, other: int
) -> None:
    lines = list(rows)
    lines[row] = lines[row] + "." if is_longer else lines[row][:-1]
    if other > row:
        lines[other] = lines[other][:-1] if is_longer else lines[other] + "."
    with pytest.raises(GridLengthError) as caught:
        read_pasted("\n".join(lines))
    assert (caught.value.row, caught.value.found) == (row + 1, 10 if is_longer else 8)
