"""Naked pair, triple and quad; locked pair and triple, which work in a line and a box."""

from __future__ import annotations

import pytest

from engine.techniques import technique_with
from tests.engine.techniques.checking import check, check_evidence, drawn, note

EMPTY = "\n".join(["........."] * 9)

LOCKED_PAIR = """
..3|...|...
456|...|...
789|...|...
---+---+---
...|...|...
...|...|...
...|...|...
---+---+---
...|...|...
...|...|...
...|...|...
"""

LOCKED_TRIPLE = """
...|...|...
456|...|...
789|...|...
---+---+---
...|...|...
...|...|...
...|...|...
---+---+---
...|...|...
...|...|...
...|...|...
"""

PAIR = "r5c1 3 4 5 6 7 8 9, r5c7 3 4 5 6 7 8 9"
TRIPLE = "r1c1 3 4 5 6 7 8 9, r1c4 1 4 5 6 7 8 9, r1c9 2 4 5 6 7 8 9"
QUAD = "r1c1 3 4 5 6 7 8 9, r4c1 1 4 5 6 7 8 9, r7c1 1 2 5 6 7 8 9, r9c1 2 3 5 6 7 8 9"
PAIR_IN_ROW_AND_BOX = "r5c4 3 4 5 6 7 8 9, r5c6 3 4 5 6 7 8 9"

WORKED = """
...|..2|534
.34|.1.|28.
2..|.34|1..
---+---+---
.23|...|74.
9.6|...|312
147|2.3|9..
---+---+---
7.8|3..|4.1
3..|..9|6..
46.|.7.|8.3
"""


def test_a_pair_in_a_row_strikes_the_rest_of_the_row() -> None:
    check(
        "naked-pair",
        drawn(EMPTY, PAIR),
        "row 5: 12 at r5c1 r5c7 -> r5c2<>12 r5c3<>12 r5c4<>12 r5c5<>12 r5c6<>12 r5c8<>12 r5c9<>12",
    )
    check_evidence(
        "naked-pair",
        drawn(EMPTY, PAIR),
        "something in r5c1",
        "something in r5c7",
        "no two 1 in row 5",
        "no two 2 in row 5",
    )


def test_a_triple_need_not_hold_all_three_digits_in_every_cell() -> None:
    """Fact 1 of the trade (common practice)."""
    check(
        "naked-triple",
        drawn(EMPTY, TRIPLE),
        "row 1: 123 at r1c1 r1c4 r1c9 -> "
        "r1c2<>123 r1c3<>123 r1c5<>123 r1c6<>123 r1c7<>123 r1c8<>123",
    )


def test_a_quad_in_a_column_strikes_the_rest_of_the_column() -> None:
    check(
        "naked-quad",
        drawn(EMPTY, QUAD),
        "column 1: 1234 at r1c1 r4c1 r7c1 r9c1 -> "
        "r2c1<>1234 r3c1<>1234 r5c1<>1234 r6c1<>1234 r8c1<>1234",
    )


def test_a_pair_in_a_row_and_a_box_is_one_instance_that_works_in_both() -> None:
    """Fact 2 of the trade (common practice)."""
    expected = (
        "box 5, row 5: 12 at r5c4 r5c6 -> r4c4<>12 r4c5<>12 r4c6<>12 r5c1<>12 r5c2<>12 r5c3<>12 "
        "r5c5<>12 r5c7<>12 r5c8<>12 r5c9<>12 r6c4<>12 r6c5<>12 r6c6<>12"
    )
    check("locked-pair", drawn(EMPTY, PAIR_IN_ROW_AND_BOX), expected)
    check("naked-pair", drawn(EMPTY, PAIR_IN_ROW_AND_BOX), expected)
    check_evidence(
        "locked-pair",
        drawn(EMPTY, PAIR_IN_ROW_AND_BOX),
        "something in r5c4",
        "something in r5c6",
        "no two 1 in box 5",
        "no two 1 in row 5",
        "no two 2 in box 5",
        "no two 2 in row 5",
    )


