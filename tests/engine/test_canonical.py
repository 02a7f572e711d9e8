"""The canonical form: the same for every disguise, another for another puzzle."""

from __future__ import annotations

from collections import Counter
from random import Random

import pytest

from engine.board.canonical import (
    canonical_form,
    pattern_of,
)
from engine.board.grid import Grid, format_grid, grid_without, parse_grid
from engine.board.layout import CLASSIC, MIDDLE, SMALL, Layout, diagonal_layout
from engine.board.layout_names import irregular_layout
from engine.board.symmetry import random_symmetry
from engine.making.puzzles import minimal_puzzle, random_solution
from engine.search.exact import find_solutions, solve

# OEIS A114288: the lexicographically first grid.
FIRST_GRID = "123456789456789123789123456214365897365897214897214365531642978642978531978531642"
# The encyclopaedia example, also in SQLite's documentation (`lang_with`) and PuLP's example.
ENCYCLOPAEDIA = "53..7....6..195....98....6.8...6...34..8.3..17...2...6.6....28....419..5....8..79"
# Crook, A Pencil-and-Paper Algorithm for Solving Sudoku Puzzles, Notices AMS 56(4), 2009, p. 463.
CROOK = ".395........8...7.....1.9.41..4....3...........7...86...67.82...1..9...5.....1..8"


def solution_of(text: str) -> Grid:
    solution = solve(parse_grid(text))
    assert solution is not None
    return solution


def test_the_lexicographically_first_grid_is_its_own_form() -> None:
    random = Random(1)
    grid = parse_grid(FIRST_GRID)
    assert canonical_form(grid, grid) == FIRST_GRID
    for _ in range(20):
        image = random_symmetry(random, CLASSIC).apply(grid)
        assert canonical_form(image, image) == FIRST_GRID


def test_the_288_grids_of_4x4_fall_in_two_classes() -> None:
    """OEIS A107739 and A109741; the classes hold 96 and 192 (computed)."""
    grids = find_solutions(Grid.empty(SMALL), 1000)
    assert len(grids) == 288
    assert sorted(Counter(canonical_form(grid, grid) for grid in grids).values()) == [96, 192]


def quarter_turned(text: str) -> str:
    return "".join(text[(8 - column) * 9 + row] for row in range(9) for column in range(9))


def renamed(text: str, names: str) -> str:
    return text.translate(str.maketrans("123456789", names))


def with_rows_moved(text: str, order: str) -> str:
    rows = [text[start : start + 9] for start in range(0, 81, 9)]
    return "".join(rows[int(row) - 1] for row in order)


@pytest.mark.parametrize("givens", [ENCYCLOPAEDIA, CROOK])
def test_a_puzzle_disguised_by_hand_is_known_again(givens: str) -> None:
    disguised = with_rows_moved(quarter_turned(renamed(givens, "472918365")), "987231546")
    assert disguised != givens
    form = canonical_form(givens, solution_of(givens))
    assert canonical_form(disguised, solution_of(disguised)) == form


def test_other_puzzles_have_other_forms() -> None:
    forms = {canonical_form(givens, solution_of(givens)) for givens in (ENCYCLOPAEDIA, CROOK)}
    assert len(forms) == 2
    # One given less is another puzzle, though the solution is the same.
    solution = solution_of(ENCYCLOPAEDIA)
    fewer = parse_grid("." + ENCYCLOPAEDIA[1:])
    assert canonical_form(fewer, solution) != canonical_form(parse_grid(ENCYCLOPAEDIA), solution)


@pytest.mark.parametrize("layout", [SMALL, MIDDLE, CLASSIC, diagonal_layout(CLASSIC)], ids=repr)
def test_every_symmetry_keeps_the_form(layout: Layout) -> None:
    random = Random(7)
    for _ in range(8):
        puzzle = minimal_puzzle(random, layout)
        solution = solve(puzzle)
        assert solution is not None
        form = canonical_form(puzzle, solution)
        for _ in range(4):
            symmetry = random_symmetry(random, layout)
            assert canonical_form(symmetry.apply(puzzle), symmetry.apply(solution)) == form


def test_the_form_is_itself_a_disguise_of_the_puzzle() -> None:
    puzzle = parse_grid(CROOK)
    form = parse_grid(canonical_form(puzzle, solution_of(CROOK)))
    solution = solve(form)
    assert solution is not None
    assert form.placed.bit_count() == puzzle.placed.bit_count()
    assert canonical_form(form, solution) == format_grid(form)


def test_random_grids_have_different_forms() -> None:
    random = Random(3)
    grids = [random_solution(random) for _ in range(20)]
    assert len({canonical_form(grid, grid) for grid in grids}) == 20


@pytest.mark.parametrize(
    ("rows", "pattern"),
    [
        ("12.. .... .... ..34", "half-turn"),
        ("1..2 .... .... 3..4", "quarter-turn"),
        ("1..2 3..4 .... ....", "mirror"),
        ("1... 2... .... ....", "none"),
        ("12.. 3... .... ....", "diagonal"),
        ("..12 ...3 .... ....", "diagonal"),
        ("12.. .... .... 34..", "mirror"),
    ],
)
def test_the_pattern_of_the_givens_is_named(rows: str, pattern: str) -> None:
    marks = iter("1234")
    text = "".join(rows.split())
    grid = parse_grid("".join(next(marks) if mark != "." else "." for mark in text), layout=SMALL)
    assert pattern_of(grid) == pattern


def test_the_encyclopaedia_example_looks_the_same_turned_by_half() -> None:
    assert pattern_of(parse_grid(ENCYCLOPAEDIA)) == "half-turn"


@pytest.mark.parametrize("box_map", ["aabb", "abab", "aaabbbccc", "abcabcabc", "aaaabbbbccccdddd"])
def test_where_boxes_are_lines_a_puzzle_has_one_form_however_it_is_seen(box_map: str) -> None:
    layout = irregular_layout(box_map)
    for seed in range(6):
        solution = random_solution(Random(seed), layout)
        puzzle = grid_without(solution, seed % layout.cell_count)
        form = canonical_form(puzzle, solution)
        for turn in range(6):
            symmetry = random_symmetry(Random(turn), layout)
            assert canonical_form(symmetry.apply(puzzle), symmetry.apply(solution)) == form
