"""The answer key: which lines are marked, and how an answer is read."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.club.answer_key import (
    AnswerUnreadableError,
    Judgement,
    answer_of,
    answer_within,
    judge,
    line_names,
    marked_lines,
    read_answer,
)
from engine.board.grid import parse_grid
from engine.board.layout import MIDDLE, SMALL
from tests.bot.club.stories import CROOK, EASY, EASY_SOLUTION, SEVENTEEN_SOLUTION

LINES = ("row 3", "row 7")
# Rows 3 and 7 of the encyclopaedia example's solution, read by hand.
KEY = "198342567" + "961537284"


# Givens counted by hand: rows of the first have 3 4 3 3 4 3 3 4 3, columns 5 3 1 3 6 3 1 3 5;
# of the second row 5 has none, rows 2 and 9 two each, columns 1 and 2 one and two.
@pytest.mark.parametrize(
    ("givens", "lines"), [(EASY, ("column 3", "column 7")), (CROOK, ("row 2", "row 5"))]
)
def test_the_marked_lines_are_the_two_with_the_fewest_givens(
    givens: str, lines: tuple[str, str]
) -> None:
    assert line_names(givens) == lines


@given(st.lists(st.sampled_from(".1"), min_size=81, max_size=81))
def test_no_two_lines_of_a_kind_have_fewer_givens_and_ties_go_to_rows_then_low_numbers(
    marks: list[str],
) -> None:
    # Ones may stand anywhere here: only where givens are matters, so they are cells of a mask.
    text = "".join(marks)
    grid = parse_grid("." * 81)
    filled = sum(1 << cell for cell, mark in enumerate(text) if mark == "1")

    class Counted:
        layout = grid.layout
        filled_cells = filled

    first, second = marked_lines(Counted())  # type: ignore[arg-type]

    def rating(pair: tuple[int, ...]) -> tuple[int, bool, tuple[int, ...]]:
        houses = [grid.layout.houses[index] for index in pair]
        givens = sum((house.mask & filled).bit_count() for house in houses)
        return givens, houses[0].kind == "column", tuple(house.number for house in houses)

    pairs = [*combinations(range(9), 2), *combinations(range(9, 18), 2)]
    assert (first.index, second.index) == min(pairs, key=rating)


def test_smaller_grids_have_marked_lines_too() -> None:
    for layout in (SMALL, MIDDLE):
        first, second = marked_lines(parse_grid("." * layout.cell_count, layout=layout))
        assert (first.name, second.name) == ("row 1", "row 2")


@pytest.mark.parametrize(
    "typed", [KEY, "198342567 961537284", "198 342 567\n961 537 284", " 198342567, 961537284 "]
)
def test_an_answer_is_read_however_it_is_spaced(typed: str) -> None:
    digits = read_answer(typed, EASY_SOLUTION, LINES)
    assert digits == KEY == answer_of(EASY_SOLUTION, LINES)
    assert judge(digits, EASY_SOLUTION, LINES) is Judgement.RIGHT


def test_the_whole_grid_is_an_answer_too() -> None:
    lines = "\n".join(EASY_SOLUTION[start : start + 9] for start in range(0, 81, 9))
    assert judge(read_answer(lines, EASY_SOLUTION, LINES), EASY_SOLUTION, LINES) == "right"


def test_swapped_lines_are_told_apart_from_wrong_ones() -> None:
    swapped = KEY[9:] + KEY[:9]
    assert judge(swapped, EASY_SOLUTION, LINES) is Judgement.SWAPPED
    assert judge(KEY[:-2] + KEY[-1] + KEY[-2], EASY_SOLUTION, LINES) is Judgement.WRONG
    assert judge(KEY[:9] + KEY[:9], EASY_SOLUTION, LINES) is Judgement.WRONG


@pytest.mark.parametrize(
    ("typed", "problem", "text", "found"),
    [
        (KEY[:-1], "length", "", 17),
        (KEY + "1", "length", "", 19),
        (EASY_SOLUTION[:-1], "length", "", 80),
        ("", "length", "", 0),
        (KEY[:-1] + "x", "character", "x", 0),
        (KEY[:-1] + "0", "character", "0", 0),
        (KEY[:-1] + "²", "character", "²", 0),
        (KEY[:-1] + "٣", "character", "٣", 0),
    ],
)
def test_what_is_no_answer_says_what_is_wrong_with_it(
    typed: str, problem: str, text: str, found: int
) -> None:
    with pytest.raises(AnswerUnreadableError) as caught:
        read_answer(typed, EASY_SOLUTION, LINES)
    error = caught.value
    assert (error.problem, error.text, error.found) == (problem, text, found)


@pytest.mark.parametrize(
    ("said", "found"),
    [
        (f"I have {KEY}!", KEY),
        ("top line 198342567, the other 961537284 :)", KEY),
        (f"is it {KEY[9:]} {KEY[:9]}?", KEY[9:] + KEY[:9]),
        (EASY_SOLUTION, EASY_SOLUTION),
        ("123456789 123456789", "123456789123456789"),
        ("I have 123456789 123456789!", None),
        ("good morning", None),
        ("row 3 was hard, 20 minutes", None),
        ("", None),
    ],
)
def test_talk_is_an_answer_where_it_is_only_digits_or_gives_the_puzzle_away(
    said: str, found: str | None
) -> None:
    assert answer_within(said, EASY_SOLUTION, LINES) == found


def test_the_key_of_columns_is_read_downwards() -> None:
    # Columns 1 and 9 of the SWI-Prolog manual's puzzle, read by hand from its solution.
    key = "923167548" + "156472389"
    assert answer_of(SEVENTEEN_SOLUTION, ("column 1", "column 9")) == key
