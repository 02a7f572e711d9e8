"""The checker itself: planted claims that are false, unjustified or padded are rejected."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from functools import cache

import pytest

from engine.board.step import Bound
from engine.techniques import LADDER, Technique
from tests.corpus import Sample, samples_by_technique, steps_at
from tests.independent.plain import Candidate, Plain, houses_of
from tests.independent.reading import CHAINS
from tests.proof.checker import Cited, Claim, Fault, find_faults, read_claim
from tests.proof.proving import FORCING, is_proved
from tests.proof.traces import TRACED
from tests.sizes import WHOLE, Size, either_size

CLAIMING = [technique for technique in LADDER if technique.id != TRACED]
every_technique = pytest.mark.parametrize("technique", CLAIMING, ids=[each.id for each in CLAIMING])
MINIMAL = [technique for technique in CLAIMING if technique.id not in FORCING]
every_minimal = pytest.mark.parametrize("technique", MINIMAL, ids=[each.id for each in MINIMAL])
MOST_CLAIMS = {1: 2, 2: 2, 3: 2, 4: 1, 5: 1, 6: 1}
"""Level -> claims of one sample."""
MOST_DROPPED = 9
"""Constraints of one claim that are left out one by one."""


@cache
def good_claims(technique: Technique, size: Size) -> tuple[tuple[Sample, Plain, Claim], ...]:
    """Claims that the checker accepts, to be spoilt one by one."""
    return tuple(
        (sample, sample.plain, read_claim(sample.grid.layout, sample.plain, step))
        for sample in size.some_of(samples_by_technique()[technique.id])
        for step in steps_at(sample, technique.id)[: MOST_CLAIMS[technique.level]]
    )


def kinds(position: Plain, claim: Claim) -> set[Fault]:
    return {fault for fault, _ in find_faults(position, claim)}


def is_not_entailed(position: Plain, claim: Claim) -> bool:
    """Whether that is among what is wrong with it; what else is, is not looked for any more."""
    return any(fault is Fault.NOT_ENTAILED for fault, _ in find_faults(position, claim))


def still_possible(position: Plain) -> list[Candidate]:
    return sorted((c, d) for c, here in position.candidates.items() for d in here)


@either_size
@every_technique
def test_a_claim_that_strikes_the_true_digit_is_rejected(
    technique: Technique, size: Size, fired: Counter[str]
) -> None:
    for sample, position, claim in good_claims(technique, size):
        true = min(c for c in still_possible(position) if c in sample.truth - claim.places)
        false_claim = replace(claim, removes=claim.removes | {true})
        assert is_not_entailed(position, false_claim)
        fired[technique.id] += 1
    assert fired[technique.id] >= size.least


@either_size
@every_technique
def test_a_claim_that_places_a_wrong_digit_is_rejected(
    technique: Technique, size: Size, fired: Counter[str]
) -> None:
    for sample, position, claim in good_claims(technique, size):
        wrong = [c for c in still_possible(position) if c not in sample.truth | claim.removes]
        if wrong:
            false_claim = replace(claim, places=claim.places | {wrong[0]})
            assert is_not_entailed(position, false_claim)
            fired[technique.id] += 1
    assert fired[technique.id] >= size.least


@either_size
@every_technique
def test_a_true_but_unjustified_elimination_is_rejected(
    technique: Technique, size: Size, fired: Counter[str]
) -> None:
    for sample, position, claim in good_claims(technique, size):
        settled = sample.truth | claim.removes
        if technique.id in CHAINS:  # what a shorter one strikes can follow without being told
            settled = settled.union(*(cited.scope for cited in claim.cited))
        untouched = still_possible(position.after(claim.places, ()))  # placing strikes by itself
        for also_true in [c for c in untouched if c not in settled][:3]:
            unjustified = replace(claim, removes=claim.removes | {also_true})
            assert is_not_entailed(position, unjustified), (sample, also_true)
            fired[technique.id] += 1
    assert fired[technique.id] >= size.least


@either_size
@every_technique
def test_a_true_but_unjustified_placement_is_rejected(
    technique: Technique, size: Size, fired: Counter[str]
) -> None:
    for sample, position, claim in good_claims(technique, size):
        settled = claim.places
        if technique.id == "unique-rectangle":  # of type 6 the digit in the other corners follows
            settled = settled.union(*(cited.scope for cited in claim.cited))
        also_true = min(c for c in still_possible(position) if c in sample.truth - settled)
        unjustified = replace(claim, places=claim.places | {also_true})
        assert is_not_entailed(position, unjustified), (sample, also_true)
        fired[technique.id] += 1
    assert fired[technique.id] >= size.least


@either_size
@every_minimal
def test_a_claim_with_a_superfluous_constraint_is_rejected(
    technique: Technique, size: Size, fired: Counter[str]
) -> None:
    for _, position, claim in good_claims(technique, size):
        for spare in spare_constraints(position, claim):
            padded = replace(claim, cited=(*claim.cited, spare))
            faults = list(find_faults(position, padded))
            assert (Fault.SPARE, spare) in faults
            fired[technique.id] += 1
    assert fired[technique.id] >= size.least


def spare_constraints(position: Plain, claim: Claim) -> Iterator[Cited]:
    """A cell and a house that hold nothing of the claim, and a constraint that it cites already."""
    used = frozenset().union(*(cited.scope for cited in claim.cited))
    digits = range(1, position.shape.size + 1)
    for cell in sorted(position.candidates):
        scope = frozenset((cell, digit) for digit in digits)
        if not scope & used:
            yield Cited(Bound.AT_LEAST_ONE, scope)
            break
    for house, cells in houses_of(position.shape).items():
        scopes = [frozenset((c, d) for c in cells) for d in digits if position.places(house, d)]
        if scopes and not scopes[0] & used:
            yield Cited(Bound.AT_MOST_ONE, scopes[0])
            break
    yield claim.cited[0]


@either_size
@every_minimal
def test_a_claim_that_lacks_one_of_its_constraints_is_rejected(
    technique: Technique, size: Size, fired: Counter[str]
) -> None:
    for _, position, claim in good_claims(technique, size):
        for index in range(len(claim.cited))[:MOST_DROPPED]:
            lame = replace(claim, cited=claim.cited[:index] + claim.cited[index + 1 :])
            assert is_not_entailed(position, lame)
            fired[technique.id] += 1
    assert fired[technique.id] >= size.least


@either_size
@every_technique
def test_a_claim_whose_premises_cannot_hold_is_rejected(technique: Technique, size: Size) -> None:
    """From premises that contradict each other everything would follow."""
    for _, position, claim in good_claims(technique, size):
        filled, here = min(position.digits.items())
        scope = frozenset((filled, digit) for digit in range(1, 10) if digit != here)
        impossible = replace(claim, cited=(*claim.cited, Cited(Bound.AT_LEAST_ONE, scope)))
        assert kinds(position, impossible) == {Fault.IMPOSSIBLE}


@either_size
@every_technique
def test_a_claim_that_changes_nothing_is_rejected(technique: Technique, size: Size) -> None:
    for _, position, claim in good_claims(technique, size):
        nothing = replace(claim, places=frozenset(), removes=frozenset())
        assert kinds(position, nothing) == {Fault.NO_CONCLUSION}
        filled, digit = min(position.digits.items())
        idle = replace(claim, removes=claim.removes | {(filled, digit % 9 + 1)})
        assert Fault.IDLE in kinds(position, idle)


BY_UNIQUENESS = [technique for technique in LADDER if technique.is_by_uniqueness]


@either_size
@pytest.mark.parametrize("technique", BY_UNIQUENESS, ids=[each.id for each in BY_UNIQUENESS])
def test_a_claim_by_uniqueness_is_rejected_without_that_premise(
    technique: Technique, size: Size, fired: Counter[str]
) -> None:
    for _, position, claim in good_claims(technique, size):
        assert not kinds(position, claim)
        assert is_not_entailed(position, replace(claim, unique=()))
        fired[technique.id] += 1
    assert fired[technique.id] >= size.least


def test_an_avoidable_rectangle_is_rejected_wherever_a_corner_may_be_a_given() -> None:
    count = 0
    for sample in samples_by_technique()["avoidable-rectangle"]:
        position = sample.plain
        for step in steps_at(sample, "avoidable-rectangle"):
            assert is_proved(sample.grid.layout, position, step)
            corners = {sample.grid.layout.format_cell(cell) for cell in step.cells}
            for cell in corners & position.own:
                given = replace(position, own=position.own - {cell})
                assert not is_proved(sample.grid.layout, given, step)
                count += 1
    assert count >= 100


@either_size
def test_no_step_of_another_technique_leans_on_uniqueness(size: Size) -> None:
    for technique in CLAIMING:
        for sample, _, claim in good_claims(technique, size):
            assert bool(claim.unique) is technique.is_by_uniqueness, sample


def test_a_claim_padded_with_uniqueness_is_rejected() -> None:
    technique = next(each for each in LADDER if each.id == "naked-pair")
    for _, position, claim in good_claims(technique, WHOLE):
        used = frozenset().union(*(cited.scope for cited in claim.cited))
        premise = frozenset((each, True) for each in still_possible(position) if each not in used)
        faults = list(find_faults(position, replace(claim, unique=(premise,))))
        assert (Fault.SPARE, (premise,)) in faults
