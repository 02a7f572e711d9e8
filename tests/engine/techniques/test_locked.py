"""Pointing and claiming (fact 3 of the trade, common practice)."""

from __future__ import annotations

import pytest

from engine.board.grid import Grid
from engine.board.layout import MIDDLE, SMALL
from tests.engine.techniques.checking import check, check_evidence, drawn

BOX_TO_ROW = """
...|...|...
456|...|...
78.|...|...
---+---+---
...|...|...
..1|...|...
...|...|...
---+---+---
...|...|...
...|...|...
...|...|...
"""

BOX_TO_COLUMN = """
.47|...|...
.58|...|...
.6.|...|...
---+---+---
...|...|...
...|...|...
...|...|...
---+---+---
...|...|...
...|...|...
...|...|...
"""

ROW_TO_BOX = """
...|456|78.
...|...|...
...|...|...
---+---+---
...|...|...
...|...|..3
...|...|...
---+---+---
...|...|...
...|...|...
...|...|...
"""


def test_a_digit_that_a_box_confines_to_a_row_goes_from_the_rest_of_the_row() -> None:
    check(
        "pointing",
        drawn(BOX_TO_ROW),
        "box 1: 1 at r1c1 r1c2 -> row 1: r1c4<>1 r1c5<>1 r1c6<>1 r1c7<>1 r1c8<>1 r1c9<>1",
    )
    check_evidence("pointing", drawn(BOX_TO_ROW), "some 1 in box 1", "no two 1 in row 1")


def test_a_digit_that_a_box_confines_to_a_column_goes_from_the_rest_of_the_column() -> None:
    grid = drawn(BOX_TO_COLUMN, "r3c3 1")
    check(
        "pointing",
        grid,
        "box 1: 1 at r1c1 r2c1 r3c1 -> column 1: r4c1<>1 r5c1<>1 r6c1<>1 r7c1<>1 r8c1<>1 r9c1<>1",
    )


def test_a_digit_that_a_row_confines_to_a_box_goes_from_the_rest_of_the_box() -> None:
    check(
        "claiming",
        drawn(ROW_TO_BOX),
        "row 1: 3 at r1c1 r1c2 r1c3 -> box 1: r2c1<>3 r2c2<>3 r2c3<>3 r3c1<>3 r3c2<>3 r3c3<>3",
    )
    check_evidence("claiming", drawn(ROW_TO_BOX), "some 3 in row 1", "no two 3 in box 1")


@pytest.mark.parametrize(
    ("technique", "picture", "removed"),
    [
        ("pointing", BOX_TO_ROW, "r1c4 1, r1c5 1, r1c6 1, r1c7 1, r1c8 1, r1c9 1"),  # all gone
        ("pointing", BOX_TO_ROW, "r1c1 1"),  # one place left is a hidden single
        ("pointing", ROW_TO_BOX, ""),
        ("claiming", BOX_TO_ROW, ""),
        ("claiming", ROW_TO_BOX, "r1c1 3, r1c2 3"),  # one place left is a hidden single
    ],
)
def test_silent_without_two_places_in_the_one_house_and_one_outside(
    technique: str, picture: str, removed: str
) -> None:
    check(technique, drawn(picture, removed))


@pytest.mark.parametrize("technique", ["pointing", "claiming"])
def test_an_empty_grid_confines_nothing(technique: str) -> None:
    for layout in (SMALL, MIDDLE):
        check(technique, Grid.empty(layout))


def test_boxes_that_are_wider_than_high_point_along_rows_and_columns() -> None:
    picture = """
...|...
456|...
---+---
...|...
...|...
---+---
...|...
...|...
"""
    check(
        "pointing",
        drawn(picture, "r1c2 2 3, r1c3 1 2 3, r1c1 2 3"),
        "box 1: 1 at r1c1 r1c2 -> row 1: r1c4<>1 r1c5<>1 r1c6<>1",
    )
