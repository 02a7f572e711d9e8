"""A hundred puzzles for each of nine themes: each cannot be done without its technique, has one
solution, and keeps its pattern. A few of each by default, all of them in the longer run."""

from __future__ import annotations

from random import Random

import pytest

from engine.board.canonical import PATTERNS, pattern_images
from engine.board.grid import parse_grid
from engine.making.puzzles import make_puzzle
from engine.making.recipes import Recipe
from engine.solving.grading import find_sweeps
from engine.techniques import LADDER, RANKS, technique_with
from tests.independent.counting import SatCounter

THEMES = {
    "naked-pair": (0, 1),
    "hidden-pair": (0, 1),
    "naked-triple": (10, 12),
    "hidden-triple": (10, 12),
    "x-wing": (0, 14),
    "xy-wing": (0, 1),
    "swordfish": (6, 14),
    "skyscraper": (0, 1),
    "unique-rectangle": (0, 1),
}
"""Each theme with the seeds of the default run, which are quick ones; the longer run takes all."""

COUNT = 100
PATTERNS_IN_TURN = ("", "half-turn", "", "mirror", "", "diagonal")


@pytest.fixture(scope="module")
def sat() -> SatCounter:
    return SatCounter()


def check(theme: str, seed: int, pattern: str, sat: SatCounter) -> None:
    recipe = Recipe(levels=(technique_with(theme).level,), needs=(theme,), pattern=pattern)
    made = make_puzzle(Random(seed), recipe)
    puzzle = parse_grid(made.puzzle)
    assert sat.find(made.puzzle, 2) == {made.solution}
    assert made.rating.hardest is not None
    up_to_hardest = LADDER[: RANKS[made.rating.hardest] + 1]
    assert find_sweeps(puzzle, up_to_hardest).is_solved
    without = [technique for technique in up_to_hardest if technique.id != theme]
    assert len(without) == len(up_to_hardest) - 1
    assert not find_sweeps(puzzle, without).is_solved
    if pattern:
        filled = {cell for cell, mark in enumerate(made.puzzle) if mark != "."}
        assert any(
            {images[cell] for cell in filled} == filled
            for images in pattern_images(puzzle.layout, pattern)
        )


@pytest.mark.parametrize("theme", THEMES)
def test_a_puzzle_cannot_be_done_without_its_theme(theme: str, sat: SatCounter) -> None:
    for seed in THEMES[theme]:
        check(theme, seed, "", sat)


@pytest.mark.parametrize("pattern", PATTERNS)
def test_a_themed_puzzle_keeps_its_pattern(pattern: str, sat: SatCounter) -> None:
    check("naked-pair", 1, pattern, sat)


@pytest.mark.long
@pytest.mark.parametrize("theme", THEMES)
def test_a_hundred_puzzles_cannot_be_done_without_their_theme(theme: str, sat: SatCounter) -> None:
    for seed in range(COUNT):
        check(theme, seed, PATTERNS_IN_TURN[seed % len(PATTERNS_IN_TURN)], sat)
