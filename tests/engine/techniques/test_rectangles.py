"""Unique and hidden rectangles: where they fire, with exactly what, and where not.

A position is an empty grid in which a few cells are held to a few digits.
"""

from __future__ import annotations

import pytest

from engine.board.grid import Grid, parse_grid
from engine.board.layout import CLASSIC, MIDDLE, SMALL, diagonal_layout
from engine.techniques import technique_with
from tests.engine.techniques.checking import check, check_evidence, confined, pencilled

FLOOR = "r1c1 12, r1c4 12, "
LINES = "row 1, row 2, column 1, column 4: "
CORNERS = "at r1c1 r1c4 r2c1 r2c4"
WORKED = "548691732.1.384569936..21484.5.6932.329.458.6.61.23954....1.6..1....648.65..3.2.."


def variants(grid: Grid) -> list[str]:
    return [step.variant for step in technique_with("unique-rectangle").find(grid)]


def test_the_worked_unique_rectangle_is_the_only_one_of_its_grid() -> None:
    """Facts.md, worked steps (computed): type 1 on 5, 7."""
    grid = parse_grid(WORKED)
    check(
        "unique-rectangle",
        grid,
        "row 3, row 8, column 4, column 5: 57 at r3c4 r3c5 r8c4 r8c5 -> r8c4<>57",
    )
    assert variants(grid) == ["type-1"]


def test_every_rectangle_says_that_it_rests_on_one_solution() -> None:
    for technique in ("unique-rectangle", "hidden-rectangle"):
        assert technique_with(technique).is_by_uniqueness
        steps = list(technique_with(technique).find(parse_grid(WORKED)))
        assert steps
        assert all(step.is_by_uniqueness for step in steps)


def test_type_1_empties_the_one_corner_that_can_hold_more() -> None:
    grid = pencilled(FLOOR + "r2c1 12, r2c4 1234")
    check("unique-rectangle", grid, f"{LINES}12 {CORNERS} -> r2c4<>12")
    assert variants(grid) == ["type-1"]
    check_evidence(
        "unique-rectangle",
        grid,
        *(f"something in {cell}" for cell in ("r1c1", "r1c4", "r2c1")),
        *(f"no two {d} in {house}" for d in (1, 2) for house in ("row 2", "box 2", "box 1")),
    )


def test_type_2_strikes_the_one_extra_digit_from_what_sees_the_roof() -> None:
    grid = pencilled(FLOOR + "r2c1 123, r2c4 123")
    others = " ".join(f"r2c{column}<>3" for column in (2, 3, 5, 6, 7, 8, 9))
    check("unique-rectangle", grid, f"{LINES}123 {CORNERS} -> {others}")
    assert variants(grid) == ["type-2"]
    check_evidence(
        "unique-rectangle",
        grid,
        *(f"something in {cell}" for cell in ("r1c1", "r1c4", "r2c1", "r2c4")),
        *(f"no two {d} in {house}" for d in (1, 2) for house in ("row 1", "box 2", "row 2")),
        "no two 3 in row 2",
    )


def test_type_2_works_with_the_roof_across() -> None:
    grid = pencilled("r1c1 12, r1c4 123, r2c1 123, r2c4 12")
    check("unique-rectangle", grid, f"{LINES}123 {CORNERS} -> r1c2<>3 r1c3<>3 r2c5<>3 r2c6<>3")


def test_type_3_takes_the_roof_as_one_cell_of_a_naked_subset() -> None:
    grid = pencilled(FLOOR + "r2c1 123, r2c4 124, r2c8 34")
    others = " ".join(f"r2c{column}<>34" for column in (2, 3, 5, 6, 7, 9))
    check("unique-rectangle", grid, f"{LINES}1234 {CORNERS} r2c8 -> row 2: {others}")
    assert variants(grid) == ["type-3"]
    check_evidence(
        "unique-rectangle",
        grid,
        *(f"something in {cell}" for cell in ("r1c1", "r1c4", "r2c1", "r2c4", "r2c8")),
        *(f"no two {d} in {house}" for d in (1, 2) for house in ("row 1", "box 2", "row 2")),
        "no two 3 in row 2",
        "no two 4 in row 2",
    )


def test_type_3_works_with_two_cells_beside_the_roof() -> None:
    grid = pencilled(FLOOR + "r2c1 123, r2c4 124, r2c8 345, r2c9 35")
    others = " ".join(f"r2c{column}<>345" for column in (2, 3, 5, 6, 7))
    check("unique-rectangle", grid, f"{LINES}12345 {CORNERS} r2c8 r2c9 -> row 2: {others}")


def test_type_4_strikes_the_digit_that_the_roofs_house_does_not_hold_there() -> None:
    grid = confined(pencilled(FLOOR + "r2c9 3456789"), "row 2: 1 at r2c1 r2c4")
    check("unique-rectangle", grid, f"{LINES}12 {CORNERS} -> r2c1<>2 r2c4<>2")
    assert variants(grid) == ["type-4"]
    check_evidence(
        "unique-rectangle",
        grid,
        "something in r1c1",
        "something in r1c4",
        "some 1 in row 2",
        *(f"no two {digit} in box {box}" for digit in (1, 2) for box in (1, 2)),
    )


