"""New puzzles: the same for a seed, of the level and with the needs asked for."""

from __future__ import annotations

from random import Random

import pytest

from engine.board.grid import Grid, format_grid, parse_grid
from engine.board.layout import CLASSIC, DIAGONAL, MIDDLE, SMALL, Layout
from engine.board.symmetry import random_symmetry
from engine.errors import UnknownTechniqueError
from engine.making.puzzles import make_puzzle, minimal_puzzle, random_solution, shuffle_puzzle
from engine.making.recipes import Recipe, UnmadeError
from engine.making.removal import ground_of
from engine.search.exact import count_solutions, solve
from engine.solving.grading import rate


@pytest.mark.parametrize("level", [1, 2, 3])
def test_a_made_puzzle_has_the_level_asked_for_and_one_solution(level: int) -> None:
    made = make_puzzle(Random(20 + level), Recipe(levels=(level,)))
    grid = parse_grid(made.puzzle)
    assert made.rating == rate(grid, with_turning_points=False)
    assert (made.rating.solutions, made.rating.level) == (1, level)
    solution = solve(grid)
    assert solution is not None
    assert format_grid(solution) == made.solution


def test_a_made_puzzle_needs_what_was_asked_for() -> None:
    made = make_puzzle(Random(3), Recipe(levels=(2,), needs=("pointing",)))
    assert "pointing" in made.rating.needs


def test_the_same_seed_makes_the_same_puzzle() -> None:
    made = [make_puzzle(Random(11), Recipe(levels=(1, 2, 3))) for _ in range(2)]
    assert made[0] == made[1]
    assert make_puzzle(Random(12), Recipe(levels=(1, 2, 3))) != made[0]


@pytest.mark.parametrize("seed", [5, 6, 7])
def test_a_symmetric_puzzle_keeps_its_pattern_under_half_a_turn(seed: int) -> None:
    made = make_puzzle(Random(seed), Recipe(levels=(1,), pattern="half-turn"))
    pattern = [mark == "." for mark in made.puzzle]
    assert pattern == pattern[::-1]
    assert (made.rating.solutions, made.rating.level) == (1, 1)


@pytest.mark.parametrize("layout", [SMALL, MIDDLE], ids=repr)
def test_small_layouts_make_puzzles_by_the_same_code(layout: Layout) -> None:
    made = make_puzzle(Random(1), Recipe(levels=(1, 2, 3), layout=layout))
    assert len(made.puzzle) == layout.cell_count
    assert count_solutions(parse_grid(made.puzzle, layout=layout)) == 1


def test_a_minimal_puzzle_can_spare_no_given() -> None:
    puzzle = minimal_puzzle(Random(2), MIDDLE)
    assert count_solutions(puzzle) == 1
    text = format_grid(puzzle)
    for cell, mark in enumerate(text):
        if mark != ".":
            fewer = text[:cell] + "." + text[cell + 1 :]
            assert count_solutions(parse_grid(fewer, layout=MIDDLE)) > 1


@pytest.mark.parametrize("layout", [SMALL, MIDDLE, CLASSIC, DIAGONAL], ids=repr)
def test_without_what_can_be_exchanged_there_is_more_than_one_solution(layout: Layout) -> None:
    ground = ground_of(random_solution(Random(6), layout), None)
    assert ground.all_escapes
    for escape in ground.all_escapes:
        rest = ground.solution.placed & ~escape
        assert count_solutions(Grid(layout, rest, layout.all_candidates)) > 1


def test_what_cannot_be_made_is_given_up_after_the_attempts() -> None:
    with pytest.raises(UnmadeError) as caught:
        make_puzzle(Random(1), Recipe(levels=(3,), needs=("naked-quad",)), attempts=3)
    assert caught.value.tried.attempts == 3
    assert not caught.value.is_stopped


def test_an_unknown_need_is_refused_before_any_work() -> None:
    with pytest.raises(UnknownTechniqueError):
        make_puzzle(Random(1), Recipe(levels=(1,), needs=("swordfisch",)))


def test_making_stops_when_told() -> None:
    with pytest.raises(UnmadeError) as caught:
        make_puzzle(Random(1), Recipe(levels=(1,)), should_stop=lambda: True)
    assert caught.value.is_stopped


def test_a_deadline_that_is_not_reached_changes_no_result() -> None:
    plain = make_puzzle(Random(8), Recipe(levels=(1,)))
    assert make_puzzle(Random(8), Recipe(levels=(1,)), should_stop=lambda: False) == plain


def test_a_random_solution_is_full_and_differs_by_seed() -> None:
    grids = {format_grid(random_solution(Random(seed))) for seed in range(5)}
    assert len(grids) == 5
    assert all("." not in text for text in grids)


def test_a_shuffled_puzzle_is_another_with_as_many_givens_and_one_solution() -> None:
    puzzle = parse_grid(
        "53..7....6..195....98....6.8...6...34..8.3..17...2...6.6....28....419..5....8..79"
    )
    shuffled = shuffle_puzzle(Random(4), puzzle)
    assert shuffled != puzzle
    assert shuffled == parse_grid(format_grid(shuffled))  # no digit twice, no candidate lost
    assert shuffled.placed.bit_count() == puzzle.placed.bit_count()
    assert count_solutions(shuffled) == 1


@pytest.mark.parametrize("layout", [SMALL, MIDDLE, CLASSIC], ids=repr)
def test_a_symmetry_moves_every_house_onto_a_house(layout: Layout) -> None:
    for seed in range(10):
        symmetry = random_symmetry(Random(seed), layout)
        masks = {house.mask for house in layout.houses}
        moved = {sum(1 << symmetry.cells[cell] for cell in house.cells) for house in layout.houses}
        assert moved == masks
        assert sorted(symmetry.digits) == list(layout.digits)
