"""Where a member stands: the position from board and knowledge, and the mistakes in it."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from bot.club.facts import StepFacts, facts_of_step
from bot.club.position import (
    Mistake,
    find_mistakes,
    grid_of,
    region_of,
    shown_position,
    with_known,
)
from bot.club.state import Board, Known
from engine.board.grid import parse_grid
from engine.board.layout import CLASSIC
from engine.solving.hints import find_hint
from engine.solving.narrowing import Narrowing
from tests.bot.club.stories import CROOK, CROOK_AFTER_SINGLES, EASY, EASY_SOLUTION


def written(text: str, cell: int, mark: str) -> str:
    return text[:cell] + mark + text[cell + 1 :]


def test_a_board_without_mistakes_has_none() -> None:
    assert find_mistakes(Board(EASY), EASY_SOLUTION) == ()
    assert find_mistakes(Board(EASY_SOLUTION), EASY_SOLUTION) == ()


@given(st.integers(0, 80), st.integers(1, 9))
def test_every_wrong_digit_is_a_mistake_and_no_right_one(cell: int, digit: int) -> None:
    board = Board(written(EASY_SOLUTION, cell, str(digit)))
    expected: tuple[Mistake, ...] = ()
    if digit != int(EASY_SOLUTION[cell]):
        expected = (Mistake("digit", CLASSIC.format_cell(cell)),)
    assert find_mistakes(board, EASY_SOLUTION) == expected


def test_striking_the_right_digit_is_a_mistake_until_the_cell_is_filled() -> None:
    # r1c3 is 4 in the published solution.
    board = Board(EASY, (("r1c3", 4), ("r1c3", 1)))
    assert find_mistakes(board, EASY_SOLUTION) == (Mistake("ruled-out", "r1c3"),)
    assert find_mistakes(Board(EASY_SOLUTION, board.ruled_out), EASY_SOLUTION) == ()


def test_wrong_digits_come_before_wrong_strikes() -> None:
    board = Board(written(EASY, CLASSIC.parse_cell("r9c3"), "1"), (("r1c3", 4),))
    kinds = [mistake.kind for mistake in find_mistakes(board, EASY_SOLUTION)]
    assert kinds == ["digit", "ruled-out"]


def test_the_region_of_a_mistake_is_its_box() -> None:
    assert region_of("r4c9", EASY) == "box 6"


def crooks_pair() -> StepFacts:
    """The naked pair of Crook 2009, p. 463: 2 and 8 in column 3."""
    column = CLASSIC.parse_house("column 3")
    step = find_hint(parse_grid(CROOK_AFTER_SINGLES), Narrowing(house=column))
    assert step is not None
    return facts_of_step(CLASSIC, step)


def test_what_is_known_counts_on_the_position() -> None:
    pair = crooks_pair()
    known = with_known(Known(), pair)
    grid = grid_of(Board(CROOK_AFTER_SINGLES), known, CROOK)
    bare = grid_of(Board(CROOK_AFTER_SINGLES), Known(), CROOK)
    assert grid.candidates < bare.candidates
    for name, digit in pair.removes:
        assert digit not in grid.candidates_at(CLASSIC.parse_cell(name))
    assert with_known(known, pair) == known


def test_a_known_placement_stands_in_the_position_unless_the_cell_is_filled() -> None:
    known = Known(places=(("r1c3", 4),))
    assert grid_of(Board(EASY), known, EASY).digit_at(2) == 4
    assert grid_of(Board(EASY_SOLUTION), known, EASY).digit_at(2) == 4


def test_strikes_in_filled_cells_are_not_shown() -> None:
    board = Board(written(EASY, 2, "4"), (("r1c3", 1), ("r1c4", 6)))
    assert shown_position(board, Known(removes=(("r1c6", 2),))).removed == (
        ("r1c4", 6),
        ("r1c6", 2),
    )


def test_what_stands_beyond_the_givens_is_own_on_the_board_or_told() -> None:
    board = Board(written(EASY, 2, "4"))
    known = Known(places=(("r1c4", int(EASY_SOLUTION[3])),))
    grid = grid_of(board, known, EASY)
    assert [CLASSIC.format_cell(cell) for cell in CLASSIC.cells_in(grid.own)] == ["r1c3", "r1c4"]
    assert not grid_of(Board(EASY), Known(), EASY).own
