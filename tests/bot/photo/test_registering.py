"""What tells a puzzle from a table of digits, and one puzzle from another."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest

from bot.photo.network import KINDS
from bot.photo.registering import register, shows_puzzle
from engine import format_grid, solve
from tests.bot.photo.photos import SMALL, puzzle


def chances_of(grid: str) -> np.ndarray:
    """Return what a network would tell that reads a grid's text without a doubt."""
    chances = np.zeros((len(grid), KINDS), np.float32)
    chances[np.arange(len(grid)), [int(mark) if mark != "." else 0 for mark in grid]] = 1
    return chances


def solved(text: str) -> str:
    found = solve(puzzle(text))
    assert found is not None
    return format_grid(found)


def with_mistakes(grid: str, count: int) -> str:
    """Return a grid with some of its cells changed for digits that stand in their row."""
    size, marks = int(len(grid) ** 0.5), list(grid)
    for cell in Random(5).sample(range(len(grid)), count):
        marks[cell] = grid[cell // size * size + (cell + 1) % size]
    return "".join(marks)


@pytest.mark.parametrize("text", [format_grid(puzzle()), SMALL])
def test_a_puzzle_shows_with_little_in_it_with_all_and_with_a_members_mistakes(text: str) -> None:
    full = solved(text)
    for grid in (text, full, with_mistakes(full, 1), with_mistakes(full, len(full) // 16)):
        assert shows_puzzle(chances_of(grid)), grid


@pytest.mark.parametrize("size", [9, 6])
def test_digits_by_chance_are_no_puzzle(size: int) -> None:
    random = Random(7)
    for _ in range(50):
        digits = "".join(str(random.randint(1, size)) for _ in range(size * size))
        assert not shows_puzzle(chances_of(digits))


def test_a_grid_of_digits_that_a_small_one_does_not_have_is_no_puzzle() -> None:
    sixes = str.maketrans("123", "789")
    assert not shows_puzzle(chances_of(solved(SMALL).translate(sixes)))


def test_a_small_grid_that_agrees_by_chance_is_not_taken_for_the_puzzle() -> None:
    givens = [cell for cell, mark in enumerate(SMALL) if mark != "."]
    changed = list(SMALL)
    for cell in givens[7:]:
        changed[cell] = "."
    seven = register(chances_of("".join(changed)), 0, {"small": puzzle(SMALL)})
    assert seven is not None
    assert seven.agreement >= 0.6
    assert not seven.is_known
    whole = register(chances_of(SMALL), 0, {"small": puzzle(SMALL)})
    assert whole is not None
    assert (whole.puzzle, whole.agreement, whole.is_known) == ("small", 1.0, True)
