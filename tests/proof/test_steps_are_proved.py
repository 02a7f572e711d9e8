"""Every step that the engine finds follows from what it cites, and needs all that it cites."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from itertools import islice

import pytest

from engine.board.applying import apply_steps
from engine.board.grid import Grid, parse_grid
from engine.board.step import Step
from engine.techniques import LADDER, Technique
from tests.corpus import SHARED_PUZZLES, load_puzzles, load_samples, samples_by_technique, steps_at
from tests.independent.plain import Plain, read_position
from tests.independent.reading import plain_of
from tests.proof.proving import find_step_faults
from tests.sizes import PART, WHOLE

every_technique = pytest.mark.parametrize("technique", LADDER, ids=[each.id for each in LADDER])

MOST_STEPS = 12
"""Of one technique at one position, where the whole ladder is asked again and again."""
MOST_IN_PART = {1: 12, 2: 12, 3: 12, 4: 6, 5: 4, 6: 3}
"""Level -> the same in the default run."""


def count_proved(steps: Iterable[Step], grid: Grid, position: Plain) -> int:
    """Prove the steps at the position; return their number."""
    number = 0
    for step in steps:
        faults = list(find_step_faults(grid.layout, position, step))
        assert not faults, (step, position.text, position.removed, faults)
        number += 1
    return number


@every_technique
def test_every_step_of_its_corpus_is_proved_from_what_it_cites(
    technique: Technique, fired: Counter[str]
) -> None:
    for sample in PART.some_of(samples_by_technique()[technique.id]):
        steps = islice(steps_at(sample, technique.id), MOST_IN_PART[technique.level])
        fired[technique.id] += count_proved(steps, sample.grid, sample.plain)
    assert fired[technique.id] >= PART.least


@pytest.mark.long
@every_technique
def test_every_step_of_the_whole_corpus_is_proved_from_what_it_cites(
    technique: Technique, fired: Counter[str]
) -> None:
    for sample in load_samples():
        steps = islice(steps_at(sample, technique.id), MOST_STEPS)
        fired[technique.id] += count_proved(steps, sample.grid, sample.plain)
    assert fired[technique.id] >= WHOLE.least


def prove_on_the_way(text: str, fired: Counter[str], most_level: int = 6) -> None:
    """Sweep through a puzzle and prove every step at every position on the way."""
    grid = parse_grid(text)
    while not grid.is_complete:
        position = plain_of(grid)
        first: tuple[Step, ...] = ()
        for technique in LADDER:
            if first and technique.level > most_level:
                break
            steps = tuple(technique.find(grid))
            fired[technique.id] += count_proved(islice(steps, MOST_STEPS), grid, position)
            first = first or steps
        assert first, position.text
        grid = apply_steps(grid, first)


def test_every_step_on_the_way_through_puzzles_is_proved(fired: Counter[str]) -> None:
    for puzzle in load_puzzles()[::150]:
        prove_on_the_way(puzzle.text, fired, most_level=5)
    assert sum(fired.values()) >= 300


@pytest.mark.long
def test_every_step_on_the_way_through_every_puzzle_is_proved(fired: Counter[str]) -> None:
    """The steps counted here are the bulk of the proof: twenty thousand at the least."""
    for puzzle in load_puzzles():
        prove_on_the_way(puzzle.text, fired, most_level=5)
    assert sum(fired.values()) >= 20_000


@pytest.mark.long
def test_every_step_on_the_way_through_the_shared_puzzles_is_proved(fired: Counter[str]) -> None:
    if not SHARED_PUZZLES.exists():
        pytest.skip(f"{SHARED_PUZZLES.name} is not beside the checkout")
    lines = SHARED_PUZZLES.read_text(encoding="utf-8").splitlines()
    for line in lines:
        if not line.startswith("#"):
            prove_on_the_way(line.split("\t")[3], fired, most_level=5)
    assert sum(fired.values()) >= 20_000


def test_an_empty_grid_holds_no_step() -> None:
    blank = "." * 81
    assert not any(
        count_proved(technique.find(parse_grid(blank)), parse_grid(blank), read_position(blank))
        for technique in LADDER
    )
