"""A pasted table of candidates is read whole, and what is none is left to other readers."""

from __future__ import annotations

import pytest

from engine import layout_named, read_pasted_candidates
from engine.board.grid import format_grid
from engine.errors import RepeatedDigitError

SMALL = layout_named("4x4")
TABLE = "1 2 | 34 3\n34 34 | 1 2\n----+----\n2 134 | 34 1\n{34} 1 | 2 34"


def test_a_word_of_digits_is_a_cell() -> None:
    grid = read_pasted_candidates(TABLE, SMALL)
    assert grid is not None
    assert format_grid(grid) == "12.3..122..1.12."
    at = {name: grid.candidates_at(SMALL.parse_cell(name)) for name in ("r1c3", "r3c2", "r4c1")}
    assert at == {"r1c3": (4,), "r3c2": (3, 4), "r4c1": (3, 4)}  # 3 and 1 stand in row 1 and 3


NO_TABLES = (
    "1234 3412 2143 4321",  # a word a row
    "1 2 3 4 3 4 1 2 2 1 4 3 4 3 2 1",  # all filled: digits alone
    TABLE + " 12",
    TABLE[:-3],
    TABLE.replace("134", "133"),
    TABLE.replace("134", "135"),
    TABLE.replace("134", "1a4"),
    "",
    "1" * 4000,
)


@pytest.mark.parametrize("text", NO_TABLES)
def test_what_is_no_table_of_candidates_is_not_guessed_at(text: str) -> None:
    assert read_pasted_candidates(text, SMALL) is None


def test_a_digit_twice_in_a_house_is_an_error() -> None:
    with pytest.raises(RepeatedDigitError):
        read_pasted_candidates(TABLE.replace("34 3\n", "34 2\n"), SMALL)
