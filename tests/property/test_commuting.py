"""Rotating, mirroring, permuting and relabelling change nothing but names: every technique finds
the same instances, and a puzzle keeps its level, needs and effort.
"""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.grading import rate
from engine.grid import parse_grid
from engine.techniques import LADDER, Technique
from tests.corpus import Puzzle, load_puzzles, samples_by_technique
from tests.independent.reading import instance_of
from tests.independent.symmetry import Symmetry
from tests.property.strategies import LEAST_FIRINGS, grid_of, symmetries

LADDER_IDS = [technique.id for technique in LADDER]


@pytest.mark.parametrize("technique", LADDER, ids=LADDER_IDS)
def test_a_moved_position_holds_the_moved_instances(
    technique: Technique, fired: Counter[str]
) -> None:
    @settings(max_examples=60)
    @given(st.sampled_from(samples_by_technique()[technique.id]), symmetries())
    def check(sample, symmetry: Symmetry) -> None:
        grid = sample.grid
        moved = grid_of(symmetry.position(sample.plain))
        here = [instance_of(grid.layout, step) for step in technique.find(grid)]
        there = [instance_of(moved.layout, step) for step in technique.find(moved)]
        assert Counter(map(symmetry.instance, here)) == Counter(there)
        fired[technique.id] += len(here)

    check()
    assert fired[technique.id] >= LEAST_FIRINGS


@settings(max_examples=40)
@given(st.sampled_from(load_puzzles()), symmetries())
def test_a_moved_puzzle_keeps_level_needs_and_effort(puzzle: Puzzle, symmetry: Symmetry) -> None:
    here = rate(parse_grid(puzzle.text))
    there = rate(parse_grid(symmetry.text(puzzle.text)))
    assert here.level is not None
    assert (here.level, here.hardest, here.needs) == (there.level, there.hardest, there.needs)
    assert here.techniques == there.techniques
    assert here.effort == pytest.approx(there.effort)
    assert there.solution == symmetry.text(puzzle.solution)
