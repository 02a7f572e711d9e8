"""Ratings: level, hardest, needs, ways round, effort, minimality."""

from __future__ import annotations

from random import Random

import pytest

from engine.board.grid import parse_grid
from engine.board.layout import CLASSIC
from engine.board.symmetry import random_symmetry
from engine.search.exact import solve
from engine.solving.effort import LEVEL_WEIGHTS
from engine.solving.grading import (
    Rating,
    find_needs,
    find_sweeps,
    is_minimal,
    rate,
)
from engine.techniques import LADDER, PLAIN, technique_with

ENCYCLOPAEDIA = "53..7....6..195....98....6.8...6...34..8.3..17...2...6.6....28....419..5....8..79"
SEVENTEEN = "..............3.85..1.2.......5.7.....4...1...9.......5......73..2.1........4...9"
LOCKED = "....94.3....51...7.89....4.......2.8.6.2.1.5.1.2.......7....52.9...65....4.97...."
CROOK = ".395........8...7.....1.9.41..4....3...........7...86...67.82...1..9...5.....1..8"
WEBER = ".2..........6....3.74.8.........3..2.8..4..1.6..5.........1.78.5....9..........4."
TWO_SOLUTIONS = "9.6.7.4.3...4..2...7..23.1.5.....1...4.2.8.6...3.....5.3.7...5...7..5...4.5.1.7.8"


@pytest.mark.parametrize(
    ("text", "level", "is_minimal"),
    [
        (ENCYCLOPAEDIA, 1, False),  # 30 givens, not minimal: facts.md
        (SEVENTEEN, 1, True),  # 17 givens, minimal: facts.md
        (LOCKED, 2, None),  # class L: facts.md
        (CROOK, 3, None),  # class B: facts.md
    ],
)
def test_published_puzzles_have_the_level_of_their_class(
    text: str, level: int, is_minimal: bool | None
) -> None:
    rating = rate(parse_grid(text), with_turning_points=False)
    assert (rating.solutions, rating.level) == (1, level)
    assert rating.givens == sum(mark != "." for mark in text)
    if is_minimal is not None:
        assert rating.minimal is is_minimal
    assert rating.hardest is not None
    assert technique_with(rating.hardest).level == level
    assert rating.effort is not None
    assert rating.effort > 0


def test_a_puzzle_beyond_a_ladder_has_no_level_and_says_what_led_there() -> None:
    rating = rate(parse_grid(WEBER), ladder=PLAIN)
    assert (rating.solutions, rating.minimal is not None) == (1, True)
    assert (rating.level, rating.hardest, rating.effort, rating.minutes) == (None,) * 4
    assert (rating.needs, rating.way_rounds) == ((), {})
    assert sum(rating.techniques.values()) > 0


@pytest.mark.parametrize(
    ("text", "solutions"), [(TWO_SOLUTIONS, 2), ("." * len(CROOK), 2), ("2" + CROOK[1:], 0)]
)
def test_without_just_one_solution_nothing_else_is_judged(text: str, solutions: int) -> None:
    givens = sum(mark != "." for mark in text)
    assert rate(parse_grid(text)) == Rating(
        solutions, None, givens, None, None, {}, None, (), {}, (), None
    )


@pytest.mark.parametrize("text", [ENCYCLOPAEDIA, LOCKED, CROOK])
def test_what_is_needed_is_what_the_ladder_cannot_spare(text: str) -> None:
    """Against the definition: the ladder up to the hardest, each technique left out in turn."""
    grid = parse_grid(text)
    sweeps = find_sweeps(grid)
    hardest = sweeps.hardest
    assert hardest is not None
    upto = LADDER[: LADDER.index(hardest) + 1]
    expected = [
        technique.id
        for technique in upto
        if not find_sweeps(grid, [each for each in upto if each is not technique]).is_solved
    ]
    assert list(rate(grid, with_turning_points=False).needs) == expected


@pytest.mark.parametrize("text", [LOCKED, CROOK])
def test_the_hardest_is_the_first_at_which_the_ladder_solves_the_puzzle(text: str) -> None:
    grid = parse_grid(text)
    solving = [
        technique.id
        for place, technique in enumerate(LADDER)
        if find_sweeps(grid, LADDER[: place + 1]).is_solved
    ]
    assert rate(grid, with_turning_points=False).hardest == solving[0]


def test_ways_round_solve_the_puzzle_in_the_needed_techniques_stead() -> None:
    grid = parse_grid(CROOK)
    rating = rate(grid, with_turning_points=False)
    hardest = rating.hardest
    assert hardest is not None
    assert set(rating.way_rounds) == set(rating.needs)
    upto = [technique.id for technique in LADDER]
    upto = upto[: upto.index(hardest) + 1]
    for needed, ways in rating.way_rounds.items():
        for technique in LADDER:
            if technique.id in upto or technique.level > 3:
                continue
            ladder = [
                each
                for each in LADDER
                if (each.id in upto and each.id != needed) or each is technique
            ]
            solves = find_sweeps(grid, ladder).is_solved
            assert (technique.id in dict(ways)) is solves


def test_a_naked_pair_is_a_twin_of_the_locked_pair_that_a_puzzle_needs() -> None:
    text = "..97....8.....2.......146.7.4.....3.9.2...7..75.......81..7.2.66....98.....6...7."
    twins = {
        (needed, way)
        for needed, ways in rate(parse_grid(text)).way_rounds.items()
        for way, is_twin in ways
        if is_twin
    }
    assert twins, rate(parse_grid(text)).way_rounds


@pytest.mark.parametrize("text", [ENCYCLOPAEDIA, LOCKED, CROOK, WEBER])
def test_a_rating_does_not_change_when_lines_move_and_digits_are_renamed(text: str) -> None:
    grid = parse_grid(text)
    rating = rate(grid)
    for seed in range(3):
        other = rate(random_symmetry(Random(seed), CLASSIC).apply(grid))
        for name in (
            "level",
            "techniques",
            "hardest",
            "needs",
            "way_rounds",
            "minimal",
            "effort",
            "minutes",
        ):
            assert getattr(other, name) == getattr(rating, name), name
        assert len(other.turning_points) == len(rating.turning_points)


def test_harder_puzzles_take_more_effort_here() -> None:
    efforts = [rate(parse_grid(text)).effort for text in (ENCYCLOPAEDIA, LOCKED, CROOK)]
    assert None not in efforts
    assert efforts == sorted(efforts, key=lambda effort: effort or 0)


def test_a_weight_stands_for_each_level() -> None:
    assert list(LEVEL_WEIGHTS) == sorted(LEVEL_WEIGHTS)
    assert len(LEVEL_WEIGHTS) == 6


def test_a_puzzle_with_a_spare_given_is_not_minimal() -> None:
    puzzle = parse_grid(SEVENTEEN)
    solution = solve(puzzle)
    assert solution is not None
    assert is_minimal(puzzle, solution)
    cell = CLASSIC.cells_in(puzzle.open_cells)[0]
    assert not is_minimal(puzzle.place(cell, solution.digit_at(cell)), solution)


def test_a_full_grid_needs_nothing() -> None:
    full = solve(parse_grid(ENCYCLOPAEDIA))
    assert full is not None
    sweeps = find_sweeps(full)
    assert (sweeps.stages, sweeps.hardest, find_needs(sweeps)) == ((), None, ())
    rating = rate(full)
    assert (rating.solutions, rating.level, rating.needs) == (1, None, ())
