"""The engine finds just the instances that the plain definitions find: none missing, none more."""

from __future__ import annotations

from collections import Counter

import pytest

from engine.techniques import LADDER, Technique
from tests.corpus import Sample, load_samples, samples_by_technique
from tests.independent.definitions import DEFINITIONS
from tests.independent.reading import instance_of
from tests.property.strategies import LEAST_FIRINGS

OF_OWN = 55
OF_OTHERS = 4
"""Positions looked at for each technique: of its own corpus, and of every other technique's."""


def positions_for(technique: Technique) -> list[Sample]:
    return [
        sample
        for owner, samples in samples_by_technique().items()
        for sample in samples[: OF_OWN if owner == technique.id else OF_OTHERS]
    ]


def check(technique: Technique, sample: Sample) -> int:
    """Compare one technique at one position; return how many instances there are."""
    grid = sample.grid
    has_houses = technique.id != "naked-single"  # a cell with one candidate needs no house
    found = [
        instance_of(grid.layout, step, with_houses=has_houses) for step in technique.find(grid)
    ]
    expected = list(DEFINITIONS[technique.id](sample.plain))
    assert Counter(found) == Counter(expected), sample
    return len(expected)


@pytest.mark.parametrize("technique", LADDER, ids=[each.id for each in LADDER])
def test_exactly_the_instances_of_the_definition_are_found(
    technique: Technique, fired: Counter[str]
) -> None:
    for sample in positions_for(technique):
        fired[technique.id] += check(technique, sample)
    assert fired[technique.id] >= LEAST_FIRINGS


@pytest.mark.long
@pytest.mark.parametrize("technique", LADDER, ids=[each.id for each in LADDER])
def test_the_whole_corpus_holds_exactly_the_instances_of_the_definition(
    technique: Technique, fired: Counter[str]
) -> None:
    for sample in load_samples():
        fired[technique.id] += check(technique, sample)
    assert fired[technique.id] >= LEAST_FIRINGS


def test_every_technique_of_the_ladder_has_a_definition_and_a_corpus() -> None:
    ids = [technique.id for technique in LADDER]
    assert list(DEFINITIONS) == [each for each in ids if each in DEFINITIONS]
    assert set(samples_by_technique()) == set(DEFINITIONS)
    assert all(technique.id in DEFINITIONS for technique in LADDER if technique.level <= 3)
    assert all(len(samples) >= LEAST_FIRINGS for samples in samples_by_technique().values())


def test_at_each_position_of_the_corpus_its_technique_is_the_first_that_does_anything() -> None:
    for sample in load_samples():
        grid = sample.grid
        first = next(technique.id for technique in LADDER if any(technique.find(grid)))
        assert first == sample.technique
