"""The engine finds just the instances that the plain definitions find: none missing, none more."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest

from engine.board.layout import CLASSIC
from engine.techniques import LADDER, RANKS, Technique, technique_with
from tests.corpus import NEVER_FIRST, Sample, load_samples, samples_by_technique, steps_at
from tests.independent.almost_locked import find_pair_victims, goes_by_less
from tests.independent.definitions import DEFINITIONS
from tests.independent.forcing import FORCED
from tests.independent.higher import EXACT, FEWEST, LONGEST_TRIED, SHORTEST
from tests.independent.inference import find_chain_victims
from tests.independent.reading import FISH, bare_instance_of, instance_of, length_of, shortest_of
from tests.sizes import PART, WHOLE

OF_OWN = 22
OF_OTHERS = {1: 2, 2: 2, 3: 2, 4: 1, 5: 1, 6: 1}
"""Positions looked at for each technique: of its own corpus, and by its level of every other's."""

DEFINED = [each for each in LADDER if each.id in {**DEFINITIONS, **EXACT, **SHORTEST}]
every_defined = pytest.mark.parametrize("technique", DEFINED, ids=[each.id for each in DEFINED])


def positions_for(technique: Technique) -> list[Sample]:
    return [
        sample
        for owner, samples in samples_by_technique().items()
        for sample in samples[: OF_OWN if owner == technique.id else OF_OTHERS[technique.level]]
    ]


def check(technique: Technique, sample: Sample) -> int:
    """Compare one technique at one position; return how many instances there are."""
    layout, steps = sample.grid.layout, steps_at(sample, technique.id)
    if technique.id in SHORTEST:
        return check_chains(technique, sample)
    if technique.id in DEFINITIONS:
        has_houses = technique.id != "naked-single"  # a cell with one candidate needs no house
        found = [instance_of(layout, step, with_houses=has_houses) for step in steps]
        expected = list(DEFINITIONS[technique.id](sample.plain))
    else:
        found = [bare_instance_of(layout, step) for step in steps]
        expected = list(EXACT[technique.id](sample.plain))
        if technique.id not in FISH:  # what is seen twice is one instance
            bare = (replace(each, houses=None, covers=frozenset()) for each in expected)
            expected = list(set(bare))
    assert Counter(found) == Counter(expected), sample
    return len(expected)


def check_chains(technique: Technique, sample: Sample) -> int:
    """Compare what chains strike, and how long they are; return how many candidates go by them.

    What something shorter of another name strikes goes only beside what nothing shorter does.
    """
    layout, steps = sample.grid.layout, steps_at(sample, technique.id)
    lengths = SHORTEST[technique.id](sample.plain)
    own = {c: n for c, n in lengths.items() if n >= FEWEST[technique.id]}
    longest = LONGEST_TRIED.get(technique.id, 81)
    found = {c: n for c, n in shortest_of(layout, steps).items() if n <= longest}
    assert {c: n for c, n in found.items() if c in own} == own, sample
    assert found.keys() <= lengths.keys(), sample
    for step in steps:
        removes = instance_of(layout, step).removes
        assert length_of(step) > longest or length_of(step) in map(own.get, removes), (sample, step)
    return len(own)


@every_defined
def test_exactly_the_instances_of_the_definition_are_found(
    technique: Technique, fired: Counter[str]
) -> None:
    for sample in positions_for(technique):
        fired[technique.id] += check(technique, sample)
    assert fired[technique.id] >= PART.least


@pytest.mark.long
@every_defined
def test_the_whole_corpus_holds_exactly_the_instances_of_the_definition(
    technique: Technique, fired: Counter[str]
) -> None:
    for sample in load_samples():
        fired[technique.id] += check(technique, sample)
    assert fired[technique.id] >= WHOLE.least


def test_every_technique_of_the_ladder_has_a_corpus_and_if_it_can_be_tried_out_a_definition() -> (
    None
):
    ids = [technique.id for technique in LADDER]
    assert set(samples_by_technique()) == set(ids)
    assert all(len(samples) >= WHOLE.least for samples in samples_by_technique().values())
    undefined = [each.id for each in LADDER if each not in DEFINED]
    assert undefined == [
        "als-xz",
        "large-als-xz",
        "alternating-inference-chain",
        "cell-forcing-chain",
        "house-forcing-chain",
        "traced-contradiction",
    ]


