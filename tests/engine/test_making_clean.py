"""From a puzzle that needs its theme, but turns several times, a climb leads to a clean one."""

from __future__ import annotations

from random import Random

import pytest

from engine.board.grid import parse_grid
from engine.board.layout import MIDDLE
from engine.making.aims import aim_of, settle
from engine.making.clean import climb, find_turn
from engine.making.finish import Made, judge
from engine.making.puzzles import make_puzzle
from engine.making.recipes import Recipe
from engine.making.removal import ground_of
from engine.making.work import Work
from engine.search.exact import find_solutions
from engine.solving.grading import find_sweeps
from engine.techniques import technique_with
from tests.engine.turns import turns_of
from tests.independent.counting import SatCounter

TURNING_OFTEN = {
    "naked-pair":
        "43....6..721.....4......19736.1.25....4.6....2......7....75......3........2.49..5",
    "locked-triple":
        "..9.6..4....1...2..7...836...53......6.4........8....9..2......91...2.....391...5",
    "xy-wing":
        "6.4.....1....6..5..1...7.381.8....727.5...9..4...8...5....3..1.8..........7.528..",
}  # fmt: skip
"""Our own, from a walk towards each theme."""

MIRRORED = ".7.....1.8..426..3..91.85..2..7.4..53...6...7.9.....4...4.3.2...5.....3.9..8.1..6"
"""The same for locked pairs, with the columns mirrored."""

CLIMBS = 8


def climb_from(text: str, recipe: Recipe, mirrored: bool = False) -> list[Made]:
    """Return what comes of some climbs from the same puzzle."""
    turn, puzzle = find_turn(recipe), parse_grid(text)
    assert turn is not None
    (solution,) = find_solutions(puzzle)
    ground = ground_of(solution, MIRRORING if mirrored else None)
    stuck = settle(puzzle, turn.below)
    assert stuck is not None
    made = []
    for seed in range(CLIMBS):
        work = Work(Random(seed), recipe, aim_of(recipe), most_attempts=1)
        made.append(climb(work, turn, stuck, ground))
    return [each for each in made if each is not None]


MIRRORING = tuple(cell // 9 * 9 + 8 - cell % 9 for cell in range(81))


def recipe_for(theme: str, givens: tuple[int, int] | None = None, pattern: str = "") -> Recipe:
    level = technique_with(theme).level
    return Recipe(levels=(level,), needs=(theme,), clean=True, givens=givens, pattern=pattern)


@pytest.mark.parametrize("theme", TURNING_OFTEN)
def test_a_climb_leads_to_a_puzzle_that_turns_on_its_theme_alone(theme: str) -> None:
    assert len(turns_of(TURNING_OFTEN[theme])) > 1
    made, sat = climb_from(TURNING_OFTEN[theme], recipe_for(theme)), SatCounter()
    assert len(made) * 4 >= CLIMBS
    for each in made:
        assert turns_of(each.puzzle) == [theme]
        assert sat.find(each.puzzle, 2) == {each.solution}
        assert theme in each.rating.needs


def test_a_climb_keeps_to_the_givens_that_are_wished_for() -> None:
    text = TURNING_OFTEN["naked-pair"]
    many = climb_from(text, recipe_for("naked-pair", (30, 33)))
    assert many
    assert all(30 <= each.rating.givens <= 33 for each in many)
    few = climb_from(text, recipe_for("naked-pair"))
    assert min(each.rating.givens for each in few) < 30


def test_a_climb_keeps_the_pattern() -> None:
    made = climb_from(MIRRORED, recipe_for("locked-pair", pattern="mirror"), mirrored=True)
    assert made
    for each in made:
        assert turns_of(each.puzzle) == ["locked-pair"]
        rows = [each.puzzle[start : start + 9] for start in range(0, 81, 9)]
        filled = [[mark != "." for mark in row] for row in rows]
        assert filled == [row[::-1] for row in filled]


def test_there_is_nothing_to_climb_to_where_more_is_asked_than_one_theme() -> None:
    assert find_turn(recipe_for("x-wing")) is not None
    assert find_turn(Recipe(levels=(4,), needs=("x-wing",))) is None
    assert find_turn(Recipe(levels=(4,), needs=("x-wing",), clean=True, minimal=True)) is None
    assert find_turn(Recipe(levels=(4,), needs=("naked-pair",), clean=True)) is None
    assert find_turn(Recipe(levels=(1,), needs=("naked-single",), clean=True)) is None


def test_a_smaller_layout_has_clean_puzzles() -> None:
    recipe = Recipe(levels=(3,), needs=("naked-pair",), clean=True, layout=MIDDLE)
    made = make_puzzle(Random(2), recipe)
    assert turns_of(made.puzzle, MIDDLE) == ["naked-pair"]


def test_what_opens_nothing_may_come_before_the_theme_at_its_turning_point() -> None:
    puzzle = "1...467.....12......45...26.31.92...49.87....5..6..8..2....4.3...9...5.1..8....6."
    stages = find_sweeps(parse_grid(puzzle)).stages
    assert [stage.technique.id for stage in stages if stage.technique.level > 1] == [
        "pointing",
        "claiming",
    ]
    recipe = recipe_for("claiming")
    work = Work(Random(1), recipe, aim_of(recipe), most_attempts=1)
    made = judge(work, parse_grid(puzzle))
    assert made is not None
    assert made.puzzle == puzzle


def test_what_opens_a_digit_below_the_theme_is_a_turning_point_of_its_own() -> None:
    recipe = recipe_for("xy-wing")
    work = Work(Random(1), recipe, aim_of(recipe), most_attempts=1)
    assert judge(work, parse_grid(TURNING_OFTEN["xy-wing"])) is None
    assert work.lacks == ("clean",)
