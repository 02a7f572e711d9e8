"""Avoidable rectangles: where they fire, with exactly what, and where not.

A position is an empty grid in which a few digits are written, and a few cells held to a few digits.
"""

from __future__ import annotations

from collections import Counter

import pytest

from engine.board.grid import Grid, format_grid, parse_grid, position_of
from engine.board.layout import CLASSIC, diagonal_layout
from engine.board.step import Step
from engine.solving.sweeping import find_stages
from engine.techniques import LADDER, technique_with
from tests.corpus import load_puzzles, samples_by_technique
from tests.engine.techniques.checking import check, check_evidence, pencilled

LINES = "row 1, row 2, column 1, column 4: "
CORNERS = "at r1c1 r1c4 r2c1 r2c4"
THREE = "r1c1 1, r1c4 2, r2c1 2"
SIDE_BY_SIDE = "r1c1 1, r1c4 2"
ACROSS = "r1c1 1, r2c4 1"


def written(digits: str, grid: Grid | None = None) -> Grid:
    """Write `r1c1 1, r1c4 2` as own digits."""
    grid = grid or Grid.empty()
    for part in digits.split(", "):
        name, digit = part.split(" ")
        grid = grid.place(grid.layout.parse_cell(name), int(digit))
    return grid


def given(grid: Grid, *names: str) -> Grid:
    """Make a few of the digits givens."""
    return grid.with_own(grid.own & ~grid.layout.mask_of(map(grid.layout.parse_cell, names)))


def steps(grid: Grid) -> list[Step]:
    return list(technique_with("avoidable-rectangle").find(grid))


def test_type_1_strikes_what_would_complete_the_rectangle() -> None:
    grid = written(THREE)
    check("avoidable-rectangle", grid, f"{LINES}12 {CORNERS} -> r2c4<>1")
    assert [step.variant for step in steps(grid)] == ["type-1"]
    check_evidence(
        "avoidable-rectangle",
        grid,
        *(f"something in {cell}" for cell in ("r1c1", "r1c4", "r2c1")),
    )


def test_type_2_side_by_side_strikes_the_digit_that_both_open_corners_can_hold_besides() -> None:
    grid = written(SIDE_BY_SIDE, pencilled("r2c1 23, r2c4 13"))
    others = " ".join(f"r2c{column}<>3" for column in (2, 3, 5, 6, 7, 8, 9))
    check("avoidable-rectangle", grid, f"{LINES}123 {CORNERS} -> {others}")
    assert [step.variant for step in steps(grid)] == ["type-2"]
    check_evidence(
        "avoidable-rectangle",
        grid,
        *(f"something in {cell}" for cell in ("r1c1", "r1c4", "r2c1", "r2c4")),
        "no two 3 in row 2",
    )


def test_type_2_across_strikes_both_digits_of_the_open_corners() -> None:
    """Whichever of them makes the rectangle, the other one is in one of the corners."""
    grid = written(ACROSS, pencilled("r1c4 23, r2c1 23"))
    others = " ".join(f"{cell}<>23" for cell in ("r1c2", "r1c3", "r2c5", "r2c6"))
    check("avoidable-rectangle", grid, f"{LINES}123 {CORNERS} -> {others}")


def test_type_3_takes_the_open_corners_as_one_cell_of_a_naked_subset() -> None:
    grid = written(SIDE_BY_SIDE, pencilled("r2c1 23, r2c4 14, r2c8 34"))
    others = " ".join(f"r2c{column}<>34" for column in (2, 3, 5, 6, 7, 9))
    check("avoidable-rectangle", grid, f"{LINES}1234 {CORNERS} r2c8 -> row 2: {others}")
    assert [step.variant for step in steps(grid)] == ["type-3"]
    check_evidence(
        "avoidable-rectangle",
        grid,
        *(f"something in {cell}" for cell in ("r1c1", "r1c4", "r2c1", "r2c4", "r2c8")),
        "no two 3 in row 2",
        "no two 4 in row 2",
    )


def test_type_3_works_with_two_cells_beside_the_open_corners() -> None:
    grid = written(SIDE_BY_SIDE, pencilled("r2c1 234, r2c4 134, r2c8 345, r2c9 45"))
    others = " ".join(f"r2c{column}<>345" for column in (2, 3, 5, 6, 7))
    check("avoidable-rectangle", grid, f"{LINES}12345 {CORNERS} r2c8 r2c9 -> row 2: {others}")


