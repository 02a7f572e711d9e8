"""No hint could have been better: none has a shorter instance of its kind, a single step in place
of several or of a lower technique, or a single that is easier to see; each is looked for by
definitions that share no code with the engine.

What counts as an instance is what the design says. It strikes all that its pattern does, and
something of it is struck by no smaller one: that a long chain strikes only what two short ones do
makes it no better. A set of cells with a naked subset in it is no almost-locked set, but two ideas,
of which the lower one is told first; without it a smaller set does the same.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from random import Random

import pytest

from engine.board.grid import Grid
from engine.board.layout import CLASSIC, House, iterate_bits
from engine.board.step import Step
from engine.making.puzzles import minimal_puzzle
from engine.search.exact import solve
from engine.solving.hint_search import find_kept_steps
from engine.solving.hints import find_hint
from engine.solving.narrowing import Narrowing
from engine.solving.paths import find_steps
from engine.solving.sweeping import find_stages
from engine.techniques import LADDER, technique_with
from tests.corpus import samples_by_technique
from tests.independent.alternatives import (
    LONGEST,
    bars_of,
    easiest_bars,
    has_hidden_single_in_a_box,
    opening_sizes,
)
from tests.independent.definitions import DEFINITIONS, Instance
from tests.independent.forcing import LEAST_CASES
from tests.independent.higher import EXACT
from tests.independent.plain import CLASSIC_SHAPE, Candidate, CellName, Plain, houses_of
from tests.independent.reading import instance_of, length_of, plain_of
from tests.independent.shortest_chains import opens
from tests.independent.shortest_inference import find_forced
from tests.sizes import Size, either_size

SEED = 20261128
LEVELS = range(1, 7)
GIVENS_ADDED = (0, 0, 2, 4, 6, 8)
"""To each minimal puzzle in turn so many digits of its solution, so that all levels come up."""
PARTS = 30
"""The long run is as many runs of about a minute, so that one can be had by itself."""
CELL_CASES, HOUSE_CASES = "cell-forcing-chain", "house-forcing-chain"

Hinted = tuple[Grid, tuple[Step, ...]]


def positions(random: Random) -> Iterator[Grid]:
    """Where sweeps come to on random puzzles, each position once."""
    seen: set[Grid] = set()
    while True:
        puzzle = minimal_puzzle(random)
        solution = solve(puzzle)
        assert solution is not None
        for added in GIVENS_ADDED:
            grid = puzzle
            left = [*iterate_bits(solution.placed & ~puzzle.placed)]
            for index in random.sample(left, added):
                grid = grid.place(*CLASSIC.split(index))
            for stage in find_stages(grid, LADDER):
                if stage.position not in seen:
                    seen.add(stage.position)
                    yield stage.position


def hinted(count: int, seed: int) -> Iterator[Hinted]:
    """So many positions for each level that a hint can need, with all that the hint leads to."""
    left = dict.fromkeys(LEVELS, count)
    for grid in positions(Random(seed)):
        has_single = any(any(each.find(grid)) for each in LADDER if each.level == 1)
        if has_single and not left[1]:
            continue
        path = find_kept_steps(grid)
        level = max(step.level for step in path)
        if left[level]:
            left[level] -= 1
            yield grid, path
        if not any(left.values()):
            return


def faults_of(grid: Grid, path: tuple[Step, ...]) -> Iterator[str]:
    position = plain_of(grid)
    if path[0].level == 1:
        yield from _harder_single(position, path[0])
    elif len(path) == 2 or path[0].places:
        yield from _lower_step(position, path[0].technique, before=True)
        yield from _shorter_instance(position, path[0])
    else:
        highest = max(path, key=lambda step: LADDER.index(technique_with(step.technique)))
        yield from _lower_step(position, highest.technique, before=False)


def _harder_single(position: Plain, step: Step) -> Iterator[str]:
    if step.technique == "hidden-single":
        house, (cell, digit) = CLASSIC.houses[step.houses[0]].name, step.places[0]
        if bars_of(position, house, CLASSIC.format_cell(cell), digit) != easiest_bars(position):
            yield "an easier single"
    elif step.technique != "last-digit" and has_hidden_single_in_a_box(position):
        yield "a single in a box"


def _lower_step(position: Plain, technique: str, *, before: bool) -> Iterator[str]:
    """A step alone that opens a placement: of a lower technique, or where several were taken of
    any of their level."""
    level = technique_with(technique).level
    for other in LADDER:
        if other.level == 1:
            continue
        if other.resort or other.level > level or (before and other.id == technique):
            return
        longest = LONGEST.get(other.id, 81)
        if any(opening_sizes(other.id, position, longest)):
            yield f"{other.id} alone"


def _shorter_instance(position: Plain, step: Step) -> Iterator[str]:
    size = length_of(step)
    if step.technique in LONGEST:
        longest = min(LONGEST[step.technique], size - 1)
        if any(opening_sizes(step.technique, position, longest)):
            yield "a shorter instance"
    elif step.technique in (CELL_CASES, HOUSE_CASES):
        forced = find_forced(position, sources_of(position, step.technique))
        if any(links < size and opens(position, struck) for links, struck in forced):
            yield "a shorter instance"


def sources_of(position: Plain, technique: str) -> Iterator[frozenset[Candidate]]:
    """What is one of three cases or more: a cell's digits, or a digit's places in a house."""
    if technique == CELL_CASES:
        every = [
            frozenset((cell, digit) for digit in digits)
            for cell, digits in position.candidates.items()
        ]
    else:
        every = [
            frozenset((cell, digit) for cell in position.places(house, digit))
            for house in houses_of(CLASSIC_SHAPE)
            for digit in CLASSIC.digits
        ]
    return (cases for cases in every if len(cases) >= LEAST_CASES)


def narrowed_fault(grid: Grid, house: House) -> str | None:
    """What is wrong with the hint for one house, or with there being none."""
    narrowing, cells = Narrowing(house=house), houses_of(CLASSIC_SHAPE)[house.name]
    path = find_kept_steps(grid, narrowing)
    if path:
        if not met_by(instance_of(CLASSIC, path[0])) & cells:
            return "outside"
        if path[0] not in find_steps(grid, technique_with(path[0].technique)):
            return "no step of the position"
        return None if path[0] == find_hint(grid, narrowing) else "two answers"
    position = plain_of(grid)
    for find in (*DEFINITIONS.values(), *EXACT.values()):
        for each in find(position):
            if met_by(each) & cells and (each.places or opens(position, each.removes)):
                return "silent"
    return None


def met_by(instance: Instance) -> frozenset[CellName]:
    return instance.cells | {cell for cell, _ in instance.places | instance.removes}


def check(count: int, seed: int, fired: Counter[str]) -> None:
    """Look at so many hints of each level, and at a hint for one house at each position."""
    found: list[tuple[str, Grid]] = []
    levels: Counter[int] = Counter()
    silent = 0
    for number, (grid, path) in enumerate(hinted(count, seed)):
        found += [(fault, grid) for fault in faults_of(grid, path)]
        house = CLASSIC.houses[number % len(CLASSIC.houses)]
        fault = narrowed_fault(grid, house)
        if fault:
            found.append((f"{house.name}: {fault}", grid))
        silent += find_hint(grid, Narrowing(house=house)) is None
        levels[max(step.level for step in path)] += 1
        fired[path[0].technique] += 1
    assert found == []
    assert levels == dict.fromkeys(LEVELS, count)
    assert 0 < silent < levels.total() / 2


def test_no_better_hint_is_there(fired: Counter[str]) -> None:
    check(8, SEED, fired)


@either_size
@pytest.mark.parametrize("technique", [CELL_CASES, HOUSE_CASES])
def test_no_forcing_chain_of_fewer_links_is_there(
    technique: str, size: Size, fired: Counter[str]
) -> None:
    for sample in size.some_of(samples_by_technique()[technique][:30]):
        path = find_kept_steps(sample.grid)
        if path[0].technique == technique and len(path) == 2:
            assert list(faults_of(sample.grid, path)) == [], sample
            fired[technique] += 1
    assert fired[technique] >= size.count(4)


@pytest.mark.long
@pytest.mark.parametrize("part", range(PARTS))
def test_no_better_hint_is_there_at_three_thousand_positions_a_level(
    part: int, fired: Counter[str]
) -> None:
    check(3000 // PARTS, SEED + 1 + part, fired)
