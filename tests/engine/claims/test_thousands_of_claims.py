"""Claims by the thousand, true, false and nearly true: no verdict differs from the definitions'.

What follows from cells is told by trying all fillings where these are few, and always by a SAT
solver; what is a pattern, and what single steps there are, by plain definitions of levels 1 to 3.
"""

from __future__ import annotations

from collections import Counter
from functools import cache
from random import Random

import pytest

from engine.board.layout import CLASSIC, Cell
from engine.claims import Condition, Judgement, Said, judge
from engine.techniques import LADDER, PLAIN, technique_with
from tests.corpus import Sample, load_samples
from tests.independent.claims import (
    follows_by_hand,
    follows_by_solver,
    is_filling,
    pattern_follows,
)
from tests.independent.definitions import DEFINITIONS
from tests.independent.plain import Candidate, CellName

NAMES = {CLASSIC.format_cell(cell): Cell(cell) for cell in range(CLASSIC.cell_count)}
SAMPLED = {technique.id for technique in LADDER if technique.level <= 4}
CLAIMS_A_POSITION = 20
FILLINGS_BY_HAND = 3_000
MOST_MARKED = 8
sizes = pytest.mark.parametrize("count", [300, pytest.param(20_000, marks=pytest.mark.long)])


@cache
def _follows_singly(sample: Sample) -> tuple[frozenset[Candidate], frozenset[Candidate]]:
    """All that a single step of levels 1 to 3 strikes, and places."""
    found = [step for id in DEFINITIONS for step in DEFINITIONS[id](sample.plain)]
    return (
        frozenset().union(*(step.removes for step in found)),
        frozenset().union(*(step.places for step in found)),
    )


def _names(cells: tuple[Cell, ...]) -> frozenset[CellName]:
    return frozenset(map(CLASSIC.format_cell, cells))


def _said(
    cells: frozenset[CellName], digits: frozenset[int], claimed: Candidate | None, is_placed: bool
) -> Said:
    pairs = () if claimed is None else ((NAMES[claimed[0]], claimed[1]),)
    return Said(
        cells=tuple(sorted(NAMES[cell] for cell in cells)),
        digits=tuple(sorted(digits)),
        removes=0 if is_placed or claimed is None else CLASSIC.parse_pairs([claimed]),
        places=pairs if is_placed else (),
    )


def _check_consequence(random: Random, sample: Sample) -> str:
    """Hold one strike or placement, from some cells, against the definitions."""
    plain = sample.plain
    steps = tuple(technique_with(sample.technique).find(sample.grid))
    step = random.choice(steps)
    marked = set(_names(step.cells))
    right = [*CLASSIC.format_pairs(step.removes)]
    right += [(CLASSIC.format_cell(cell), digit) for cell, digit in step.places]
    is_placed = bool(step.places)
    claimed = random.choice(right)
    slip = random.choice(("none", "none", "cell", "digit", "marked", "any"))
    open_cells = sorted(plain.candidates)
    if slip == "cell":
        claimed = random.choice(open_cells), claimed[1]
    elif slip == "digit":
        claimed = claimed[0], random.choice(range(1, 10))
    elif slip == "marked":
        marked.discard(random.choice(sorted(marked)))
        marked.add(random.choice(open_cells))
    elif slip == "any":
        cell = random.choice(open_cells)
        claimed, is_placed = (cell, random.choice(sorted(plain.candidates[cell]))), not is_placed
    if len(marked) > MOST_MARKED:
        marked = set(random.sample(sorted(marked), MOST_MARKED))
    judged = judge(
        sample.grid,
        _said(frozenset(), frozenset(), claimed, is_placed),
        marked=tuple(sorted(NAMES[cell] for cell in marked)),
        ladder=PLAIN,
    )
    told = (sample, claimed, sorted(marked), is_placed, judged)
    if not plain.has(claimed):
        assert judged.flaw is not None
        assert judged.flaw.condition is Condition.LACKS, told
        return "gone"
    follows = follows_by_solver(plain, marked, claimed, is_placed=is_placed)
    fillings = 1
    for cell in marked | {claimed[0]}:
        fillings *= len(plain.candidates[cell])
    if fillings <= FILLINGS_BY_HAND:
        assert follows == follows_by_hand(plain, marked, claimed, is_placed=is_placed), told
    if follows or claimed in _follows_singly(sample)[is_placed]:
        assert judged.judgement is Judgement.RIGHT, told
        assert not sample.truth or (claimed in sample.truth) is is_placed, told
        return "follows" if follows else "follows elsewhere"
    assert judged.judgement is Judgement.FAILS, told
    flaw = judged.flaw
    assert flaw is not None
    assert flaw.condition is Condition.STILL_POSSIBLE, told
    filling = dict(zip(map(CLASSIC.format_cell, flaw.cells), flaw.digits, strict=True))
    assert is_filling(plain, frozenset(marked | {claimed[0]}), filling), told
    assert (filling[claimed[0]] == claimed[1]) is not is_placed, told
    return "true, not shown" if (claimed in sample.truth) is is_placed else "false"


def _check_pattern(random: Random, sample: Sample) -> str:
    """Hold cells and digits, said to be something, against the definitions."""
    plain = sample.plain
    step = random.choice(tuple(technique_with(sample.technique).find(sample.grid)))
    cells, digits = set(_names(step.cells)), set(step.digits)
    slip = random.choice(("none", "cell", "digit"))
    if slip == "cell":
        cells.discard(random.choice(sorted(cells)))
        cells.add(random.choice(sorted(plain.candidates)))
    elif slip == "digit":
        digits.discard(random.choice(sorted(digits)))
        digits.add(random.choice(range(1, 10)))
    said = _said(frozenset(cells), frozenset(digits), None, False)
    judged = judge(sample.grid, said, ladder=PLAIN)
    follows = pattern_follows(plain, frozenset(cells), frozenset(digits))
    told = (sample, sorted(cells), sorted(digits), judged, follows)
    if follows is None:
        assert judged.judgement is Judgement.FAILS, told
        assert judged.flaw is not None, told
        return "no pattern"
    if not follows:
        assert judged.judgement is Judgement.IDLE, told
        return "idle"
    unsaid = {*CLASSIC.format_pairs(judged.unsaid)}
    unsaid |= {(CLASSIC.format_cell(cell), digit) for cell, digit in judged.unsaid_places}
    assert judged.judgement is Judgement.RIGHT_AND_MORE, told
    assert unsaid == follows, told
    return "pattern"


@sizes
def test_no_verdict_differs_from_the_definitions(count: int) -> None:
    random = Random(17)
    samples = [each for each in load_samples() if each.technique in SAMPLED]
    seen: Counter[str] = Counter()
    chosen = random.sample(samples, min(len(samples), max(1, count // CLAIMS_A_POSITION)))
    while seen.total() < count:
        for sample in chosen:
            for _ in range(CLAIMS_A_POSITION // 2):
                seen[_check_consequence(random, sample)] += 1
                seen[_check_pattern(random, sample)] += 1
    print(f"\n{seen.total()} claims: {dict(seen)}")  # noqa: T201 - what was tried
    kinds = {"follows", "follows elsewhere", "false", "true, not shown", "gone"}
    kinds |= {"pattern", "no pattern"}
    assert kinds <= seen.keys() <= kinds | {"idle"}
    assert min(seen[kind] for kind in kinds) >= count // 300
