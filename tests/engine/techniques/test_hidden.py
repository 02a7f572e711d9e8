"""Hidden pair, triple and quad."""

from __future__ import annotations

import pytest

from engine.techniques import technique_with
from tests.engine.techniques.checking import check, check_evidence, drawn

EMPTY = "\n".join(["........."] * 9)

ROW_5 = [f"r5c{column}" for column in range(1, 10)]
COLUMN_1 = [f"r{row}c1" for row in range(1, 10)]
BOX_5 = [f"r{row}c{column}" for row in (4, 5, 6) for column in (4, 5, 6)]
ROW_4_OUTSIDE_BOX_5 = [f"r4c{column}" for column in (1, 2, 3, 7, 8, 9)]


def confined(house: list[str], digits: str, cells: str) -> str:
    """Strike the digits from all cells of the house but `cells`."""
    return ", ".join(f"{cell} {digits}" for cell in house if cell not in cells.split())


PAIR = confined(ROW_5, "1 2", "r5c1 r5c9")
PAIR_IN_BOX_AND_ROW = (
    confined(BOX_5, "1 2", "r4c4 r4c6") + ", " + confined(ROW_4_OUTSIDE_BOX_5, "1 2", "")
)
TRIPLE = confined(COLUMN_1, "1 2 3", "r1c1 r4c1 r9c1") + ", r1c1 1, r4c1 2, r9c1 3"
QUAD = confined(BOX_5, "1 2 3 4", "r4c4 r4c6 r6c4 r6c6") + ", r4c4 1, r4c6 2, r6c4 3, r6c6 4"


def test_two_digits_with_two_places_in_a_row_clear_those_cells() -> None:
    check(
        "hidden-pair",
        drawn(EMPTY, PAIR),
        "row 5: 12 at r5c1 r5c9 -> r5c1<>3456789 r5c9<>3456789",
    )
    check_evidence(
        "hidden-pair",
        drawn(EMPTY, PAIR),
        "some 1 in row 5",
        "some 2 in row 5",
        "no two in r5c1",
        "no two in r5c9",
    )


def test_the_same_pair_in_a_box_and_a_row_is_one_instance_that_rests_on_the_box() -> None:
    check(
        "hidden-pair",
        drawn(EMPTY, PAIR_IN_BOX_AND_ROW),
        "box 5, row 4: 12 at r4c4 r4c6 -> r4c4<>3456789 r4c6<>3456789",
    )
    check_evidence(
        "hidden-pair",
        drawn(EMPTY, PAIR_IN_BOX_AND_ROW),
        "some 1 in box 5",
        "some 2 in box 5",
        "no two in r4c4",
        "no two in r4c6",
    )


def test_three_digits_with_three_places_between_them_are_a_triple() -> None:
    check(
        "hidden-triple",
        drawn(EMPTY, TRIPLE),
        "column 1: 123 at r1c1 r4c1 r9c1 -> r1c1<>456789 r4c1<>456789 r9c1<>456789",
    )


def test_four_digits_with_four_places_between_them_are_a_quad() -> None:
    check(
        "hidden-quad",
        drawn(EMPTY, QUAD),
        "box 5: 1234 at r4c4 r4c6 r6c4 r6c6 -> r4c4<>56789 r4c6<>56789 r6c4<>56789 r6c6<>56789",
    )


def test_crossing_lines_that_confine_two_digits_to_two_cells_of_a_box_make_a_pair() -> None:
    """Fact 5 of the trade (common practice)."""
    grid = drawn(
        """
...|...|12.
...|1.2|...
...|...|...
---+---+---
...|...|...
...|...|...
...|...|...
---+---+---
...|...|...
2..|...|...
1..|...|...
"""
    )
    check("hidden-pair", grid, "box 1, row 3: 12 at r3c2 r3c3 -> r3c2<>3456789 r3c3<>3456789")


@pytest.mark.parametrize(
    ("technique", "removed"),
    [
        ("hidden-pair", TRIPLE),
        ("hidden-pair", PAIR + ", r5c9 2"),  # a digit with one place is a single
        ("hidden-triple", PAIR),
        ("hidden-triple", QUAD),
        ("hidden-quad", TRIPLE),
        ("hidden-quad", PAIR + ", " + confined(ROW_5, "3 4", "r5c2 r5c3")),  # two pairs
    ],
)
def test_silent_where_the_digits_have_more_places_or_a_smaller_subset(
    technique: str, removed: str
) -> None:
    check(technique, drawn(EMPTY, removed))


def test_silent_where_nothing_is_left_to_strike() -> None:
    grid = drawn(EMPTY, PAIR)
    (step,) = technique_with("hidden-pair").find(grid)
    check("hidden-pair", grid.eliminate(step.removes))