@pytest.mark.parametrize("name", ["r1c1", "r1c4", "r2c1"])
def test_a_given_among_the_corners_keeps_the_two_digits_from_changing_places(name: str) -> None:
    check("avoidable-rectangle", given(written(THREE), name))


def test_what_is_read_from_a_text_is_given_until_it_is_said_to_be_own() -> None:
    grid = written(THREE)
    text = format_grid(grid)
    check("avoidable-rectangle", parse_grid(text))
    assert position_of(text, (), own=("r1c1", "r1c4", "r2c1")) == grid


@pytest.mark.parametrize(
    ("digits", "cells"),
    [
        pytest.param("r1c1 1, r4c4 1, r1c4 2", "r4c1 234", id="four boxes"),
        pytest.param("r1c1 1, r1c2 2, r2c1 3", "r2c2 456", id="one box"),
        pytest.param("r1c1 1, r1c4 2, r2c1 3", "r2c4 145", id="three digits"),
        pytest.param(THREE, "r2c4 1", id="the open corner can hold nothing else"),
        pytest.param(THREE, "r2c4 34", id="the open corner cannot complete it"),
        pytest.param(SIDE_BY_SIDE, "r2c1 23, r2c4 14, r3c8 34", id="the third cell elsewhere"),
        pytest.param(SIDE_BY_SIDE, "r2c1 23, r2c4 14, r2c8 345", id="the third cell holds more"),
        pytest.param(SIDE_BY_SIDE, "r2c1 23, r2c4 34, r2c8 34", id="nothing completes it"),
        pytest.param("r1c1 1", "r1c4 23, r2c1 23, r2c4 13", id="one corner filled"),
        pytest.param(SIDE_BY_SIDE, "r2c1 23, r2c4 14", id="different extra digits"),
        pytest.param(SIDE_BY_SIDE, "r2c1 234, r2c4 13", id="a second extra digit"),
        pytest.param(SIDE_BY_SIDE, "r2c1 34, r2c4 13", id="a corner that cannot complete it"),
        pytest.param("r1c1 1, r2c4 3", "r1c4 24, r2c1 24", id="filled across with two digits"),
        pytest.param(ACROSS, "r1c4 23, r2c1 24", id="open across with three digits"),
    ],
)
def test_silent_where_the_corners_need_not_come_to_two_digits(digits: str, cells: str) -> None:
    check("avoidable-rectangle", written(digits, pencilled(cells)))


def test_a_diagonal_through_one_corner_makes_the_exchange_impossible() -> None:
    diagonal = diagonal_layout(CLASSIC)
    assert steps(written(THREE))
    assert not steps(written(THREE, Grid.empty(diagonal)))


def test_with_every_digit_given_the_corpus_has_no_such_step() -> None:
    samples = samples_by_technique()["avoidable-rectangle"]
    for sample in samples:
        assert steps(sample.grid)
        assert not steps(sample.grid.with_own(0))


def test_each_filled_corner_has_to_be_own() -> None:
    """At every position of the corpus: one given among the corners, and the step is gone."""
    count = 0
    for sample in samples_by_technique()["avoidable-rectangle"]:
        grid = sample.grid
        for step in steps(grid):
            filled = grid.layout.mask_of(step.cells) & grid.filled_cells
            for cell in grid.layout.cells_in(filled):
                left = steps(grid.with_own(grid.own & ~(1 << cell)))
                assert step.cells not in [each.cells for each in left]
                count += 1
    assert count >= 100


def test_only_where_givens_are_told_apart_is_no_digit_of_the_solution_struck() -> None:
    """At every position on the way through puzzles, as it is and as if nothing had been given."""
    struck: Counter[str] = Counter()
    for puzzle in load_puzzles()[::25]:
        truth = parse_grid(puzzle.solution).placed
        for stage in find_stages(parse_grid(puzzle.text), LADDER):
            position = stage.position
            assert not any(step.removes & truth for step in steps(position))
            for step in steps(position.with_own(position.filled_cells)):
                struck["wrongly" if step.removes & truth else "rightly"] += 1
    assert struck["wrongly"] > 50
