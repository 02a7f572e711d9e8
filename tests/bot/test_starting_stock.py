"""The shipped puzzles are what their file says: judged anew, counted by another solver, and made
again by their recipes."""

from __future__ import annotations

from collections import Counter

import pytest

from bot import assets
from bot.cli.starting_recipes import format_stock, load_recipes, make_by
from bot.club.state import Puzzle
from bot.club.vetting import vet_puzzle
from bot.stock.starting_stock import load_starting_stock
from engine.board.grid import parse_grid
from engine.techniques import LADDER
from tests.engine.turns import turns_of
from tests.independent.counting import SatCounter

STOCK = load_starting_stock()

NO_THEME = {
    "last-digit", "last-three",  # whatever they place, a single places too
    "remote-pair", "jellyfish", "hidden-quad",  # none was found: see the file of recipes
}  # fmt: skip


def test_there_are_puzzles_enough_for_every_level() -> None:
    assert len(STOCK) >= 400
    levels = Counter(puzzle.level for puzzle in STOCK)
    assert set(levels) == {1, 2, 3, 4, 5, 6}
    assert min(levels.values()) >= 20


def test_every_technique_that_can_be_a_theme_is_one() -> None:
    wanted = {each.id for each in LADDER if each.level <= 5} - NO_THEME
    assert wanted <= {puzzle.hardest for puzzle in STOCK if puzzle.hardest in puzzle.needs}


UNMADE_CLEAN = NO_THEME | {"avoidable-rectangle"}  # none came: see the file of recipes

CLEAN = {
    each.id: 15 if each.level == 5 else 30
    for each in LADDER
    if 1 < each.level < 6 and each.id not in UNMADE_CLEAN
}
"""At least so many of a theme turn once, on the theme, and go by singles before and after."""


def test_themes_have_puzzles_that_turn_on_them_once() -> None:
    found = Counter(puzzle.hardest for puzzle in STOCK if puzzle.is_clean_for(puzzle.hardest))
    assert {theme: found[theme] for theme in CLEAN if found[theme] < CLEAN[theme]} == {}


def test_half_of_them_have_symmetry() -> None:
    assert sum(puzzle.pattern != "none" for puzzle in STOCK) * 2 >= len(STOCK)


def test_no_two_are_one_puzzle_in_disguise() -> None:
    assert len({puzzle.form for puzzle in STOCK}) == len(STOCK)


def test_the_file_is_in_the_order_and_form_in_which_it_is_made() -> None:
    text = assets.path("puzzles", "starting.tsv").read_text(encoding="utf-8")
    assert format_stock(STOCK) == text
    assert len(load_recipes()) == len(STOCK)


@pytest.mark.parametrize("recipe", load_recipes()[5::90])
def test_some_recipes_make_their_puzzles_again(recipe: str) -> None:
    _check_made_again(recipe)


@pytest.mark.long
def test_all_recipes_make_the_file_again_byte_for_byte() -> None:
    text = assets.path("puzzles", "starting.tsv").read_text(encoding="utf-8")
    assert format_stock(map(make_by, load_recipes())) == text


def _check_made_again(recipe: str) -> None:
    made = make_by(recipe)
    (shipped,) = (puzzle for puzzle in STOCK if puzzle.form == made.form)
    assert (made.givens, made.level, made.needs) == (shipped.givens, shipped.level, shipped.needs)


@pytest.fixture(scope="module")
def sat() -> SatCounter:
    return SatCounter()


def _check_line(puzzle: Puzzle, sat: SatCounter) -> None:
    vetted = vet_puzzle(parse_grid(puzzle.givens), origin=puzzle.origin).puzzle
    assert vetted == puzzle
    turning = turns_of(puzzle.givens)
    assert puzzle.is_clean_for(puzzle.hardest) is (turning == [puzzle.hardest])
    assert sat.find(puzzle.givens, 2) == {puzzle.solution}


@pytest.mark.parametrize("puzzle", STOCK[::12], ids=lambda puzzle: puzzle.givens)
def test_a_puzzle_is_what_its_line_says(puzzle: Puzzle, sat: SatCounter) -> None:
    _check_line(puzzle, sat)


@pytest.mark.long
@pytest.mark.parametrize("puzzle", STOCK, ids=lambda puzzle: puzzle.givens)
def test_every_puzzle_is_what_its_line_says(puzzle: Puzzle, sat: SatCounter) -> None:
    _check_line(puzzle, sat)
