"""Published puzzles with their published solutions, and what the ladder makes of them."""

from __future__ import annotations

from pathlib import Path

import pytest

from bot.wording.unusable import EXAMPLE_GRID
from engine.board.canonical import canonical_form
from engine.board.grid import format_grid, parse_grid
from engine.errors import RepeatedDigitError
from engine.search.exact import count_solutions, find_solutions, solve
from engine.solving.grading import find_sweeps, rate
from engine.solving.hints import find_hint
from engine.solving.paths import find_all_steps, find_path, prune_path
from engine.techniques import LADDER, technique_with
from tests.published.puzzles import (
    ENCYCLOPAEDIA,
    NO_SOLUTION,
    RATED,
    SOLVED,
    THREE_SOLUTIONS,
    TWO_SOLUTIONS,
    Published,
)

TO_LEVEL_3 = [technique for technique in LADDER if technique.level <= 3]
FISH = ("x-wing", "swordfish", "jellyfish")
TO_LEVEL_3_AND_FISH = [*TO_LEVEL_3, *map(technique_with, FISH)]
every_puzzle = pytest.mark.parametrize("puzzle", SOLVED, ids=str)


@every_puzzle
def test_the_published_solution_is_the_only_one(puzzle: Published) -> None:
    grid = parse_grid(puzzle.text)
    found = solve(grid)
    assert found is not None
    assert format_grid(found) == puzzle.solution
    assert count_solutions(grid, 3) == 1


@pytest.mark.parametrize(("source", "text", "level"), RATED, ids=[each[0] for each in RATED])
def test_the_ladder_solves_it_at_its_level_or_beyond_plain_fish(
    source: str, text: str, level: int | None
) -> None:
    """Source of each puzzle beside it; the classes were computed, not published: S, L and B are
    levels 1 to 3, X needs more than these and plain fish.
    """
    sweeps = find_sweeps(parse_grid(text))
    assert sweeps.is_solved
    assert sweeps.hardest is not None
    if level is None:
        assert sweeps.hardest.level > 3
        assert not find_sweeps(parse_grid(text), TO_LEVEL_3_AND_FISH).is_solved
    else:
        assert sweeps.hardest.level == level


@pytest.mark.parametrize(("source", "text", "level"), RATED, ids=[each[0] for each in RATED])
def test_every_puzzle_is_explained_to_the_end_and_so_is_the_kept_part(
    source: str, text: str, level: int | None
) -> None:
    path = find_path(parse_grid(text))
    (solution,) = find_solutions(parse_grid(text), 2)
    assert path.end == prune_path(path).end == solution


@pytest.mark.parametrize("puzzle", [each for each in SOLVED if each.level], ids=str)
def test_givens_are_counted_and_spare_ones_noticed(puzzle: Published) -> None:
    rating = rate(parse_grid(puzzle.text))
    assert rating.givens == puzzle.givens
    if puzzle.is_minimal is not None:
        assert rating.minimal is puzzle.is_minimal


@pytest.mark.parametrize("puzzle", [each for each in SOLVED if each.level], ids=str)
def test_the_path_and_its_kept_part_end_in_the_published_solution(puzzle: Published) -> None:
    path = find_path(parse_grid(puzzle.text))
    assert format_grid(path.end) == puzzle.solution
    assert format_grid(prune_path(path).end) == puzzle.solution


def test_inkala_2012_has_no_basic_step_at_all() -> None:
    """Source: facts computed on Inkala 2012, used in Ercsey-Ravasz & Toroczkai 2012."""
    inkala = next(each for each in SOLVED if each.source.startswith("Inkala 2012"))
    assert find_all_steps(parse_grid(inkala.text), TO_LEVEL_3) == ()


