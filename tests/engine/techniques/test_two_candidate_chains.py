"""Remote pair and XY-chain: where they fire, with exactly what, and where not.

A position is an empty grid in which a few cells are held to a few digits.
"""

from __future__ import annotations

from itertools import groupby, pairwise

import pytest

from engine.board.grid import Grid, parse_grid
from engine.board.layout import MIDDLE, SMALL
from engine.board.step import Step
from engine.techniques import technique_with
from engine.techniques.xy_chain import LONGEST
from tests.engine.techniques.checking import check, check_evidence, check_walk, note, pencilled

FOUR_ALIKE = "r1c1 12, r1c5 12, r2c4 12, r8c4 12"
SIX_ALIKE = "r1c1 12, r1c8 12, r7c8 12, r7c4 12, r9c5 12, r9c2 12"
FOUR = "r1c1 12, r1c5 23, r6c5 34, r6c2 41"
FIVE = "r1c1 12, r1c5 23, r5c5 34, r5c8 45, r9c8 51"
WORKED_XY_WING = "57428...6986.53..71236.7.58618.75.4.4.78..56.2.5.6478.3517.86.47.25..8..8.9.1..75"


def test_a_remote_pair_strikes_both_digits_from_what_sees_both_ends() -> None:
    grid = pencilled(FOUR_ALIKE)
    at, goes = "12 at r1c1 r1c5 r2c4 r8c4", "r1c4<>12 r8c1<>12"
    check("remote-pair", grid, f"row 1, box 2, column 4: {at} -> {goes}")
    check_walk("remote-pair", grid, "1r1c1 = 2r1c1 - 2r1c5 = 1r1c5 - 1r2c4 = 2r2c4 - 2r8c4 = 1r8c4")
    check_evidence(
        "remote-pair",
        grid,
        *(f"something in {cell}" for cell in ("r1c1", "r1c5", "r2c4", "r8c4")),
        *(f"no two {d} in {h}" for d in (1, 2) for h in ("row 1", "box 2", "column 4")),
        *(f"no two {d} in {h}" for d in (1, 2) for h in ("row 8", "column 1")),
    )


def test_a_remote_pair_that_strikes_one_digit_cites_only_what_that_takes() -> None:
    grid = pencilled(FOUR_ALIKE + ", r8c1 13456789, r1c4 3456789")
    check_evidence(
        "remote-pair",
        grid,
        *(f"something in {cell}" for cell in ("r1c1", "r1c5", "r2c4", "r8c4")),
        "no two 2 in row 1",
        "no two 1 in box 2",
        "no two 2 in column 4",
        "no two 1 in row 8",
        "no two 1 in column 1",
    )


def test_a_remote_pair_of_six_cells_strikes_all_that_sees_both_ends() -> None:
    (step,) = technique_with("remote-pair").find(pencilled(SIX_ALIKE))
    assert len(step.cells) == 6
    victims = "r1c2<>12 r2c2<>12 r3c2<>12 r7c1<>12 r8c1<>12 r9c1<>12"
    assert note(pencilled(SIX_ALIKE).layout, step).endswith(f"-> {victims}")


def test_an_xy_chain_passes_one_digit_on_at_each_cell() -> None:
    grid = pencilled(FOUR)
    check(
        "xy-chain",
        grid,
        "row 1, column 5, row 6: 1234 at r1c1 r1c5 r6c2 r6c5 -> "
        "r1c2<>1 r2c2<>1 r3c2<>1 r4c1<>1 r5c1<>1 r6c1<>1",
    )
    check_walk("xy-chain", grid, "1r1c1 = 2r1c1 - 2r1c5 = 3r1c5 - 3r6c5 = 4r6c5 - 4r6c2 = 1r6c2")
    check_evidence(
        "xy-chain",
        grid,
        *(f"something in {cell}" for cell in ("r1c1", "r1c5", "r6c2", "r6c5")),
        "no two 2 in row 1",
        "no two 3 in column 5",
        "no two 4 in row 6",
        *(f"no two 1 in {house}" for house in ("column 1", "column 2", "box 1", "box 4")),
    )


def test_a_chain_of_an_odd_number_of_cells_is_one_as_well() -> None:
    check(
        "xy-chain",
        pencilled(FIVE),
        "row 1, column 5, row 5, column 8: 12345 at r1c1 r1c5 r5c5 r5c8 r9c8 -> r1c8<>1 r9c1<>1",
    )


def test_an_xy_chain_of_three_cells_is_the_worked_xy_wing() -> None:
    """Facts.md, worked steps (computed)."""
    grid = parse_grid(WORKED_XY_WING)
    (wing,) = technique_with("xy-wing").find(grid)
    first = next(iter(technique_with("xy-chain").find(grid)))
    assert (first.cells, first.removes) == (wing.cells, wing.removes)
    assert set(first.constraints) == set(wing.constraints)


