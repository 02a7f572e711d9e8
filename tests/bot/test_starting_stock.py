"""The shipped puzzles are what their file says: judged anew, and counted by another solver."""

from __future__ import annotations

from collections import Counter

import pytest

from bot.club.state import Puzzle
from bot.club.vetting import vet_puzzle
from bot.starting_stock import load_starting_stock
from engine.grid import parse_grid
from tests.independent.counting import SatCounter

STOCK = load_starting_stock()


def test_there_are_puzzles_enough_for_every_level() -> None:
    assert len(STOCK) >= 60
    levels = Counter(puzzle.level for puzzle in STOCK)
    assert set(levels) == {1, 2, 3}
    assert min(levels.values()) >= 20


def test_no_two_are_one_puzzle_in_disguise() -> None:
    assert len({puzzle.form for puzzle in STOCK}) == len(STOCK)


@pytest.fixture(scope="module")
def sat() -> SatCounter:
    return SatCounter()


@pytest.mark.parametrize("puzzle", STOCK, ids=lambda puzzle: puzzle.givens)
def test_a_puzzle_is_what_its_line_says(puzzle: Puzzle, sat: SatCounter) -> None:
    grid = parse_grid(puzzle.givens)
    vetted = vet_puzzle(grid, origin=puzzle.origin).puzzle
    assert vetted == puzzle
    assert sat.find(puzzle.givens, 2) == {puzzle.solution}
