"""Effort hardly ever rises by a given more, and it is a matter of the position alone."""

from __future__ import annotations

from collections import Counter
from random import Random

import pytest

from bot.stock.starting_stock import load_starting_stock
from engine.board.grid import parse_grid
from engine.board.symmetry import random_symmetry
from engine.solving.effort import Round, effort_of, find_rounds

STOCK = load_starting_stock()

MOST_RISES = 0.01
"""Of puzzles with a given added, how many may take over a fiftieth more effort."""

BY_CHANCE = 4
"""So many more may be met among 150 drawn: three times the deviation of a share of one in 100."""


def effort(givens: str) -> float:
    return effort_of(find_rounds(parse_grid(givens)))


def count_rises(random: Random, count: int) -> int:
    """Return for how many of so many puzzles a given more, drawn at random, raises the effort."""
    rises = 0
    for number in range(count):
        puzzle = STOCK[number * 7 % len(STOCK)]
        cell = random.choice([cell for cell, mark in enumerate(puzzle.givens) if mark == "."])
        more = puzzle.givens[:cell] + puzzle.solution[cell] + puzzle.givens[cell + 1 :]
        rises += effort(more) > 1.02 * effort(puzzle.givens)
    return rises


def test_a_given_more_hardly_ever_raises_the_effort(fired: Counter[str]) -> None:
    rises = count_rises(Random(20), 150)
    fired.update({"raised": rises, "not": 150 - rises})
    assert rises <= MOST_RISES * 150 + BY_CHANCE


@pytest.mark.long
def test_of_1500_puzzles_a_given_more_raises_the_effort_of_one_in_a_hundred(
    fired: Counter[str],
) -> None:
    rises = count_rises(Random(21), 1500)
    fired.update({"raised": rises, "not": 1500 - rises})
    assert rises <= MOST_RISES * 1500


def test_most_givens_lower_the_effort() -> None:
    puzzle = STOCK[len(STOCK) // 2]
    before = effort(puzzle.givens)
    fewer = 0
    open_cells = [cell for cell, mark in enumerate(puzzle.givens) if mark == "."]
    for cell in open_cells:
        more = puzzle.givens[:cell] + puzzle.solution[cell] + puzzle.givens[cell + 1 :]
        fewer += effort(more) < before
    assert fewer * 4 >= len(open_cells) * 3


def test_effort_is_the_same_however_a_puzzle_is_seen() -> None:
    for puzzle in STOCK[::60]:
        grid = parse_grid(puzzle.givens)
        seen = random_symmetry(Random(puzzle.givens), grid.layout).apply(grid)
        assert effort_of(find_rounds(seen)) == effort_of(find_rounds(grid))


@pytest.mark.parametrize(
    ("rounds", "cost"),
    [
        ((), 0.0),
        ((Round(1, 1),), 1.0),
        ((Round(1, 3),), 1.8),  # 1 + 1/2 + 1/3
        ((Round(2, 0),), 6.0),  # 3 to see it, 3 to find it
        ((Round(3, 0),), 12.0),  # (3 + 3) + (3 + 3)
        ((Round(2, 0), Round(2, 0)), 7.5),  # 3 + 3 + 3/2
        ((Round(2, 0), Round(3, 0)), 13.5),  # (3 + 3 + 3/2) + (3 + 3)
        ((Round(5, 1),), 24.0),  # a placement of a higher level costs its weight
    ],
)
def test_rounds_cost_what_the_model_says(rounds: tuple[Round, ...], cost: float) -> None:
    assert effort_of(rounds) == cost
