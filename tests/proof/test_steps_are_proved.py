"""Every step that the engine finds follows from what it cites, and needs all that it cites."""

from __future__ import annotations

from collections import Counter

import pytest

from engine.grid import Grid, parse_grid
from engine.techniques import LADDER, Technique
from tests.corpus import SHARED_PUZZLES, load_puzzles, load_samples
from tests.independent.plain import Plain, read_position
from tests.independent.reading import instance_of, plain_of
from tests.proof.checker import find_faults, read_claim
from tests.property.strategies import LEAST_FIRINGS, grid_of

every_technique = pytest.mark.parametrize("technique", LADDER, ids=[each.id for each in LADDER])


def count_proved(technique: Technique, grid: Grid, position: Plain) -> int:
    """Prove every instance at the position; return their number."""
    number = 0
    for step in technique.find(grid):
        faults = list(find_faults(position, read_claim(grid.layout, position, step)))
        assert not faults, (step.key, position.text, faults)
        number += 1
    return number


@every_technique
def test_every_step_of_the_corpus_is_proved_from_what_it_cites(
    technique: Technique, fired: Counter[str]
) -> None:
    for sample in load_samples():
        fired[technique.id] += count_proved(technique, sample.grid, sample.plain)
    assert fired[technique.id] >= LEAST_FIRINGS


def prove_on_the_way(text: str, fired: Counter[str]) -> None:
    """Sweep through a puzzle and prove every step at every position on the way."""
    grid = parse_grid(text)
    while True:
        position = plain_of(grid)
        first = None
        for technique in LADDER:
            fired[technique.id] += count_proved(technique, grid, position)
            first = first or (technique if any(technique.find(grid)) else None)
        if first is None:
            return
        found = [instance_of(grid.layout, step) for step in first.find(grid)]
        places = frozenset().union(*(each.places for each in found))
        removes = frozenset().union(*(each.removes for each in found))
        grid = grid_of(position.after(places, removes))


def test_every_step_on_the_way_through_puzzles_is_proved(fired: Counter[str]) -> None:
    for puzzle in load_puzzles()[::12]:
        prove_on_the_way(puzzle.text, fired)
    assert sum(fired.values()) >= 1000


@pytest.mark.long
def test_every_step_on_the_way_through_every_puzzle_is_proved(fired: Counter[str]) -> None:
    for puzzle in load_puzzles():
        prove_on_the_way(puzzle.text, fired)
    assert all(fired[technique.id] >= LEAST_FIRINGS for technique in LADDER)


@pytest.mark.long
def test_every_step_on_the_way_through_the_shared_puzzles_is_proved(fired: Counter[str]) -> None:
    if not SHARED_PUZZLES.exists():
        pytest.skip(f"{SHARED_PUZZLES.name} is not beside the checkout")
    lines = SHARED_PUZZLES.read_text(encoding="utf-8").splitlines()
    for line in lines:
        if not line.startswith("#"):
            prove_on_the_way(line.split("\t")[3], fired)
    assert all(fired[technique.id] >= LEAST_FIRINGS for technique in LADDER)


def test_an_empty_grid_holds_no_step() -> None:
    blank = "." * 81
    assert not any(
        count_proved(technique, parse_grid(blank), read_position(blank)) for technique in LADDER
    )