def test_a_longer_chain_strikes_all_that_sees_its_ends_and_something_that_no_shorter_one_does() -> (
    None
):
    grid, struck = parse_grid(WORKED_XY_WING), 0
    steps = xy_chains(grid)
    for length, same in groupby(steps, key=lambda step: len(step.cells)):
        before = struck
        for step in same:
            (line,) = step.chains
            ends = [grid.layout.peers[each.cells[0]] for each in (line[0].first, line[-1].second)]
            digit = line[0].first.digit
            seen = grid.plane(digit) & ends[0] & ends[1] & ~sum(1 << cell for cell in step.cells)
            assert step.removes == grid.layout.spread(seen, digit)
            assert step.removes & ~before, length
            struck |= step.removes
    assert {len(step.cells) for step in steps} >= {3, 4, 5, 6}


def xy_chains(grid: Grid) -> list[Step]:
    """Short ones and long ones."""
    return [
        step
        for technique in ("xy-chain", "long-xy-chain")
        for step in technique_with(technique).find(grid)
    ]


def winding(cells: int) -> str:
    """Write a chain of so many cells that starts and ends in 9, and cannot be cut short."""
    names = [
        "r1c1",
        "r9c1",
        "r8c1",
        "r8c5",
        "r9c4",
        "r1c4",
        "r5c4",
        "r5c5",
        "r5c9",
        "r2c9",
        "r7c9",
        "r3c9",
        "r2c8",
    ][:cells]
    digits = [9, *(1 + place % 8 for place in range(cells - 1)), 9]
    pairs = zip(names, pairwise(digits), strict=True)
    return ", ".join(f"{name} {one}{other}" for name, (one, other) in pairs)


def lengths_of_chains_on_9(grid: Grid) -> list[int]:
    nines = grid.layout.spread(grid.layout.all_cells, 9)
    return [len(step.cells) for step in xy_chains(grid) if step.removes & nines]


@pytest.mark.parametrize(
    ("technique", "cells"),
    [
        pytest.param("remote-pair", "r1c1 12, r1c8 12, r7c8 12", id="three cells"),
        pytest.param("remote-pair", FOUR_ALIKE.replace("r8c4 12", "r8c4 13"), id="one differs"),
        pytest.param("remote-pair", FOUR_ALIKE.replace("r2c4", "r3c7"), id="a cell out of sight"),
        pytest.param("remote-pair", FOUR_ALIKE + ", r8c1 3456789", id="nothing to strike"),
        pytest.param("remote-pair", "r1c1 12, r1c8 12, r7c8 12, r7c4 12", id="naked pairs do it"),
        pytest.param("xy-chain", FIVE.replace("r9c8 51", "r9c8 56"), id="ends in another digit"),
        pytest.param("xy-chain", FIVE.replace("r5c5 34", "r5c5 35"), id="a digit is not passed on"),
        pytest.param("xy-chain", FIVE.replace("r5c5 34", "r5c5 346"), id="a cell of three"),
        pytest.param("xy-chain", FIVE + ", r1c8 6789, r9c1 6789", id="nothing to strike"),
        pytest.param("xy-chain", "r1c1 12, r1c5 12", id="a naked pair"),
    ],
)
def test_silent_where_a_chain_is_broken_or_strikes_nothing(technique: str, cells: str) -> None:
    check(technique, pencilled(cells))


def test_the_longest_chain_is_found_and_a_longer_one_is_not() -> None:
    assert lengths_of_chains_on_9(pencilled(winding(LONGEST))) == [LONGEST]
    assert lengths_of_chains_on_9(pencilled(winding(LONGEST + 1))) == []


@pytest.mark.parametrize(
    ("cells", "technique", "level"), [(6, "xy-chain", 5), (7, "long-xy-chain", 6)]
)
def test_a_chain_of_more_than_six_cells_is_a_long_one_of_level_6(
    cells: int, technique: str, level: int
) -> None:
    grid = pencilled(winding(cells))
    nines = grid.layout.spread(grid.layout.all_cells, 9)
    (step,) = (each for each in xy_chains(grid) if each.removes & nines)
    assert (step.technique, step.level, len(step.cells)) == (technique, level, cells)
    assert technique_with(technique).level == level


@pytest.mark.parametrize("technique", ["remote-pair", "xy-chain", "long-xy-chain"])
def test_an_empty_grid_has_no_chain(technique: str) -> None:
    for layout in (SMALL, MIDDLE):
        check(technique, Grid.empty(layout))
