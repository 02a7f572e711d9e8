"""The checker itself: planted claims that are false, unjustified or padded are rejected."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

import pytest

from engine.step import Bound
from engine.techniques import LADDER, Technique
from tests.corpus import Sample, samples_by_technique
from tests.independent.plain import Candidate, Plain, houses_of
from tests.proof.checker import Cited, Claim, Fault, find_faults, read_claim
from tests.property.strategies import LEAST_FIRINGS

every_technique = pytest.mark.parametrize("technique", LADDER, ids=[each.id for each in LADDER])


def good_claims(technique: Technique) -> Iterator[tuple[Sample, Plain, Claim]]:
    """Claims that the checker accepts, to be spoilt one by one."""
    for sample in samples_by_technique()[technique.id]:
        grid, position = sample.grid, sample.plain
        for step in technique.find(grid):
            yield sample, position, read_claim(grid.layout, position, step)


def kinds(position: Plain, claim: Claim) -> set[Fault]:
    return {fault for fault, _ in find_faults(position, claim)}


def still_possible(position: Plain) -> list[Candidate]:
    return sorted((c, d) for c, here in position.candidates.items() for d in here)


@every_technique
def test_a_claim_that_strikes_the_true_digit_is_rejected(
    technique: Technique, fired: Counter[str]
) -> None:
    for sample, position, claim in good_claims(technique):
        true = min(c for c in still_possible(position) if c in sample.truth - claim.places)
        false_claim = replace(claim, removes=claim.removes | {true})
        assert Fault.NOT_ENTAILED in kinds(position, false_claim)
        fired[technique.id] += 1
    assert fired[technique.id] >= LEAST_FIRINGS


@every_technique
def test_a_claim_that_places_a_wrong_digit_is_rejected(
    technique: Technique, fired: Counter[str]
) -> None:
    for sample, position, claim in good_claims(technique):
        wrong = [c for c in still_possible(position) if c not in sample.truth | claim.removes]
        if wrong:
            false_claim = replace(claim, places=claim.places | {wrong[0]})
            assert Fault.NOT_ENTAILED in kinds(position, false_claim)
            fired[technique.id] += 1
    assert fired[technique.id] >= LEAST_FIRINGS


@every_technique
def test_a_true_but_unjustified_elimination_is_rejected(
    technique: Technique, fired: Counter[str]
) -> None:
    for sample, position, claim in good_claims(technique):
        settled = sample.truth | claim.removes
        untouched = still_possible(position.after(claim.places, ()))  # placing strikes by itself
        for also_true in [c for c in untouched if c not in settled][:3]:
            unjustified = replace(claim, removes=claim.removes | {also_true})
            assert Fault.NOT_ENTAILED in kinds(position, unjustified), (sample, also_true)
            fired[technique.id] += 1
    assert fired[technique.id] >= LEAST_FIRINGS


@every_technique
def test_a_true_but_unjustified_placement_is_rejected(
    technique: Technique, fired: Counter[str]
) -> None:
    for sample, position, claim in good_claims(technique):
        also_true = min(c for c in still_possible(position) if c in sample.truth - claim.places)
        unjustified = replace(claim, places=claim.places | {also_true})
        assert Fault.NOT_ENTAILED in kinds(position, unjustified), (sample, also_true)
        fired[technique.id] += 1
    assert fired[technique.id] >= LEAST_FIRINGS


@every_technique
def test_a_claim_with_a_superfluous_constraint_is_rejected(
    technique: Technique, fired: Counter[str]
) -> None:
    for _, position, claim in good_claims(technique):
        for spare in spare_constraints(position, claim):
            padded = replace(claim, cited=(*claim.cited, spare))
            faults = list(find_faults(position, padded))
            assert (Fault.SPARE, spare) in faults
            fired[technique.id] += 1
    assert fired[technique.id] >= LEAST_FIRINGS


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


@every_technique
def test_a_claim_that_lacks_one_of_its_constraints_is_rejected(
    technique: Technique, fired: Counter[str]
) -> None:
    for _, position, claim in good_claims(technique):
        for index in range(len(claim.cited)):
            lame = replace(claim, cited=claim.cited[:index] + claim.cited[index + 1 :])
            assert Fault.NOT_ENTAILED in kinds(position, lame)
            fired[technique.id] += 1
    assert fired[technique.id] >= LEAST_FIRINGS


@every_technique
def test_a_claim_whose_premises_cannot_hold_is_rejected(technique: Technique) -> None:
    """From premises that contradict each other everything would follow."""
    for _, position, claim in good_claims(technique):
        filled = min(position.digits)
        scope = frozenset((filled, digit) for digit in range(1, 10))
        impossible = replace(claim, cited=(*claim.cited, Cited(Bound.AT_LEAST_ONE, scope)))
        assert kinds(position, impossible) == {Fault.IMPOSSIBLE}


@every_technique
def test_a_claim_that_changes_nothing_is_rejected(technique: Technique) -> None:
    for _, position, claim in good_claims(technique):
        nothing = replace(claim, places=frozenset(), removes=frozenset())
        assert kinds(position, nothing) == {Fault.NO_CONCLUSION}
        filled, digit = min(position.digits.items())
        idle = replace(claim, removes=claim.removes | {(filled, digit % 9 + 1)})
        assert Fault.IDLE in kinds(position, idle)
