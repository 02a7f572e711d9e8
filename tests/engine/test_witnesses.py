"""Witnesses are placed digits that are seen, few of them, and named once."""

from __future__ import annotations

from engine.board.grid import Grid, grid_with
from engine.board.layout import CLASSIC, Cell
from engine.inference.witnesses import find_blockers, find_seen_digits, find_witnesses
from engine.solving.paths import find_steps
from engine.techniques import technique_with
from tests.corpus import load_samples


def cells(*names: str) -> tuple[Cell, ...]:
    return tuple(CLASSIC.parse_cell(name) for name in names)


def grid_of(**digits: int) -> Grid:
    return grid_with((CLASSIC.parse_cell(name), digit) for name, digit in digits.items())


def test_one_digit_that_blocks_all_is_preferred_to_several() -> None:
    blockers, left = find_blockers(grid_of(r2c9=7, r5c2=7), cells("r2c1", "r2c2", "r2c3"), 7)
    assert blockers == ((cells("r2c9")[0], cells("r2c1", "r2c2", "r2c3")),)
    assert left == ()


def test_a_cell_that_sees_no_such_digit_is_left_over() -> None:
    blockers, left = find_blockers(grid_of(r2c9=7, r5c2=7), cells("r1c2", "r1c1", "r2c1"), 7)
    assert blockers == tuple(
        zip(cells("r2c9", "r5c2"), (cells("r2c1"), cells("r1c2")), strict=True)
    )
    assert left == cells("r1c1")


def test_each_digit_that_a_cell_sees_is_named_once_row_first() -> None:
    grid = grid_of(r1c9=5, r9c1=5, r8c1=6, r2c2=6, r2c3=8)
    found = [(house.name, seen) for house, seen in find_seen_digits(grid, cells("r1c1")[0])]
    assert found == [
        ("row 1", cells("r1c9")),
        ("column 1", cells("r8c1")),
        ("box 1", cells("r2c3")),
    ]


def test_every_single_of_the_corpus_has_filled_cells_as_witnesses() -> None:
    checked = 0
    for sample in load_samples():
        if sample.technique not in ("hidden-single", "naked-single"):
            continue
        grid = sample.grid
        for step in find_steps(grid, technique_with(sample.technique)):
            for cell in find_witnesses(grid, step.constraints):
                assert grid.digit_at(cell)
                checked += 1
    assert checked > 200
