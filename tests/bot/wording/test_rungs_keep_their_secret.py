"""On real hints no rung tells what a later one is for, in words or in alternative text.

The hints are those that members would get along the paths of the corpus's puzzles, and at positions
where the rarer techniques turn up: the corpus's own, and the patterns for levels 4 to 6.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

import pytest

from bot import wording
from bot.club.facts import HintPicture, Position, StepFacts, facts_of_step, step_of_facts
from engine.board.grid import Grid, format_grid, parse_grid
from engine.board.step import Step
from engine.solving.hints import find_hint
from engine.solving.paths import apply_step, find_path, find_steps
from engine.techniques import LADDER, technique_with
from tests.bot.patterns import load_patterns
from tests.bot.wording.clauses import strikes_told
from tests.bot.wording.secrets import (
    house_meets_pattern,
    what_leaks,
    where_leaks,
    which_leaks,
    without_position,
)
from tests.corpus import load_puzzles, load_samples

WANTED = 1000
_PATHS = 8
_FROM_EACH = 3
"""So many hints are taken from one pattern at most."""
_EVERY_SAMPLE = 3
_EVERY = 4
"""A hint is asked for at every so manieth position of a path, as people do not ask at each."""


@dataclass(frozen=True)
class Hint:
    """A hint with all that people read or hear of it."""

    step: StepFacts
    position: Position
    words: dict[str, str]
    alts: dict[str, str]


def _worded(givens: str, grid: Grid, step: Step) -> Hint:
    facts, position = facts_of_step(grid.layout, step), Position.of(grid)
    alts = {
        rung: wording.describe(HintPicture(givens, position, facts, rung))
        for rung in ("where", "which", "why")
    }
    return Hint(facts, position, wording.rungs(facts, position), alts)


def _asked_along(puzzle: str) -> Iterator[Hint]:
    """Yield hints as a member would get them, asking now and then on the way to the end."""
    grid = parse_grid(puzzle)
    for number, taken in enumerate(find_path(grid).steps):
        step = find_hint(grid) if number % _EVERY == 0 else None
        if step is not None:
            yield _worded(puzzle, grid, step)
        grid = apply_step(grid, taken)


@cache
def hints() -> tuple[Hint, ...]:
    """Return more than WANTED hints: at positions of each technique, the rest along paths."""
    found = [
        _worded(sample.text, sample.grid, step)
        for sample in load_samples()[::_EVERY_SAMPLE]
        for step in find_steps(sample.grid, technique_with(sample.technique))[:1]
    ]
    found += [
        _worded(pattern.text, pattern.grid, step)
        for pattern in load_patterns()
        for step in pattern.steps()[:_FROM_EACH]
    ]
    for puzzle in load_puzzles()[:_PATHS]:
        found.extend(_asked_along(puzzle.text))
    return tuple(found)


def test_there_are_a_thousand_hints_and_every_technique_is_among_them(
    fired: Counter[str],
) -> None:
    fired.update(hint.step.technique for hint in hints())
    assert len(hints()) >= WANTED
    assert all(fired[technique.id] >= 15 for technique in LADDER), fired


def test_where_names_a_house_of_the_pattern_and_nothing_else() -> None:
    for hint in hints():
        text = hint.words["where"]
        assert where_leaks(text) == [], text
        assert house_meets_pattern(text, hint.step), hint


def test_what_names_the_technique_without_a_cell_or_a_digit() -> None:
    for hint in hints():
        text = hint.words["what"]
        assert what_leaks(text) == [], text
        assert wording.technique_name(hint.step.technique).lower() in text.lower()


def test_which_names_the_whole_pattern_and_nothing_that_follows() -> None:
    for hint in hints():
        text = hint.words["which"]
        assert which_leaks(text, hint.step) == [], text
        assert all(cell in text for cell in hint.step.cells)
        assert all(str(digit) in text for digit in hint.step.digits)


def test_why_tells_everything_that_follows() -> None:
    for hint in hints():
        text = hint.words["why"]
        for cell, digit in hint.step.places:
            assert f"{cell} is {digit}" in text, text
        if hint.step.removes:
            grid = hint.position.to_grid()
            step = step_of_facts(grid.layout, hint.step)
            told = strikes_told(f"So {text.rpartition('So ')[2]}", step, grid)
            assert told == step.removes, text


def test_the_alternative_texts_keep_to_their_rungs() -> None:
    for hint in hints():
        alts = {rung: without_position(alt) for rung, alt in hint.alts.items()}
        assert where_leaks(alts["where"]) == [], alts
        assert which_leaks(alts["which"], hint.step) == [], alts
        followed = (*hint.step.places, *hint.step.removes)
        assert all(cell in alts["why"] for cell, _ in followed)


def test_the_first_alternative_text_reads_no_candidates_as_its_picture_shows_none() -> None:
    assert all("(" not in hint.alts["where"] for hint in hints())


def test_alternative_texts_fit_every_platform() -> None:
    lengths = [len(alt) for hint in hints() for alt in hint.alts.values()]
    assert 300 < max(lengths) <= 1000


CROOK = ".395...8...18.937.....1.9541..4..5.3........7..7...86...67.82...1..9...5.....1..8"


@pytest.fixture
def pair() -> StepFacts:
    grid = parse_grid(CROOK)
    assert format_grid(grid) == CROOK
    (step,) = find_steps(grid, technique_with("naked-pair"))
    return facts_of_step(grid.layout, step)


@pytest.mark.parametrize(
    "leak",
    [
        "Have a good look at box 5: a hidden single.",
        "Have a good look at box 5 for a Pair.",
        "Look at r4c5 in box 5.",
        "Have a good look at box 5 and the 7.",
        "Have a good look at box 5 and row 4.",
        "Have a good look around.",
        "Something is locked in box 5.",
    ],
)
def test_a_leak_planted_in_where_is_caught(leak: str) -> None:
    assert where_leaks(leak)


@pytest.mark.parametrize("leak", ["Naked pair in r1c2.", "Naked pair of 2s.", "Look in column 3."])
def test_a_leak_planted_in_what_is_caught(leak: str) -> None:
    assert what_leaks(leak)


@pytest.mark.parametrize(
    "leak",
    [
        "Naked pair: 2 and 8 in r3c3 and r4c3 (column 3). So r5c3 loses 2.",
        "Naked pair: 2 and 8 in r3c3, r4c3 and r5c3.",
        "Naked pair: 2, 8 and 9 in r3c3 and r4c3.",
        "Naked pair: 2 and 8 in r3c3 and r4c3 (column 3 and box 1).",
        "Naked pair: 2 and 8 in r3c3 and r4c3 (column 3). The rest cannot be either.",
    ],
)
def test_a_leak_planted_in_which_is_caught(leak: str, pair: StepFacts) -> None:
    assert which_leaks("Naked pair: 2 and 8 in r3c3 and r4c3 (column 3).", pair) == []
    assert which_leaks(leak, pair)


def test_a_house_away_from_the_pattern_is_caught(pair: StepFacts) -> None:
    assert house_meets_pattern("Have a good look at column 3.", pair)
    assert not house_meets_pattern("Have a good look at column 4.", pair)