def assert_first(sample: Sample) -> None:
    if sample.technique in NEVER_FIRST:
        assert steps_at(sample, sample.technique), sample
    else:
        works = (technique.id for technique in LADDER if steps_at(sample, technique.id))
        assert next(works) == sample.technique, sample


def test_at_a_position_of_the_corpus_its_technique_is_the_first_that_does_anything() -> None:
    for sample in load_samples()[::12]:
        assert_first(sample)


@pytest.mark.long
def test_at_each_position_of_the_corpus_its_technique_is_the_first_that_does_anything() -> None:
    for sample in load_samples():
        assert_first(sample)


def chainless() -> list[Sample]:
    """The positions of techniques above the inference chain: it finds nothing there."""
    above = LADDER[RANKS["alternating-inference-chain"] + 1 :]
    return [sample for each in above for sample in samples_by_technique()[each.id]]


def assert_no_chain_is_left(sample: Sample) -> None:
    assert not steps_at(sample, "alternating-inference-chain")
    assert find_chain_victims(sample.plain) == frozenset(), sample


def test_where_no_inference_chain_is_found_none_between_single_candidates_is_left() -> None:
    for sample in chainless()[::12]:
        assert_no_chain_is_left(sample)


@pytest.mark.long
def test_nowhere_in_the_corpus_an_inference_chain_is_missed() -> None:
    for sample in chainless():
        assert_no_chain_is_left(sample)


def check_forced(technique: str, samples: list[Sample]) -> int:
    """Compare what forcing chains strike with what falls from every case; return how much does."""
    struck = 0
    for sample in samples:
        found = {
            (CLASSIC.format_cell(cell), digit)
            for step in steps_at(sample, technique)
            for cell, digit in CLASSIC.pairs(step.removes)
        }
        assert found == FORCED[technique](sample.plain), sample
        struck += len(found)
    return struck


@pytest.mark.parametrize("technique", FORCED)
def test_forcing_chains_strike_just_what_falls_from_every_case(technique: str) -> None:
    own, above = samples_by_technique()[technique], samples_by_technique()["traced-contradiction"]
    assert check_forced(technique, [*own[:5], *above[:1]]) > 5


@pytest.mark.long
@pytest.mark.parametrize("technique", FORCED)
def test_forcing_chains_are_found_wherever_they_are(technique: str) -> None:
    samples = [sample for sample in load_samples() if technique_with(sample.technique).level > 4]
    assert check_forced(technique, samples) > WHOLE.least


PAIRS = ("als-xz", "large-als-xz")
CELLS_OF_A_PAIR = 5
"""Of one that is not large: the line between level 5 and level 6 is our own."""


def check_pairs(samples: list[Sample], fired: Counter[str]) -> None:
    """Almost-locked pairs strike all that their definition strikes where nothing below works."""
    for sample in samples:
        struck = {
            technique: {
                (CLASSIC.format_cell(cell), digit)
                for step in steps_at(sample, technique)
                for cell, digit in CLASSIC.pairs(step.removes)
            }
            for technique in PAIRS
        }
        by_few = find_pair_victims(sample.plain, CELLS_OF_A_PAIR)
        by_any = find_pair_victims(sample.plain)
        assert struck["als-xz"] == by_few, sample
        assert struck["large-als-xz"] <= by_any, sample
        for victim in by_any - by_few - struck["large-als-xz"]:
            assert goes_by_less(sample.plain, victim), (sample, victim)
        fired.update(technique for technique in PAIRS for _ in steps_at(sample, technique))


def test_almost_locked_pairs_strike_just_what_their_definition_does(fired: Counter[str]) -> None:
    own = (sample for technique in PAIRS for sample in samples_by_technique()[technique][:5])
    check_pairs([*own, *chainless()[::80]], fired)
    assert min(fired[technique] for technique in PAIRS) >= 5


@pytest.mark.long
def test_almost_locked_pairs_are_found_wherever_they_are(fired: Counter[str]) -> None:
    above = ("long-xy-chain", "alternating-inference-chain")
    own = (sample for technique in (*PAIRS, *above) for sample in samples_by_technique()[technique])
    check_pairs([*own, *chainless()], fired)
    assert min(fired[technique] for technique in PAIRS) >= WHOLE.least
