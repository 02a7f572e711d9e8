"""The exact search: solutions, their number up to a limit, and being told to stop."""

from __future__ import annotations

import pytest

from engine.board.grid import Grid, format_grid, parse_grid
from engine.board.layout import CLASSIC, MIDDLE, SMALL
from engine.errors import StoppedError
from engine.search.exact import count_solutions, find_solutions, solve

SMALL_PUZZLE = """
1.|..
..|3.
--+--
.4|..
..|.2
"""
SMALL_SOLUTION = """
13|24
42|31
--+--
24|13
31|42
"""


def test_a_puzzle_with_one_solution_is_solved() -> None:
    puzzle = parse_grid(SMALL_PUZZLE)
    solution = solve(puzzle)
    assert solution is not None
    assert str(solution) == SMALL_SOLUTION.strip()
    assert solution.is_complete
    assert count_solutions(puzzle) == 1


def test_a_full_grid_is_its_own_solution() -> None:
    full = parse_grid(SMALL_SOLUTION)
    assert find_solutions(full, 5) == (Grid(SMALL, full.placed, 0),)


def test_counting_goes_no_further_than_the_limit() -> None:
    empty = Grid.empty(SMALL)
    assert [count_solutions(empty, limit) for limit in (0, 1, 2, 100)] == [0, 1, 2, 100]
    assert count_solutions(Grid.empty(CLASSIC), 3) == 3


def test_all_4x4_grids_are_counted() -> None:
    """288: OEIS A107739."""
    assert count_solutions(Grid.empty(SMALL), 1000) == 288


def test_all_6x6_grids_are_counted_from_one_fixed_box() -> None:
    """28,200,960 (computed): 6! ways to write the first box, all with as many completions.

    The first row is fixed besides: its second half is one of 3! orders.
    """
    grid = parse_grid("123456" + "456..." + "......" * 4, layout=MIDDLE)
    assert count_solutions(grid, 100_000) * 720 * 6 == 28_200_960


def test_solutions_are_distinct_and_agree_with_the_position() -> None:
    grid = parse_grid("12.." + "." * 12)
    solutions = find_solutions(grid, 100)
    texts = {format_grid(solution) for solution in solutions}
    assert len(texts) == len(solutions) == count_solutions(grid, 100) > 1
    assert all(text.startswith("12") for text in texts)


def test_what_is_struck_is_not_tried() -> None:
    puzzle = parse_grid(SMALL_PUZZLE)
    assert count_solutions(puzzle.eliminate(SMALL.bit(1, 3))) == 0
    assert count_solutions(puzzle.eliminate(SMALL.bit(1, 2))) == 1


@pytest.mark.parametrize(
    "picture",
    [
        "12|3.\n..|.4\n--+--\n..|..\n..|..",  # r1c4 can hold nothing
        "1.|..\n..|1.\n--+--\n.1|..\n..|.2",  # the last 1 has no place
        "1.|23\n.4|..\n--+--\n..|..\n..|..",  # 4 has no place in row 1
    ],
)
def test_a_position_without_a_solution_has_none(picture: str) -> None:
    grid = parse_grid(picture)
    assert solve(grid) is None
    assert count_solutions(grid) == 0


def test_a_digit_that_stands_twice_in_a_house_leaves_no_solution() -> None:
    grid = Grid.empty(CLASSIC)
    grid = Grid(CLASSIC, CLASSIC.bit(0, 5) | CLASSIC.bit(1, 5), grid.candidates)
    assert count_solutions(grid) == 0


def test_a_long_search_stops_when_told_and_says_how_far_it_was() -> None:
    asked = []

    def should_stop() -> bool:
        asked.append(1)
        return len(asked) == 3

    with pytest.raises(StoppedError) as caught:
        count_solutions(Grid.empty(CLASSIC), 1_000_000, should_stop=should_stop)
    assert len(asked) == 3
    assert caught.value.work > 0


def test_being_asked_to_stop_and_not_stopping_changes_nothing() -> None:
    grid = Grid.empty(SMALL)
    assert count_solutions(grid, 1000, should_stop=lambda: False) == 288
