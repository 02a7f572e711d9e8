"""XY-wing, XYZ-wing, W-wing: where they fire, with exactly what, and where not.

A position is an empty grid in which a few cells are held to a few digits.
"""

from __future__ import annotations

import pytest

from engine.board.grid import Grid, parse_grid
from engine.board.layout import MIDDLE, SMALL
from engine.techniques import technique_with
from tests.engine.techniques.checking import (
    check,
    check_evidence,
    check_walk,
    confined,
    pencilled,
)

BENT = "r5c5 12, r5c2 13, r2c5 23"
NEARER = "r5c5 12, r5c2 13, r4c4 23"
WITH_PIVOT = "r5c5 123, r5c2 13, r4c4 23"
ALIKE = "r2c2 12, r8c8 12"
WORKED = "57428...6986.53..71236.7.58618.75.4.4.78..56.2.5.6478.3517.86.47.25..8..8.9.1..75"


def test_the_worked_xy_wing_is_the_only_one_of_its_grid() -> None:
    """Facts.md, worked steps (computed): pivot r9c6, pincers r7c5 and r8c6, all in one box."""
    grid = parse_grid(WORKED)
    check("xy-wing", grid, "box 8: 269 at r7c5 r8c6 r9c6 -> r8c5<>9")
    check_walk("xy-wing", grid, "9r7c5 = 2r7c5 - 2r9c6 = 6r9c6 - 6r8c6 = 9r8c6")


def test_what_sees_both_pincers_of_an_xy_wing_loses_their_common_digit() -> None:
    check("xy-wing", pencilled(BENT), "row 5, column 5: 123 at r2c5 r5c2 r5c5 -> r2c2<>3")
    check_walk("xy-wing", pencilled(BENT), "3r5c2 = 1r5c2 - 1r5c5 = 2r5c5 - 2r2c5 = 3r2c5")
    check_evidence(
        "xy-wing",
        pencilled(BENT),
        *(f"something in {cell}" for cell in ("r2c5", "r5c2", "r5c5")),
        "no two 1 in row 5",
        "no two 2 in column 5",
        "no two 3 in row 2",
        "no two 3 in column 2",
    )


def test_an_xy_wing_with_a_pincer_in_the_pivots_box_reaches_two_boxes() -> None:
    check(
        "xy-wing",
        pencilled(NEARER),
        "row 5, box 5: 123 at r4c4 r5c2 r5c5 -> r4c1<>3 r4c2<>3 r4c3<>3 r5c4<>3 r5c6<>3",
    )


def test_three_cells_of_one_house_are_an_xy_wing_for_each_of_their_digits() -> None:
    found = technique_with("xy-wing").find(pencilled("r4c4 13, r5c5 12, r6c6 23"))
    assert [step.removes.bit_count() for step in found] == [6, 6, 6]


def test_an_xyz_wing_strikes_only_what_the_pivot_sees_as_well() -> None:
    grid = pencilled(WITH_PIVOT)
    check("xyz-wing", grid, "row 5, box 5: 123 at r4c4 r5c2 r5c5 -> r5c4<>3 r5c6<>3")
    check_evidence(
        "xyz-wing",
        grid,
        *(f"something in {cell}" for cell in ("r4c4", "r5c2", "r5c5")),
        "no two 1 in row 5",
        "no two 2 in box 5",
        "no two 3 in row 5",
        "no two 3 in box 5",
    )


def test_a_w_wing_is_joined_by_a_strong_link() -> None:
    grid = confined(pencilled(ALIKE), "row 5: 1 at r5c2 r5c8")
    check("w-wing", grid, "row 5: 12 at r2c2 r5c2 r5c8 r8c8 -> r2c8<>2 r8c2<>2")
    check_walk("w-wing", grid, "2r2c2 = 1r2c2 - 1r5c2 = 1r5c8 - 1r8c8 = 2r8c8")
    check_evidence(
        "w-wing",
        grid,
        "something in r2c2",
        "something in r8c8",
        "some 1 in row 5",
        "no two 1 in column 2",
        "no two 1 in column 8",
        "no two 2 in row 2",
        "no two 2 in row 8",
        "no two 2 in column 2",
        "no two 2 in column 8",
    )


