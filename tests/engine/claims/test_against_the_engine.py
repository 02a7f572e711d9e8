"""Finds against the engine and against a SAT solver, on the corpus.

Whatever the engine finds is accepted with the same eliminations. A claim that was made wrong by
chance is either refused or, if it happens to be an instance after all, what follows from it is
entailed by the rules and the position's candidates.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from itertools import combinations
from random import Random

import pytest
from pysat.solvers import Solver

from engine.board.grid import Grid
from engine.board.layout import CLASSIC, iterate_bits
from engine.board.step import Node, Step
from engine.claims import Claim, Condition, Flaw, Found, check_claim, claim_of_step
from engine.search.exact import count_solutions
from engine.techniques import LADDER, Technique, technique_with
from tests.corpus import Sample, samples_by_technique

LAST_RESORT = "traced-contradiction"
READ_IN_SEVERAL_WAYS = frozenset(
    {
        "x-chain",
        "alternating-inference-chain",
        "cell-forcing-chain",
        "house-forcing-chain",
        "remote-pair",
        "long-xy-chain",
        "als-xz",
        "large-als-xz",
    }
)
"""The same cells can hold more than what the engine tells: then all that is said to follow does."""
SHARE = 6
"""Samples of each technique in a short run."""
SLIPS = 12
"""Wrong claims made from each of a few steps."""

CLAIMED = [technique for technique in LADDER if technique.id != LAST_RESORT]


def _steps(technique: Technique, samples: tuple[Sample, ...]) -> Iterator[tuple[Sample, Step]]:
    for sample in samples:
        for step in technique.find(sample.grid):
            yield sample, step


def _check_all(technique: Technique, samples: tuple[Sample, ...]) -> int:
    count = 0
    for sample, step in _steps(technique, samples):
        count += 1
        verdict = check_claim(sample.grid, claim_of_step(step))
        assert isinstance(verdict, Found), (sample.text, step, verdict)
        same = [
            way
            for way in verdict.ways
            if set(way.places) == set(step.places)
            and (
                not step.removes & ~way.removes
                if technique.id in READ_IN_SEVERAL_WAYS
                else step.removes == way.removes
            )
        ]
        assert same, (sample.text, step, verdict)
        if all(way.removes != step.removes for way in same):
            assert _is_entailed(sample.grid, verdict), (sample.text, step, verdict)
        assert not verdict.removes & ~sample.grid.candidates
        if not technique.is_by_uniqueness:
            true = {(cell, digit) for cell, digit in sample.truth}
            struck = {
                (CLASSIC.format_cell(cell), digit) for cell, digit in CLASSIC.pairs(verdict.removes)
            }
            assert not struck & true
    return count


@pytest.mark.parametrize("technique", CLAIMED, ids=str)
def test_what_the_engine_finds_is_accepted(technique: Technique) -> None:
    assert _check_all(technique, samples_by_technique()[technique.id][:SHARE]) >= SHARE


@pytest.mark.long
@pytest.mark.parametrize("technique", CLAIMED, ids=str)
def test_all_that_the_engine_finds_is_accepted(technique: Technique) -> None:
    samples = samples_by_technique()[technique.id]
    assert _check_all(technique, samples) >= len(samples)


def test_a_traced_contradiction_cannot_be_claimed() -> None:
    sample = samples_by_technique()[LAST_RESORT][0]
    step = next(iter(technique_with(LAST_RESORT).find(sample.grid)))
    verdict = check_claim(sample.grid, claim_of_step(step))
    assert verdict == Flaw(Condition.NOT_CLAIMED_BY_CELLS)


@cache
def _rules() -> Solver:
    """All rules of the classic layout; candidates are assumptions."""
    solver = Solver(name="glucose4")
    groups = [list(iterate_bits(bits)) for bits in CLASSIC.cell_bits]
    groups += [
        list(iterate_bits(CLASSIC.spread(house.mask, digit)))
        for house in CLASSIC.houses
        for digit in CLASSIC.digits
    ]
    for group in groups:
        solver.add_clause([index + 1 for index in group])
        for one, other in combinations(group, 2):
            solver.add_clause([-one - 1, -other - 1])
    return solver


def _is_entailed(grid: Grid, verdict: Found) -> bool:
    absent = CLASSIC.all_candidates & ~grid.candidates & ~grid.placed
    facts = [-index - 1 for index in iterate_bits(absent)]
    facts += [index + 1 for index in iterate_bits(grid.placed)]
    denials = [index + 1 for index in iterate_bits(verdict.removes)]
    for cell, digit in verdict.places:
        denials.append(-CLASSIC.bit(cell, digit).bit_length())
    return not any(_rules().solve(assumptions=[*facts, denial]) for denial in denials)


def _slip(random: Random, grid: Grid, right: Claim) -> Claim:
    """Return the claim with one cell, digit or end of a link exchanged for another."""
    open_cells = grid.layout.cells_in(grid.open_cells)
    bare = replace(right, removes=None, places=None, variant="")
    if right.chains:
        lines = [list(line) for line in right.chains]
        line = random.choice(lines)
        place = random.randrange(len(line))
        cell = random.choice(open_cells)
        line[place] = Node((cell,), random.choice(grid.candidates_at(cell) or (1,)))
        return replace(bare, chains=tuple(map(tuple, lines)))
    if random.random() < 0.7:
        cells = list(right.cells)
        rest = [cell for cell in open_cells if cell not in cells]
        if rest:
            cells[random.randrange(len(cells))] = random.choice(rest)
        return replace(bare, cells=tuple(sorted(cells)))
    digits = list(right.digits)
    others = [digit for digit in grid.layout.digits if digit not in digits]
    digits[random.randrange(len(digits))] = random.choice(others)
    return replace(bare, digits=tuple(sorted(digits)))


@pytest.mark.parametrize("technique", CLAIMED, ids=str)
def test_a_slip_is_refused_or_happens_to_be_right(technique: Technique) -> None:
    random = Random(2026)
    refused: Counter[Condition] = Counter()
    for sample in samples_by_technique()[technique.id][:SHARE]:
        grid = sample.grid
        step = next(iter(technique.find(grid)))
        for _ in range(SLIPS):
            verdict = check_claim(grid, _slip(random, grid, claim_of_step(step)))
            if isinstance(verdict, Flaw):
                refused[verdict.condition] += 1
            elif technique.is_by_uniqueness:
                if count_solutions(grid) == 1:
                    struck = grid.layout.pairs(verdict.removes)
                    named = {(grid.layout.format_cell(cell), digit) for cell, digit in struck}
                    assert not named & set(sample.truth)
            else:
                assert _is_entailed(grid, verdict), (sample.text, step, verdict)
    assert refused.total() > SHARE


def test_a_false_verdict_would_be_noticed() -> None:
    sample = samples_by_technique()["naked-pair"][0]
    cell = sample.grid.layout.cells_in(sample.grid.open_cells)[0]
    digit = next(d for d in CLASSIC.digits if (CLASSIC.format_cell(cell), d) in sample.truth)
    assert not _is_entailed(sample.grid, Found((), CLASSIC.bit(cell, digit), ()))
