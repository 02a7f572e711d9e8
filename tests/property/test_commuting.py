"""Rotating, mirroring, permuting and relabelling change nothing but names: every technique finds
the same instances, and a puzzle keeps its level, needs and effort.
"""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.board.grid import parse_grid
from engine.solving.grading import rate
from engine.techniques import LADDER, Technique, technique_with
from tests.corpus import Puzzle, Sample, load_puzzles, steps_at
from tests.independent.reading import CHAINS, bare_instance_of, instance_of, shortest_of
from tests.independent.symmetry import Symmetry
from tests.property.strategies import examples_for, grid_of, samples_of, symmetries
from tests.sizes import Size, either_size

LADDER_IDS = [technique.id for technique in LADDER]
MOST_FOR_DEFAULT = 3
"""Up to this level the default run rates whole puzzles; the long run rates them all."""


@either_size
@pytest.mark.parametrize("technique", LADDER, ids=LADDER_IDS)
def test_a_moved_position_holds_the_moved_instances(
    technique: Technique, size: Size, fired: Counter[str]
) -> None:
    @settings(max_examples=size.count(examples_for(technique)))
    @given(samples_of(technique.id), symmetries())
    def check(sample: Sample, symmetry: Symmetry) -> None:
        moved = grid_of(symmetry.position(sample.plain))
        here, there = steps_at(sample, technique.id), tuple(technique.find(moved))
        layout = moved.layout
        if technique.id in CHAINS:
            shortest = shortest_of(layout, here)
            expected = {symmetry.candidate(each): length for each, length in shortest.items()}
            assert shortest_of(layout, there) == expected
        else:
            read = instance_of if technique.level <= 3 else bare_instance_of
            expected_instances = Counter(symmetry.instance(read(layout, step)) for step in here)
            assert Counter(read(layout, step) for step in there) == expected_instances
        fired[technique.id] += len(here)

    check()
    assert fired[technique.id] >= size.least


def check_rating(puzzle: Puzzle, symmetry: Symmetry) -> None:
    here = rate(parse_grid(puzzle.text))
    there = rate(parse_grid(symmetry.text(puzzle.text)))
    assert here.level is not None
    assert (here.level, here.hardest, here.needs) == (there.level, there.hardest, there.needs)
    assert here.techniques == there.techniques
    assert here.effort == pytest.approx(there.effort)
    assert there.solution == symmetry.text(puzzle.solution)


@settings(max_examples=8)
@given(
    st.sampled_from(
        [each for each in load_puzzles() if technique_with(each.hardest).level <= MOST_FOR_DEFAULT]
    ),
    symmetries(),
)
def test_a_moved_puzzle_keeps_level_needs_and_effort(puzzle: Puzzle, symmetry: Symmetry) -> None:
    check_rating(puzzle, symmetry)


HARDEST = sorted({puzzle.hardest for puzzle in load_puzzles()})


@pytest.mark.long
@pytest.mark.parametrize("hardest", HARDEST)
def test_a_moved_puzzle_of_any_technique_keeps_level_needs_and_effort(hardest: str) -> None:
    puzzles = [each for each in load_puzzles() if each.hardest == hardest]

    @settings(max_examples=4)
    @given(st.sampled_from(puzzles), symmetries())
    def check(puzzle: Puzzle, symmetry: Symmetry) -> None:
        check_rating(puzzle, symmetry)

    check()