def test_two_links_for_the_same_two_cells_are_two_w_wings() -> None:
    grid = confined(pencilled(ALIKE), "row 5: 1 at r5c2 r5c8", "row 3: 1 at r3c1 r3c8")
    check(
        "w-wing",
        grid,
        "row 3: 12 at r2c2 r3c1 r3c8 r8c8 -> r2c8<>2 r8c2<>2",
        "row 5: 12 at r2c2 r5c2 r5c8 r8c8 -> r2c8<>2 r8c2<>2",
    )


def test_a_link_in_a_line_and_a_box_is_one_with_both_houses() -> None:
    link = ("row 1: 1 at r1c4 r1c6", "box 2: 1 at r1c4 r1c6")
    check(
        "w-wing",
        confined(pencilled("r5c4 12, r8c6 12"), *link),
        "box 2, row 1: 12 at r1c4 r1c6 r5c4 r8c6 -> "
        "r4c6<>2 r5c6<>2 r6c6<>2 r7c4<>2 r8c4<>2 r9c4<>2",
    )


@pytest.mark.parametrize(
    ("technique", "cells"),
    [
        pytest.param("xy-wing", "r5c5 12, r5c2 13, r2c5 24", id="no common digit"),
        pytest.param("xy-wing", "r5c5 12, r5c2 13, r8c8 23", id="a pincer out of sight"),
        pytest.param("xy-wing", "r5c5 12, r5c2 13, r2c5 13", id="the pivot's other digit is free"),
        pytest.param("xy-wing", WITH_PIVOT, id="a pivot of three digits"),
        pytest.param("xy-wing", BENT + ", r2c2 12456789", id="nothing to strike"),
        pytest.param("xyz-wing", BENT, id="a pivot of two digits"),
        pytest.param("xyz-wing", "r5c5 123, r5c2 13, r2c5 23", id="nothing sees all three"),
        pytest.param("xyz-wing", "r5c5 1234, r5c2 13, r4c4 23", id="a pivot of four digits"),
        pytest.param("xyz-wing", "r5c5 123, r5c2 13, r4c4 13", id="the same pincer twice"),
        pytest.param("w-wing", ALIKE, id="no strong link"),
    ],
)
def test_silent_where_a_wing_is_not_complete(technique: str, cells: str) -> None:
    check(technique, pencilled(cells))


@pytest.mark.parametrize(
    ("cells", "link"),
    [
        pytest.param(ALIKE, "row 5: 1 at r5c2 r5c7", id="an end out of sight"),
        pytest.param(ALIKE, "row 5: 1 at r5c2 r5c7 r5c8", id="three places"),
        pytest.param(ALIKE, "row 2: 1 at r2c2 r2c8", id="the link holds one of the cells"),
        pytest.param("r2c2 12, r2c8 12", "row 5: 1 at r5c2 r5c8", id="a naked pair"),
        pytest.param("r2c2 12, r8c8 13", "row 5: 1 at r5c2 r5c8", id="cells that differ"),
        pytest.param("r1c7 12, r5c1 12", "box 1: 1 at r1c1 r1c2", id="one cell sees both ends"),
    ],
)
def test_silent_where_no_link_joins_two_like_cells(cells: str, link: str) -> None:
    check("w-wing", confined(pencilled(cells), link))


@pytest.mark.parametrize("technique", ["xy-wing", "xyz-wing", "w-wing"])
def test_an_empty_grid_has_no_wing(technique: str) -> None:
    for layout in (SMALL, MIDDLE):
        check(technique, Grid.empty(layout))
