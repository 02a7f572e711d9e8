"""Almost-locked-set pairs: where they fire, with exactly what, and where not.

A position is an empty grid in which a few cells are held to a few digits.
"""

from __future__ import annotations

import pytest

from engine.board.grid import Grid, parse_grid
from engine.board.layout import MIDDLE, SMALL
from engine.techniques import technique_with
from tests.engine.techniques.checking import check, check_evidence, pencilled

TWO_AND_TWO = "r1c1 12, r2c2 23, r5c1 14, r5c5 43"
ONE_AND_TWO = "r1c1 12, r1c5 123, r2c6 123"
WORKED_XY_WING = "57428...6986.53..71236.7.58618.75.4.4.78..56.2.5.6478.3517.86.47.25..8..8.9.1..75"


def test_what_sees_all_places_of_a_digit_in_both_sets_loses_it() -> None:
    grid = pencilled(TWO_AND_TWO)
    check("als-xz", grid, "box 1, row 5: 1234 at r1c1 r2c2 r5c1 r5c5 -> r2c5<>3 r5c2<>3")
    check_evidence(
        "als-xz",
        grid,
        *(f"something in {cell}" for cell in ("r1c1", "r2c2", "r5c1", "r5c5")),
        "no two 2 in box 1",
        "no two 4 in row 5",
        "no two 1 in column 1",
        *(f"no two 3 in {house}" for house in ("row 2", "row 5", "column 2", "column 5")),
    )


def test_a_step_strikes_what_no_pair_of_fewer_cells_does() -> None:
    grid = parse_grid(WORKED_XY_WING)
    sizes: dict[tuple[int, int], set[int]] = {}
    for technique in ("als-xz", "large-als-xz"):
        for step in technique_with(technique).find(grid):
            for struck in grid.layout.pairs(step.removes):
                sizes.setdefault(struck, set()).add(len(step.cells))
    assert all(len(each) == 1 for each in sizes.values())
    assert {min(each) for each in sizes.values()} >= {4, 5, 6}


LINKED_TWICE = "r1c1 13, r1c5 23, r2c1 14, r1c2 24"


def test_sets_that_two_digits_link_are_one_step_with_all_that_goes() -> None:
    grid = pencilled(LINKED_TWICE)
    (step,) = technique_with("als-xz").find(grid)
    in_box = "r1c3 r2c2 r2c3 r3c1 r3c2 r3c3"
    in_row = "r1c3 r1c4 r1c6 r1c7 r1c8 r1c9"
    struck = {1: f"{in_box} r4c1 r5c1 r6c1 r7c1 r8c1 r9c1", 2: in_row, 3: in_row, 4: in_box}
    assert {
        (grid.layout.format_cell(cell), digit) for cell, digit in grid.layout.pairs(step.removes)
    } == {(cell, digit) for digit, cells in struck.items() for cell in cells.split()}
    check_evidence(
        "als-xz",
        grid,
        *(f"something in {cell}" for cell in ("r1c1", "r1c2", "r1c5", "r2c1")),
        "no two 1 in box 1",
        "no two 1 in column 1",
        "no two 2 in row 1",
        "no two 3 in row 1",
        "no two 4 in box 1",
    )


THREE_AND_TWO = "r1c1 15, r2c1 52, r3c2 253, r5c1 14, r5c5 43"
FOUR_AND_TWO = "r1c1 15, r2c1 56, r1c2 62, r2c2 23, r5c1 14, r5c5 43"


@pytest.mark.parametrize(
    ("cells", "technique", "level", "count"),
    [(THREE_AND_TWO, "als-xz", 5, 5), (FOUR_AND_TWO, "large-als-xz", 6, 6)],
)
def test_a_pair_of_more_than_five_cells_is_a_large_one_of_level_6(
    cells: str, technique: str, level: int, count: int
) -> None:
    grid = pencilled(cells)
    found = [
        (step.technique, step.level, len(step.cells))
        for each in ("als-xz", "large-als-xz")
        for step in technique_with(each).find(grid)
        if grid.layout.plane(step.removes, 3)
    ]
    assert set(found) == {(technique, level, count)}
    assert technique_with(technique).level == level


@pytest.mark.parametrize(
    "cells",
    [
        pytest.param("r5c5 12, r5c2 13, r2c5 23", id="an XY-wing"),
        pytest.param("r5c5 123, r5c2 13, r4c4 23", id="an XYZ-wing"),
        pytest.param("r1c1 12, r1c5 12", id="a naked pair"),
        pytest.param("r1c1 13, r1c5 123, r1c6 123", id="a naked triple"),
        pytest.param(TWO_AND_TWO.replace("r5c1 14", "r5c3 14"), id="the common out of sight"),
        pytest.param(TWO_AND_TWO.replace("r5c5 43", "r5c5 45"), id="only one digit in common"),
        pytest.param(TWO_AND_TWO.replace("r2c2 23", "r2c2 235"), id="a set with a digit too many"),
        pytest.param(TWO_AND_TWO + ", r2c5 1256789, r5c2 1256789", id="nothing to strike"),
    ],
)
def test_silent_where_the_sets_do_not_fit_or_it_is_another_technique(cells: str) -> None:
    check("als-xz", pencilled(cells))


def test_an_empty_grid_has_no_almost_locked_set() -> None:
    for layout in (SMALL, MIDDLE):
        check("als-xz", Grid.empty(layout))
