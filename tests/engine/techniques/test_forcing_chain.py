"""Forcing chains: each case told by single links to the same end."""

from __future__ import annotations

import pytest

from engine.board.grid import Grid, parse_grid
from engine.board.step import CellConstraint, HouseConstraint, LinkKind, Step
from engine.search.exact import solve
from engine.techniques import technique_with
from tests.engine.techniques.test_inference_chain import WEBER, position_after_plain_steps

INKALA_2010 = "..53.....8......2..7..1.5..4....53...1..7...6..32...8..6.5....9..4....3......97.."
BOTH = ("cell-forcing-chain", "house-forcing-chain")


def steps_of(technique: str, text: str) -> tuple[Grid, list[Step]]:
    grid = position_after_plain_steps(text)
    return grid, list(technique_with(technique).find(grid))


@pytest.mark.parametrize("technique", BOTH)
def test_inkala_2010_has_one_after_plain_steps(technique: str) -> None:
    grid, steps = steps_of(technique, INKALA_2010)
    assert [grid.layout.pairs(step.removes) for step in steps] == [
        ((grid.layout.parse_cell("r9c2"), 5),)
    ]


@pytest.mark.parametrize("technique", BOTH)
def test_every_case_has_its_line_and_all_lead_to_the_same_end(technique: str) -> None:
    grid, steps = steps_of(technique, WEBER)
    assert len(steps) > 10
    for step in steps:
        source = step.constraints[0]
        if technique == BOTH[0]:
            assert isinstance(source, CellConstraint)
            cases = {(source.cell, digit) for digit in grid.candidates_at(source.cell)}
        else:
            assert isinstance(source, HouseConstraint)
            places = grid.plane(source.digit) & grid.layout.houses[source.house].mask
            cases = {(cell, source.digit) for cell in grid.layout.cells_in(places)}
        assert len(cases) >= 3
        begins = {(line[0].first.cells[0], line[0].first.digit) for line in step.chains}
        ends = {(line[-1].second.cells[0], line[-1].second.digit) for line in step.chains}
        assert begins == cases
        assert len(step.chains) == len(cases)
        assert ends == set(grid.layout.pairs(step.removes))


@pytest.mark.parametrize("technique", BOTH)
def test_every_line_alternates_and_begins_and_ends_with_a_weak_link(technique: str) -> None:
    _, steps = steps_of(technique, WEBER)
    for step in steps:
        for line in step.chains:
            assert len(line) % 2 == 1
            assert {link.kind for link in line[::2]} == {LinkKind.WEAK}
            assert {link.kind for link in line[1::2]} <= {LinkKind.STRONG}


@pytest.mark.parametrize("technique", BOTH)
def test_none_strikes_a_digit_of_the_solution_nor_anything_twice(technique: str) -> None:
    grid, steps = steps_of(technique, WEBER)
    solution = solve(grid)
    assert solution is not None
    struck = [step.removes for step in steps]
    assert len(set(struck)) == len(struck)
    assert not any(removes & solution.placed for removes in struck)


@pytest.mark.parametrize("technique", BOTH)
def test_an_empty_grid_has_none(technique: str) -> None:
    assert not list(technique_with(technique).find(parse_grid("." * len(WEBER))))
