"""Every wish of a recipe is kept; what cannot be is told, with what was tried."""

from __future__ import annotations

from random import Random

import pytest

from engine.board.canonical import canonical_form
from engine.board.grid import Grid, parse_grid
from engine.board.layout import CLASSIC, DIAGONAL, MIDDLE, SMALL
from engine.making.aims import aim_of
from engine.making.puzzles import Made, make_puzzle, random_solution
from engine.making.recipes import Recipe, Tried, UnmadeError, find_contradiction
from engine.making.removal import Ground, grid_of, ground_of, random_change
from engine.making.themes import make_slim
from engine.making.work import Work
from engine.solving.grading import is_minimal, rate
from tests.engine.turns import turns_of


def made_by(seed: int, recipe: Recipe, seeds: tuple[Grid, ...] = ()) -> Made:
    made = make_puzzle(Random(seed), recipe, seeds=seeds)
    puzzle = parse_grid(made.puzzle, layout=recipe.layout)
    assert made.rating == rate(puzzle, with_turning_points=False)
    assert made.rating.level in recipe.levels
    assert set(recipe.needs) <= set(made.rating.needs)
    return made


def test_givens_are_in_the_range() -> None:
    assert made_by(1, Recipe(levels=(1,), givens=(32, 33))).rating.givens in (32, 33)
    assert made_by(1, Recipe(levels=(1, 2), givens=(22, 24))).rating.givens in (22, 23, 24)


def test_givens_are_in_the_range_where_there_is_a_theme_and_a_pattern() -> None:
    recipe = Recipe(levels=(3,), needs=("naked-pair",), givens=(28, 31), pattern="half-turn")
    made = made_by(2, recipe)
    assert 28 <= made.rating.givens <= 31
    filled = [mark != "." for mark in made.puzzle]
    assert filled == filled[::-1]


def test_a_minimal_puzzle_can_spare_no_given() -> None:
    made = made_by(3, Recipe(levels=(3,), needs=("naked-pair",), minimal=True))
    assert is_minimal(parse_grid(made.puzzle), parse_grid(made.solution))


SCARCE = Recipe(
    levels=(3,), needs=("naked-triple",), pattern="half-turn", minimal=True, givens=(22, 24)
)


def test_a_puzzle_to_be_minimal_with_few_givens_is_made_slim_before_the_theme_is_looked_for() -> (
    None
):
    fit = []
    for seed in range(6):
        work = Work(Random(seed), SCARCE, aim_of(SCARCE), most_attempts=1)
        change = random_change(work.random, CLASSIC, SCARCE.pattern)
        ground = ground_of(random_solution(work.random), change)
        plain = ground.take_away(ground.solution.placed, ground.groups)
        slim = make_slim(work, plain, ground)
        fit.append([is_scarce(givens, ground) for givens in (plain, slim)])
    assert sum(plain for plain, _ in fit) <= 1
    assert sum(slim for _, slim in fit) >= 4


def is_scarce(givens: int, ground: Ground) -> bool:
    puzzle = grid_of(CLASSIC, givens)
    return givens.bit_count() <= 24 and is_minimal(puzzle, ground.solution)


@pytest.mark.long
def test_scarce_puzzles_of_a_theme_come_of_six_seeds_in_seven() -> None:
    made = 0
    for seed in range(1, 8):
        try:
            puzzle = make_puzzle(Random(seed), SCARCE).puzzle
        except UnmadeError:
            continue
        rating = rate(parse_grid(puzzle), with_turning_points=False)
        assert rating.minimal
        assert 22 <= rating.givens <= 24
        assert [mark == "." for mark in puzzle] == [mark == "." for mark in puzzle[::-1]]
        made += 1
    assert made >= 6


def test_effort_is_bounded() -> None:
    plain = made_by(4, Recipe(levels=(2,), needs=("claiming",)))
    bound = (plain.rating.effort or 0.0) - 3.0
    easier = made_by(4, Recipe(levels=(2,), needs=("claiming",), most_effort=bound))
    assert (easier.rating.effort or 0.0) <= bound


@pytest.mark.parametrize("theme", ["naked-pair", "hidden-pair"])
def test_a_clean_puzzle_has_one_turning_point_and_singles_else(theme: str) -> None:
    made = made_by(5, Recipe(levels=(3,), needs=(theme,), clean=True))
    assert turns_of(made.puzzle) == [theme]


def test_what_is_avoided_is_not_needed() -> None:
    hidden = ("hidden-pair", "locked-pair", "naked-pair")
    made = made_by(6, Recipe(levels=(4,), needs=("xy-wing",), avoids=hidden))
    assert not set(hidden) & set(made.rating.needs)


def test_several_techniques_are_needed_at_once() -> None:
    made_by(2, Recipe(levels=(3, 4), needs=("naked-pair", "xy-wing")))


