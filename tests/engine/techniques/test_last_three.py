"""Last three (fact 6 of the trade, common practice): three open cells settled at once."""

from __future__ import annotations

import pytest

from engine.solving.paths import apply_step
from engine.techniques import technique_with
from tests.engine.techniques.checking import check, check_evidence, drawn

STRAIGHT = """
123|456|...
...|...|...
...|...|...
---+---+---
...|...|8..
...|...|9..
...|...|...
---+---+---
...|...|.8.
...|...|...
...|...|...
"""

THIRD_SEES_IT_TOO = """
123|456|...
...|...|...
...|...|...
---+---+---
...|...|8..
...|...|9..
...|...|...
---+---+---
...|...|.8.
...|...|..9
...|...|...
"""

OTHER_CELL_SEES_IT = """
123|456|...
...|...|...
...|...|...
---+---+---
...|...|8..
...|...|...
...|...|...
---+---+---
...|...|.8.
...|...|..9
...|...|...
"""

MIDDLE_SEES_A = """
123|456|...
...|...|...
...|...|...
---+---+---
...|...|8..
...|...|9..
...|...|...
---+---+---
...|...|.8.
...|...|.7.
...|...|...
"""

ROW_AND_BOX = """
123|...
...|123
---+---
...|5..
...|6..
---+---
...|.5.
...|...
"""


def test_two_cells_see_b_and_one_of_them_c_so_all_three_are_settled() -> None:
    check(
        "last-three",
        drawn(STRAIGHT),
        "row 1: 789 at r1c7 r1c8 r1c9 -> r1c7=7 r1c8=9 r1c9=8",
    )


def test_three_cells_of_a_row_and_a_box_are_one_instance_with_both_houses() -> None:
    check(
        "last-three",
        drawn(ROW_AND_BOX),
        "box 2, row 1: 456 at r1c4 r1c5 r1c6 -> r1c4=4 r1c5=6 r1c6=5",
    )


def test_what_is_left_rests_on_the_third_cell_holding_one_digit_only() -> None:
    check_evidence(
        "last-three",
        drawn(STRAIGHT),
        "something in r1c7",
        "some 8 in row 1",
        "some 9 in row 1",
        "no two in r1c9",
    )


def test_no_more_is_cited_where_the_third_cell_sees_c_as_well() -> None:
    check_evidence(
        "last-three",
        drawn(THIRD_SEES_IT_TOO),
        "something in r1c7",
        "some 8 in row 1",
        "some 9 in row 1",
    )


def test_no_more_is_cited_where_the_middle_cell_sees_a_as_well() -> None:
    check_evidence(
        "last-three",
        drawn(MIDDLE_SEES_A),
        "something in r1c7",
        "some 8 in row 1",
        "something in r1c8",
    )


def test_all_three_digits_are_placed_by_the_one_step() -> None:
    grid = drawn(STRAIGHT)
    (step,) = technique_with("last-three").find(grid)
    row = str(apply_step(grid, step)).splitlines()[0]
    assert row == "123|456|798"


@pytest.mark.parametrize(
    ("picture", "removed"),
    [
        (OTHER_CELL_SEES_IT, ""),  # c is seen by the third cell only: two of the three stay open
        (STRAIGHT.replace("123|456", ".23|456"), ""),  # four cells are open
        (STRAIGHT.replace("9", "."), ""),  # nothing sees c
        (STRAIGHT, "r1c8 9"),  # by mistake the middle cell cannot hold what is left
    ],
)
def test_silent_where_not_all_three_are_settled(picture: str, removed: str) -> None:
    check("last-three", drawn(picture, removed))