def test_the_two_solutions_of_herzberg_and_murty_differ_by_an_exchange_of_4_and_9() -> None:
    """Source: Herzberg & Murty, Notices AMS 54(6), 2007 (from memory, count computed)."""
    grid = parse_grid(TWO_SOLUTIONS)
    first, second = find_solutions(grid, 3)
    layout = grid.layout
    differing = [
        cell for cell in range(layout.cell_count) if first.digit_at(cell) != second.digit_at(cell)
    ]
    assert [layout.format_cell(cell) for cell in differing] == ["r6c5", "r6c6", "r7c5", "r7c6"]
    for cell in differing:
        assert {first.digit_at(cell), second.digit_at(cell)} == {4, 9}


def test_a_puzzle_with_three_solutions_has_exactly_three() -> None:
    """Source: python-constraint 1.4, example (BSD)."""
    grid = parse_grid(THREE_SOLUTIONS)
    assert count_solutions(grid, 10) == 3
    assert len(set(map(format_grid, find_solutions(grid, 10)))) == 3
    assert count_solutions(grid, 2) == 2


def test_a_wrong_digit_is_named_and_leaves_no_solution() -> None:
    """Source: kanren, test (BSD): r2c7 set to 9, which stands in r2c5 already."""
    layout = parse_grid(NO_SOLUTION).layout
    cell = layout.parse_cell("r2c7")
    before, after = NO_SOLUTION[:cell], NO_SOLUTION[cell + 1 :]
    with pytest.raises(RepeatedDigitError) as caught:
        parse_grid(f"{before}9{after}")
    assert (caught.value.digit, caught.value.house) == (9, "row 2")
    assert caught.value.cells == ("r2c5", "r2c7")
    wrong = parse_grid(f"{before}.{after}").place(cell, 9)
    assert solve(wrong) is None
    assert count_solutions(wrong) == 0


@pytest.mark.parametrize(("text", "number"), [(TWO_SOLUTIONS, 2), (THREE_SOLUTIONS, 2)])
def test_more_than_one_solution_is_told_and_nothing_else(text: str, number: int) -> None:
    rating = rate(parse_grid(text))
    assert rating.solutions == number
    assert (rating.solution, rating.minimal, rating.level, rating.effort) == (None,) * 4
    assert (rating.needs, rating.turning_points) == ((), ())


def test_the_encyclopaedia_example_starts_with_its_computed_candidates_and_naked_singles() -> None:
    """Source: the encyclopaedia example; computed start state of facts.md."""
    grid = parse_grid(ENCYCLOPAEDIA.text)
    assert grid.candidates.bit_count() == 153
    singles = {
        (grid.layout.format_cell(cell), digit)
        for step in technique_with("naked-single").find(grid)
        for cell, digit in step.places
    }
    assert singles == {("r5c5", 5), ("r7c6", 7), ("r7c9", 4), ("r8c8", 3)}


def test_the_first_hint_of_the_encyclopaedia_example_is_a_single_of_its_solution() -> None:
    hint = find_hint(parse_grid(ENCYCLOPAEDIA.text))
    assert hint is not None
    assert hint.level == 1
    assert all(ENCYCLOPAEDIA.solution[cell] == str(digit) for cell, digit in hint.places)


def test_the_example_of_messages_readme_and_docstrings_is_our_own_and_nobodys_puzzle() -> None:
    root = Path(__file__).resolve().parents[2]
    files = [root / "README.md", *(root / "bot").rglob("*.py"), *(root / "engine").rglob("*.py")]
    texts = {file: file.read_text(encoding="utf-8") for file in files}
    form = canonical_form(EXAMPLE_GRID, EXAMPLE_SOLUTION)
    for each in SOLVED:
        # Two rows are enough to know it by.
        shown = [file.name for file, text in texts.items() if each.text[:18] in text]
        assert shown == [], each
        assert canonical_form(each.text, each.solution) != form
    assert any(EXAMPLE_GRID in text for file, text in texts.items() if file.name == "README.md")
    solved = solve(parse_grid(EXAMPLE_GRID))
    assert solved is not None
    assert format_grid(solved) == EXAMPLE_SOLUTION


EXAMPLE_SOLUTION = (
    "236971845784356921591428673962714358817593462345682197428165739659837214173249586"
)