CROSSED = "r1c1 12, r2c4 12"


def test_type_6_takes_the_digit_that_two_lines_hold_in_corners_alone_from_the_roof() -> None:
    grid = confined(pencilled(CROSSED), "row 1: 1 at r1c1 r1c4", "row 2: 1 at r2c1 r2c4")
    check("unique-rectangle", grid, f"{LINES}12 {CORNERS} -> r1c4<>1 r2c1<>1")
    assert variants(grid) == ["type-6"]
    check_evidence(
        "unique-rectangle",
        grid,
        "something in r1c1",
        "something in r2c4",
        "some 1 in row 1",
        "some 1 in row 2",
        "no two 1 in box 1",
        "no two 1 in box 2",
    )


def test_type_6_works_by_columns_too() -> None:
    grid = confined(pencilled(CROSSED), "column 1: 2 at r1c1 r2c1", "column 4: 2 at r1c4 r2c4")
    check("unique-rectangle", grid, f"{LINES}12 {CORNERS} -> r1c4<>2 r2c1<>2")
    assert variants(grid) == ["type-6"]


@pytest.mark.parametrize(
    "kept",
    [
        pytest.param(("row 1: 1 at r1c1 r1c4",), id="one row"),
        pytest.param(("row 1: 1 at r1c1 r1c4", "column 4: 1 at r1c4 r2c4"), id="a row, a column"),
        pytest.param(("row 1: 1 at r1c1 r1c4", "row 2: 2 at r2c1 r2c4"), id="two digits"),
    ],
)
def test_type_6_is_silent_where_no_two_parallel_lines_keep_a_digit_to_the_corners(
    kept: tuple[str, ...],
) -> None:
    assert variants(confined(pencilled(CROSSED), *kept)) == []


def test_a_hidden_rectangle_strikes_the_corner_across() -> None:
    grid = confined(pencilled("r1c1 12, r9c9 3456789"), "row 2: 1 at r2c1 r2c4")
    grid = confined(grid, "column 4: 1 at r1c4 r2c4")
    check("hidden-rectangle", grid, f"{LINES}12 {CORNERS} -> r2c4<>2")
    check_evidence(
        "hidden-rectangle",
        grid,
        "something in r1c1",
        "some 1 in row 2",
        "some 1 in column 4",
        "no two in r2c4",
        "no two 1 in row 1",
    )


def test_silent_where_only_one_line_confines_the_digit() -> None:
    check("hidden-rectangle", confined(pencilled("r1c1 12"), "row 2: 1 at r2c1 r2c4"))
    check("hidden-rectangle", confined(pencilled("r1c1 12"), "column 4: 1 at r1c4 r2c4"))


def test_silent_where_no_corner_is_held_to_the_two_digits() -> None:
    grid = confined(pencilled("r1c1 123"), "row 2: 1 at r2c1 r2c4", "column 4: 1 at r1c4 r2c4")
    check("hidden-rectangle", grid)


@pytest.mark.parametrize(
    "cells",
    [
        pytest.param("r1c1 12, r1c4 12, r4c1 12, r4c4 123", id="four boxes"),
        pytest.param("r1c1 12, r1c2 12, r2c1 12, r2c2 123", id="one box"),
        pytest.param(FLOOR + "r2c1 12, r2c4 12", id="no corner can hold more"),
        pytest.param(FLOOR + "r2c1 12, r2c4 134", id="a corner cannot hold one of the two"),
        pytest.param(FLOOR + "r2c1 123, r2c4 124", id="no group beside the roof"),
        pytest.param(FLOOR + "r2c1 123, r2c4 124, r2c8 35", id="too many digits in the group"),
        pytest.param("r1c1 12, r2c4 12", id="no rectangle of one pair in two lines"),
    ],
)
def test_silent_where_the_corners_are_not_down_to_two_digits(cells: str) -> None:
    check("unique-rectangle", pencilled(cells))


def test_a_filled_corner_may_be_a_given_so_there_is_no_rectangle() -> None:
    grid = pencilled(FLOOR + "r2c1 12, r2c4 123")
    filled = grid.place(grid.layout.parse_cell("r2c1"), 2)
    check("unique-rectangle", filled)


def test_a_diagonal_through_one_corner_makes_the_exchange_impossible() -> None:
    cells = FLOOR + "r2c1 12, r2c4 123"
    assert variants(pencilled(cells)) == ["type-1"]
    assert variants(pencilled(cells, layout=diagonal_layout(CLASSIC))) == []


@pytest.mark.parametrize("technique", ["unique-rectangle", "hidden-rectangle"])
def test_an_empty_grid_has_no_rectangle(technique: str) -> None:
    for layout in (SMALL, MIDDLE):
        check(technique, Grid.empty(layout))
