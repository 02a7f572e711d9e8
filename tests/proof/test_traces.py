"""Traces and told links: what the engine tells holds, and planted slips of each kind are found."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

import pytest

from engine.board.layout import CLASSIC
from engine.board.step import Bound, CellConstraint, LinkKind, Node, Step
from engine.techniques import LADDER, Technique
from tests.corpus import Sample, samples_by_technique, steps_at
from tests.proof.traces import TRACED, TraceFault, find_link_faults, find_trace_faults
from tests.sizes import WHOLE, Size, either_size

TELLING = (
    "skyscraper",
    "two-string-kite",
    "turbot-fish",
    "w-wing",
    "xy-wing",
    "simple-colouring",
    "remote-pair",
    "x-chain",
    "xy-chain",
    "long-xy-chain",
    "alternating-inference-chain",
    "cell-forcing-chain",
    "house-forcing-chain",
)
"""What is told by links."""
every_telling = pytest.mark.parametrize("technique", TELLING)
MOST_STEPS = 1
MOST_LINES = 3
"""Of one trace that are spoilt one by one."""


def told_steps(technique: str, size: Size) -> Iterator[tuple[Sample, Step]]:
    for sample in size.some_of(samples_by_technique()[technique]):
        for step in steps_at(sample, technique)[:MOST_STEPS]:
            yield sample, step


def faults_of(sample: Sample, step: Step) -> list[object]:
    return list(find_trace_faults(CLASSIC, sample.plain, step))


def kinds_of(faults: list[object]) -> set[object]:
    return {fault[0] if isinstance(fault, tuple) else fault for fault in faults}


@either_size
def test_a_trace_holds_line_by_line_and_ends_in_a_contradiction(
    size: Size, fired: Counter[str]
) -> None:
    for sample, step in told_steps(TRACED, size):
        assert faults_of(sample, step) == []
        assert step.assumed is not None
        assert all(line.level <= 3 or line.technique == TRACED for line in step.trace)
        fired[TRACED] += 1
    assert fired[TRACED] >= size.least


@either_size
def test_a_trace_that_lacks_a_line_is_rejected(size: Size, fired: Counter[str]) -> None:
    """The search for short traces is bounded: now and then one holds a line that it can spare."""
    spared = 0
    for sample, step in told_steps(TRACED, size):
        for index in range(len(step.trace))[-MOST_LINES:]:
            lame = replace(step, trace=step.trace[:index] + step.trace[index + 1 :])
            faults = kinds_of(faults_of(sample, lame))
            assert faults <= {TraceFault.LINE, TraceFault.NO_CONTRADICTION}
            fired[TRACED] += bool(faults)
            spared += not faults
    assert fired[TRACED] >= size.least
    assert spared * 25 <= fired[TRACED]


@either_size
def test_a_trace_of_another_assumption_is_rejected(size: Size, fired: Counter[str]) -> None:
    for sample, step in told_steps(TRACED, size):
        cell = next(cell for cell in CLASSIC.cells_in(sample.grid.open_cells))
        digit = int(sample.solution[cell])  # the true digit: it cannot lead to a contradiction
        bit = CLASSIC.bit(cell, digit)
        false_claim = replace(step, assumed=(cell, digit), removes=bit)
        assert faults_of(sample, false_claim)
        elsewhere = replace(step, removes=bit)
        assert kinds_of(faults_of(sample, elsewhere)) == {TraceFault.OTHER_CONCLUSION}
        fired[TRACED] += 1
    assert fired[TRACED] >= size.least


@either_size
def test_a_trace_with_an_unjustified_line_is_rejected(size: Size, fired: Counter[str]) -> None:
    for sample, step in told_steps(TRACED, size):
        for index, line in enumerate(step.trace[:MOST_LINES]):
            bent = replace(line, constraints=line.constraints[:-1])
            trace = (*step.trace[:index], bent, *step.trace[index + 1 :])
            if line.technique != TRACED:
                assert TraceFault.LINE in kinds_of(faults_of(sample, replace(step, trace=trace)))
                fired[TRACED] += 1
    assert fired[TRACED] >= size.least


@either_size
def test_a_trace_that_names_no_real_contradiction_is_rejected(
    size: Size, fired: Counter[str]
) -> None:
    for sample, step in told_steps(TRACED, size):
        assert step.assumed is not None
        cell = step.assumed[0]  # it holds what is assumed
        standing = CellConstraint(Bound.AT_LEAST_ONE, cell)
        for wrong in (standing, CellConstraint(Bound.AT_MOST_ONE, cell)):
            faults = kinds_of(faults_of(sample, replace(step, constraints=(wrong,))))
            assert faults == {TraceFault.NO_CONTRADICTION}
            fired[TRACED] += 1
    assert fired[TRACED] >= size.least


@either_size
@pytest.mark.parametrize("technique", LADDER, ids=[each.id for each in LADDER])
def test_every_link_that_is_told_holds(
    technique: Technique, size: Size, fired: Counter[str]
) -> None:
    for sample, step in told_steps(technique.id, size):
        assert list(find_link_faults(CLASSIC, sample.plain, step)) == []
        assert bool(step.chains) or technique.id not in TELLING
        fired[technique.id] += len(step.chains)
    assert fired[technique.id] >= size.least or technique.id not in TELLING


@either_size
@every_telling
def test_a_weak_link_told_as_strong_is_rejected(
    technique: str, size: Size, fired: Counter[str]
) -> None:
    """Or it is strong as well, as both ends of a pair are."""
    for sample, step in told_steps(technique, size):
        for line in step.chains:
            for index, link in enumerate(line):
                if link.kind is LinkKind.WEAK:
                    told = replace(link, kind=LinkKind.STRONG)
                    bent = replace(step, chains=((*line[:index], told, *line[index + 1 :]),))
                    faults = list(find_link_faults(CLASSIC, sample.plain, bent))
                    fired[technique] += bool(faults)
    least = 20 if size is WHOLE else 3  # one in three of a kite's ends are strong as well
    assert fired[technique] >= least or technique in ("simple-colouring", "remote-pair")


@either_size
@every_telling
def test_a_link_to_somewhere_else_is_rejected(
    technique: str, size: Size, fired: Counter[str]
) -> None:
    for sample, step in told_steps(technique, size):
        for line in step.chains:
            for index, link in enumerate(line):
                elsewhere = CLASSIC.all_cells & ~CLASSIC.peers[link.first.cells[0]]
                far = CLASSIC.cells_in(elsewhere & ~(1 << link.first.cells[0]))[0]
                told = replace(link, second=Node((far,), link.second.digit))
                bent = replace(step, chains=((*line[:index], told, *line[index + 1 :]),))
                assert list(find_link_faults(CLASSIC, sample.plain, bent))
                fired[technique] += 1
    assert fired[technique] >= size.least
