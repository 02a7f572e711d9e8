"""A step never strikes a digit of the solution, places no other one, and adds no candidates."""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given, settings

from engine.board.grid import Grid
from engine.board.step import Step
from engine.solving.paths import apply_step
from engine.techniques import LADDER, Technique
from tests.independent.definitions import Instance
from tests.independent.plain import Candidate, Plain
from tests.independent.reading import instance_of, plain_of
from tests.property.strategies import examples_for, grid_of, positions
from tests.sizes import Size, either_size

every_technique = pytest.mark.parametrize("technique", LADDER, ids=[each.id for each in LADDER])


@either_size
@every_technique
def test_a_step_keeps_to_the_solution_and_applied_does_just_what_it_says(
    technique: Technique, size: Size, fired: Counter[str]
) -> None:
    @settings(max_examples=size.count(examples_for(technique)))
    @given(positions(technique.id))
    def check(drawn: tuple[Plain, frozenset[Candidate]]) -> None:
        position, truth = drawn
        grid = grid_of(position)
        for step in technique.find(grid):
            found = instance_of(grid.layout, step)
            check_truth(found, truth)
            check_effect(grid, position, step, found)
            fired[technique.id] += 1

    check()
    assert fired[technique.id] >= size.least


def check_truth(found: Instance, truth: frozenset[Candidate]) -> None:
    assert found.places or found.removes
    assert found.places <= truth
    assert not found.removes & truth


def check_effect(grid: Grid, position: Plain, step: Step, found: Instance) -> None:
    after = apply_step(grid, step)
    assert after.candidates & ~grid.candidates == 0
    assert after.placed & grid.placed == grid.placed
    assert (after.candidates, after.placed) != (grid.candidates, grid.placed)
    assert plain_of(after) == position.after(found.places, found.removes)
