"""Last digit, hidden single, naked single: where they fire, with exactly what, and where not."""

from __future__ import annotations

import pytest

from engine.board.grid import Grid
from engine.board.layout import MIDDLE
from tests.engine.techniques.checking import check, check_evidence, drawn

ROW_AND_BOX_LAST = """
123|456|78.
4..|...|561
...|...|234
---+---+---
...|...|...
...|...|...
...|...|...
---+---+---
...|...|...
...|...|...
...|...|...
"""

IN_THE_BOX_ALONE = """
...|...|.23
...|...|456
...|...|78.
---+---+---
...|...|...
...|...|..1
...|...|...
---+---+---
...|...|...
...|...|...
...|...|...
"""

IN_THE_ROW_ALONE = """
2.3|.45|.67
...|...|...
...|...|...
---+---+---
.8.|...|...
...|...|...
...|...|...
---+---+---
...|8..|...
...|...|...
...|...|...
"""

ONE_DIGIT_LEFT = """
123|4..|...
...|...|...
...|...|...
---+---+---
...|...|..5
...|...|..6
...|...|..7
---+---+---
...|...|..8
...|...|...
...|...|...
"""

LAST_CELL_OF_ALL = """
12|34
34|12
--+--
21|43
43|2.
"""


def test_the_last_open_cell_of_a_row_and_a_box_is_one_instance_with_both_houses() -> None:
    check("last-digit", drawn(ROW_AND_BOX_LAST), "box 3, row 1: 9 at r1c9 -> r1c9=9")
    check_evidence("last-digit", drawn(ROW_AND_BOX_LAST), "some 9 in box 3")


def test_the_very_last_cell_is_the_last_of_three_houses() -> None:
    check("last-digit", drawn(LAST_CELL_OF_ALL), "box 4, row 4, column 4: 1 at r4c4 -> r4c4=1")


def test_a_last_digit_is_a_hidden_and_a_naked_single_too() -> None:
    check("hidden-single", drawn(ROW_AND_BOX_LAST), "box 3, row 1: 9 at r1c9 -> r1c9=9")
    check("naked-single", drawn(ROW_AND_BOX_LAST), "box 3: 9 at r1c9 -> r1c9=9")


@pytest.mark.parametrize("picture", [IN_THE_BOX_ALONE, IN_THE_ROW_ALONE, ONE_DIGIT_LEFT])
def test_a_house_with_two_open_cells_or_more_has_no_last_digit(picture: str) -> None:
    check("last-digit", drawn(picture))


def test_a_last_cell_whose_digit_was_struck_by_mistake_is_no_last_digit() -> None:
    check("last-digit", drawn(ROW_AND_BOX_LAST, "r1c9 9"))


def test_a_hidden_single_names_just_the_houses_in_which_it_has_no_other_place() -> None:
    check("hidden-single", drawn(IN_THE_BOX_ALONE), "box 3: 1 at r1c7 -> r1c7=1")
    check("hidden-single", drawn(IN_THE_ROW_ALONE), "row 1: 8 at r1c7 -> r1c7=8")


def test_a_hidden_single_rests_on_its_first_house_alone() -> None:
    check_evidence("hidden-single", drawn(IN_THE_ROW_ALONE), "some 8 in row 1")


def test_hidden_singles_with_a_box_come_before_those_in_lines_only() -> None:
    picture = IN_THE_ROW_ALONE.splitlines()
    picture[9:12] = ["...|8..|623", "...|...|459", "...|...|78."]
    check(
        "hidden-single",
        drawn("\n".join(picture)),
        "box 9: 1 at r9c9 -> r9c9=1",
        "row 1: 8 at r1c7 -> r1c7=8",
    )


def test_a_digit_with_two_places_in_every_house_is_no_hidden_single() -> None:
    check("hidden-single", drawn(ONE_DIGIT_LEFT))


def test_a_cell_that_sees_all_digits_but_one_is_a_naked_single() -> None:
    check("naked-single", drawn(ONE_DIGIT_LEFT), "box 3: 9 at r1c9 -> r1c9=9")
    check_evidence("naked-single", drawn(ONE_DIGIT_LEFT), "something in r1c9")


def test_a_cell_with_two_candidates_is_no_naked_single() -> None:
    check("naked-single", drawn(IN_THE_ROW_ALONE))
    check("naked-single", drawn(ONE_DIGIT_LEFT.replace("4", ".")))


def test_what_a_member_struck_makes_singles_too() -> None:
    check(
        "naked-single",
        drawn(IN_THE_ROW_ALONE, "r9c1 1 2 3 5 6 7 8 9"),
        "box 7: 4 at r9c1 -> r9c1=4",
    )


@pytest.mark.parametrize("technique", ["last-digit", "hidden-single", "naked-single"])
def test_an_empty_and_a_full_grid_have_no_single(technique: str) -> None:
    check(technique, Grid.empty(MIDDLE))
    check(technique, drawn("12|34\n34|12\n--+--\n21|43\n43|21"))