def test_a_need_below_the_level_asked_for() -> None:
    made = made_by(8, Recipe(levels=(3,), needs=("pointing",)))
    assert "pointing" in made.rating.needs


def test_a_single_can_be_the_theme() -> None:
    made_by(9, Recipe(levels=(1,), needs=("naked-single",)))


@pytest.mark.parametrize("layout", [SMALL, MIDDLE, DIAGONAL], ids=repr)
def test_other_layouts_have_puzzles_with_a_pattern(layout: object) -> None:
    assert isinstance(layout, type(CLASSIC))
    made = made_by(1, Recipe(levels=(1, 2, 3), pattern="half-turn", layout=layout))
    filled = [mark != "." for mark in made.puzzle]
    assert filled == filled[::-1]


SEEDS = tuple(
    parse_grid(make_puzzle(Random(seed), Recipe(levels=(3,), needs=("hidden-pair",))).puzzle)
    for seed in (21, 22)
)


def form_of(puzzle: str, solution: str) -> str:
    return canonical_form(parse_grid(puzzle), parse_grid(solution))


def test_a_puzzle_made_from_seeds_is_none_of_them_in_disguise() -> None:
    known = set()
    for seed in SEEDS:
        solution = rate(seed, with_turning_points=False).solution
        assert solution is not None
        known.add(canonical_form(seed, parse_grid(solution)))
    for number in range(3):
        made = made_by(number, Recipe(levels=(3,), needs=("hidden-pair",)), SEEDS)
        assert form_of(made.puzzle, made.solution) not in known


def test_the_same_seed_and_seeds_make_the_same_puzzle() -> None:
    recipe = Recipe(levels=(3,), needs=("hidden-pair",))
    assert made_by(5, recipe, SEEDS) == made_by(5, recipe, SEEDS)
    assert made_by(5, recipe, SEEDS) != made_by(6, recipe, SEEDS)


def test_seeds_without_the_pattern_are_left_out() -> None:
    recipe = Recipe(levels=(2,), pattern="mirror")
    assert made_by(5, recipe, SEEDS) == made_by(5, recipe)


@pytest.mark.parametrize(
    ("recipe", "why"),
    [
        (Recipe(levels=()), "levels"),
        (Recipe(levels=(1,), needs=("last-digit",)), "shortcut"),
        (Recipe(levels=(3,), needs=("x-wing",)), "above"),
        (Recipe(levels=(3,), needs=("naked-pair",), avoids=("naked-pair",)), "both"),
        (Recipe(levels=(4,), needs=("swordfish",), layout=SMALL), "room"),
        (Recipe(levels=(3,), needs=("naked-pair", "hidden-triple"), clean=True), "points"),
        (Recipe(levels=(1,), givens=(10, 16)), "few"),
        (Recipe(levels=(1,), givens=(90, 95)), "range"),
        (Recipe(levels=(1,), givens=(30, 28)), "swapped"),
        (Recipe(levels=(8,)), "level"),
        (Recipe(levels=(1,), pattern="spiral"), "pattern"),
        (Recipe(levels=(1,), givens=24), "pair"),  # type: ignore[arg-type]
        (Recipe(levels=(1,), givens=(24, 26, 28)), "pair"),  # type: ignore[arg-type]
        (Recipe(levels=(1,), most_effort=0), "effort"),
        (Recipe(levels=(1,), givens=(26, 27), pattern="quarter-turn"), "turns"),
    ],
)
def test_what_contradicts_itself_is_told_at_once(recipe: Recipe, why: str) -> None:
    assert find_contradiction(recipe) == why
    with pytest.raises(UnmadeError) as caught:
        make_puzzle(Random(1), recipe)
    assert caught.value.contradiction == why
    assert caught.value.tried == Tried()


def test_seventeen_givens_under_quarter_turns_end_when_told_with_what_was_tried() -> None:
    asked = iter(range(400))
    with pytest.raises(UnmadeError) as caught:
        make_puzzle(
            Random(1),
            Recipe(levels=(1,), givens=(17, 17), pattern="quarter-turn"),
            should_stop=lambda: next(asked) == 399,
        )
    error = caught.value
    assert error.is_stopped
    assert error.tried.attempts > 0
    assert error.tried.misses["givens"] > 0
    assert error.tried.lacks == ("givens",)
    nearest = rate(parse_grid(error.tried.nearest), with_turning_points=False)
    assert (nearest.solutions, nearest.level) == (1, 1)
    assert {"givens", "pattern"} <= set(error.advice)


def test_progress_is_told_as_it_goes() -> None:
    heard: list[Tried] = []
    with pytest.raises(UnmadeError) as caught:
        make_puzzle(
            Random(1),
            Recipe(levels=(3,), needs=("naked-quad",)),
            attempts=6,
            on_progress=heard.append,
        )
    assert [each.attempts for each in heard] == list(range(7))
    assert heard[-1] == caught.value.tried
    assert heard[-1].too_easy + heard[-1].too_hard == 6
