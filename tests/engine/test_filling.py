"""Whether a layout can be filled is told with little work: random maps, and hard ones."""

from __future__ import annotations

from random import Random

import pytest

from engine.board.grid import format_grid
from engine.board.layout import CLASSIC, MIDDLE, Layout, diagonal_layout
from engine.board.layout_names import irregular_layout, layout_name
from engine.errors import NoSolutionError
from engine.limits import limited
from engine.making.puzzles import make_puzzle, random_solution
from engine.making.recipes import Recipe, UnmadeError
from engine.search.filling import find_full_grid
from tests.independent.counting import SatCounter
from tests.independent.plain import Shape

FILLED_BY_NONE = "aabbbbcccaaabebbbcaaaeefbccaddeeffccddddeeffcdddeeifffgggggifiighhhiiiiiggghhhhhh"
"""Seconds of plain branching do not tell that nothing fills it."""

MOST_WORK = 40_000
"""The hardest of a few hundred random maps takes less; most take under a hundred."""


def random_map(random: Random, size: int, swaps: int) -> str:
    """Draw boxes at random: two that touch exchange a cell as long as both stay in one piece."""
    box_of = [cell // size for cell in range(size * size)]
    done = 0
    while done < swaps:
        cell = random.randrange(size * size)
        others = [box_of[near] for near in beside(cell, size) if box_of[near] != box_of[cell]]
        if not others:
            continue
        own, other = box_of[cell], random.choice(others)
        back = random.choice([each for each in range(size * size) if box_of[each] == other])
        box_of[cell], box_of[back] = other, own
        if is_whole(box_of, own, size) and is_whole(box_of, other, size):
            done += 1
        else:
            box_of[cell], box_of[back] = own, other
    return "".join("abcdefghi"[box] for box in box_of)


def beside(cell: int, size: int) -> list[int]:
    row, column = divmod(cell, size)
    places = ((row - 1, column), (row + 1, column), (row, column - 1), (row, column + 1))
    return [down * size + along for down, along in places if 0 <= down < size > along >= 0]


def is_whole(box_of: list[int], box: int, size: int) -> bool:
    waiting = [box_of.index(box)]
    seen = set(waiting)
    while waiting:
        for near in beside(waiting.pop(), size):
            if box_of[near] == box and near not in seen:
                seen.add(near)
                waiting.append(near)
    return len(seen) == size


@pytest.mark.parametrize("size", [4, 5, 6, 7, 9])
def test_random_maps_are_filled_where_a_general_solver_fills_them(size: int) -> None:
    fillable = 0
    for seed in range(12):
        box_map = random_map(Random(seed), size, 4 * size)
        find_full_grid.cache_clear()
        with limited(MOST_WORK):
            found = find_full_grid(irregular_layout(box_map))
        sat = SatCounter(Shape(box_map=box_map))
        solutions = sat.find("." * size**2, 1)
        assert (found is None) == (not solutions)
        if found is not None:
            assert sat.find(format_grid(found), 2) == {format_grid(found)}
            fillable += 1
    assert fillable > 0


@pytest.mark.long
def test_that_nothing_fills_a_hard_map_is_told_with_little_work() -> None:
    find_full_grid.cache_clear()
    with limited(MOST_WORK):
        assert find_full_grid(irregular_layout(FILLED_BY_NONE)) is None
    with pytest.raises(NoSolutionError):
        random_solution(Random(1), irregular_layout(FILLED_BY_NONE))


@pytest.mark.parametrize("asked", [1, 3])
def test_making_stops_when_told_while_the_empty_grid_is_searched(asked: int) -> None:
    find_full_grid.cache_clear()
    answers = iter([False] * asked + [True])
    with pytest.raises(UnmadeError) as caught:
        make_puzzle(
            Random(1),
            Recipe(levels=(1,), layout=irregular_layout(FILLED_BY_NONE)),
            should_stop=lambda: next(answers),
        )
    assert caught.value.is_stopped
    assert caught.value.tried.attempts <= 1


@pytest.mark.parametrize("layout", [CLASSIC, MIDDLE, irregular_layout("aabb")], ids=layout_name)
def test_regular_layouts_are_filled(layout: Layout) -> None:
    found = find_full_grid(layout)
    assert found is not None
    assert found.is_complete


def test_a_regular_layout_that_its_diagonals_forbid_ends_too() -> None:
    with pytest.raises(NoSolutionError):
        random_solution(Random(1), diagonal_layout(irregular_layout("aabb")))