def test_a_locked_pair_that_fills_its_box_cites_only_the_row() -> None:
    check(
        "locked-pair",
        drawn(LOCKED_PAIR),
        "box 1, row 1: 12 at r1c1 r1c2 -> r1c4<>12 r1c5<>12 r1c6<>12 r1c7<>12 r1c8<>12 r1c9<>12",
    )
    check_evidence(
        "locked-pair",
        drawn(LOCKED_PAIR),
        "something in r1c1",
        "something in r1c2",
        "no two 1 in row 1",
        "no two 2 in row 1",
    )


def test_a_victim_in_both_houses_is_covered_once() -> None:
    elsewhere = ", ".join(
        f"r{row}c{column} 1 2"
        for row in (4, 5, 6)
        for column in range(1, 10)
        if (row, column) not in {(5, 4), (5, 5), (5, 6)} and (row == 5 or 4 <= column <= 6)
    )
    grid = drawn(EMPTY, f"{PAIR_IN_ROW_AND_BOX}, {elsewhere}")
    check("locked-pair", grid, "box 5, row 5: 12 at r5c4 r5c6 -> r5c5<>12")
    check_evidence(
        "locked-pair",
        grid,
        "something in r5c4",
        "something in r5c6",
        "no two 1 in box 5",
        "no two 2 in box 5",
    )


def test_a_triple_in_a_row_and_a_box_is_a_locked_triple() -> None:
    check(
        "locked-triple",
        drawn(LOCKED_TRIPLE),
        "box 1, row 1: 123 at r1c1 r1c2 r1c3 -> "
        "r1c4<>123 r1c5<>123 r1c6<>123 r1c7<>123 r1c8<>123 r1c9<>123",
    )


def test_a_triple_around_a_pair_counts_for_what_it_strikes_beyond_the_pair() -> None:
    """The worked grid of facts.md (computed): the pair 1, 5 lies in the triple 1, 5, 6."""
    grid = drawn(WORKED)
    check(
        "naked-triple",
        grid,
        "box 8: 156 at r7c6 r9c4 r9c6 -> r7c5<>56 r8c4<>15 r8c5<>5",
    )


def test_a_triple_that_strikes_no_more_than_the_pair_inside_is_none() -> None:
    around = PAIR + ", r5c9 2 4 5 6 7 8 9"
    gone = ", ".join(f"r5c{column} 3" for column in (2, 3, 4, 5, 6, 8))
    check(
        "naked-triple",
        drawn(EMPTY, around),
        "row 5: 123 at r5c1 r5c7 r5c9 -> "
        "r5c2<>123 r5c3<>123 r5c4<>123 r5c5<>123 r5c6<>123 r5c8<>123",
    )
    check("naked-triple", drawn(EMPTY, f"{around}, {gone}"))


@pytest.mark.parametrize(
    ("technique", "removed"),
    [
        ("naked-pair", TRIPLE),
        ("naked-pair", PAIR + ", r5c7 2"),  # a cell with one candidate is a single
        ("naked-triple", PAIR),
        ("naked-triple", QUAD),
        ("naked-quad", TRIPLE),
        ("naked-quad", PAIR + ", r5c2 1 2 5 6 7 8 9, r5c9 1 2 5 6 7 8 9"),  # two pairs
        ("locked-pair", PAIR),
        ("locked-triple", TRIPLE),
        ("locked-triple", PAIR_IN_ROW_AND_BOX),
        ("locked-pair", TRIPLE),
    ],
)
def test_silent_where_the_cells_hold_more_digits_or_a_smaller_subset(
    technique: str, removed: str
) -> None:
    check(technique, drawn(EMPTY, removed))


def test_silent_where_nothing_is_left_to_strike() -> None:
    grid = drawn(EMPTY, PAIR)
    (step,) = technique_with("naked-pair").find(grid)
    check("naked-pair", grid.eliminate(step.removes))


def test_two_pairs_are_found_in_the_order_of_their_cells() -> None:
    grid = drawn(EMPTY, PAIR + ", r2c2 1 2 3 4 5 6 7, r9c2 1 2 3 4 5 6 7")
    found = [note(grid.layout, step) for step in technique_with("naked-pair").find(grid)]
    assert [text.split(" ->")[0] for text in found] == [
        "column 2: 89 at r2c2 r9c2",
        "row 5: 12 at r5c1 r5c7",
    ]
