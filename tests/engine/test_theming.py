"""A leader's way: by one technique wherever it works, else hint after hint."""

from __future__ import annotations

import pytest

from engine.board.grid import format_grid, parse_grid
from engine.board.layout import CLASSIC
from engine.solving.hints import find_hint, find_theme_step, find_walkthrough
from engine.solving.narrowing import Narrowing
from engine.solving.openings import Openings
from engine.solving.paths import apply_step, find_steps, still_applies
from engine.techniques import technique_with
from tests.corpus import Puzzle, load_puzzles, samples_by_technique

# Worked steps of facts.md, computed there: a pointing 9, a naked triple and its hidden twin.
WORKED = ".....2534.34.1.28.2...341...23...74.9.6...3121472.39..7.83..4.13....96..46..7.8.3"
TRIPLE = technique_with("naked-triple")
PUZZLES = [puzzle for puzzle in load_puzzles() if puzzle.hardest == "naked-triple"][:4]


def test_the_theme_is_shown_where_it_works_though_something_simpler_is_there() -> None:
    grid = parse_grid(WORKED)
    hint = find_hint(grid)
    assert hint is not None
    assert hint.technique != "naked-triple"
    step = find_hint(grid, theme=TRIPLE)
    assert step in find_steps(grid, TRIPLE)


def test_where_the_theme_does_nothing_it_is_the_hint() -> None:
    grid = parse_grid(WORKED)
    jellyfish = technique_with("jellyfish")
    assert find_theme_step(grid, jellyfish) is None
    assert find_hint(grid, theme=jellyfish) == find_hint(grid)


def test_of_several_steps_of_the_theme_one_that_opens_a_digit_is_shown() -> None:
    checked = 0
    for sample in samples_by_technique()["naked-triple"]:
        grid = sample.grid
        steps = find_steps(grid, TRIPLE)
        openings = Openings(grid)
        opening = [step for step in steps if openings.easiest(step) is not None]
        if opening and len(opening) < len(steps):
            assert find_theme_step(grid, TRIPLE) in opening
            checked += 1
    assert checked


def test_a_narrowed_theme_stays_in_its_house() -> None:
    grid = parse_grid(WORKED)
    for house in CLASSIC.houses:
        narrowing = Narrowing(house=house)
        step = find_theme_step(grid, TRIPLE, narrowing)
        assert step is None or narrowing.admits(CLASSIC, step)
    assert find_theme_step(grid, TRIPLE, Narrowing(house=CLASSIC.parse_house("box 8"))) is not None


@pytest.mark.parametrize("puzzle", PUZZLES, ids=lambda puzzle: puzzle.text)
def test_a_walkthrough_by_the_theme_leads_to_the_end_and_uses_it(puzzle: Puzzle) -> None:
    path = find_walkthrough(parse_grid(puzzle.text), theme=TRIPLE)
    assert path.is_solved
    assert format_grid(path.end) == puzzle.solution
    grid, used = path.start, 0
    for step in path.steps:
        assert still_applies(grid, step)
        used += step.technique == "naked-triple"
        grid = apply_step(grid, step)
    assert grid == path.end
    usual = find_walkthrough(parse_grid(puzzle.text)).steps
    assert used >= sum(step.technique == "naked-triple" for step in usual) > 0
