"""Other layouts against python-sat, on puzzles drawn here: no published counts exist for these."""

from __future__ import annotations

from collections.abc import Iterator
from random import Random

import pytest

from engine.board.grid import Grid, format_grid, parse_grid
from engine.board.layout import SMALL, Layout
from engine.board.layout_names import layout_named
from engine.making.puzzles import minimal_puzzle
from engine.search.exact import count_solutions, find_solutions
from engine.solving.paths import find_path, prune_path
from tests.independent.counting import SatCounter
from tests.independent.plain import shape_named

NAMES = (
    "4x4",
    "6x6",
    "diagonal:6x6",
    "diagonal",
    "irregular:1122213322133341444455555",
    "irregular:111111222222333444353464355564556666",
    "irregular:1112222111222314333334444443566666756557675557777",
    "irregular:111122333111223333112224433552244666555544666557444668757799868777798888799999988",
    "diagonal:irregular:111222333111222333111222333455667777445666677445666777445888999445888"
    "899555889999",
)
MOST = 12
every_layout = pytest.mark.parametrize("name", NAMES)


def draw_full(sat: SatCounter, layout: Layout, random: Random) -> str:
    """A full grid: what python-sat completes some digits to that were put in wherever they fit."""
    marks = ["."] * layout.cell_count
    for cell in random.sample(range(layout.cell_count), 2 * layout.size):
        digit = str(random.randint(1, layout.size))
        if sat.find("".join([*marks[:cell], digit, *marks[cell + 1 :]]), 1):
            marks[cell] = digit
    (full,) = sat.find("".join(marks), 1)
    return full


def partial_grids(sat: SatCounter, layout: Layout, random: Random, number: int) -> Iterator[str]:
    """Digits of full grids, from few to many, every third time with one more."""
    for index in range(number):
        text = draw_full(sat, layout, random)
        share = random.uniform(0.2, 0.6)
        text = "".join(mark if random.random() < share else "." for mark in text)
        if index % 3 == 0:
            grid = parse_grid(text, layout=layout)
            choices = layout.pairs(grid.candidates)
            if choices:
                text = format_grid(grid.place(*random.choice(choices)))
        yield text


def check_counts(name: str, number: int) -> list[int]:
    layout, sat = layout_named(name), SatCounter(shape_named(name))
    counts = []
    for text in partial_grids(sat, layout, Random(name), number):
        expected = sat.find(text, MOST)
        grid = parse_grid(text, layout=layout)
        found = find_solutions(grid, MOST)
        assert count_solutions(grid, MOST) == len(found) == len(expected), text
        if len(expected) < MOST:
            assert set(map(format_grid, found)) == expected
        counts.append(len(expected))
    return counts


@every_layout
def test_solution_counts_of_partial_grids_agree_with_python_sat(name: str) -> None:
    counts = check_counts(name, 25)
    assert 1 in counts
    assert len(set(counts)) >= 3  # none, one and several, or many: not all of a kind


@pytest.mark.long
@every_layout
def test_solution_counts_of_many_partial_grids_agree_with_python_sat(name: str) -> None:
    counts = check_counts(name, 400)
    assert min(counts.count(0), counts.count(1)) > 10
    assert len(set(counts)) >= 5


def test_a_puzzle_made_from_each_grid_of_4_by_4_is_explained() -> None:
    """Source of their number, 288: OEIS A107739."""
    random, explained = Random(288), 0
    for full in find_solutions(Grid.empty(SMALL), 1000):
        puzzle = made_from(full, random)
        path = find_path(puzzle)
        assert format_grid(path.end) == format_grid(prune_path(path).end) == format_grid(full)
        explained += 1
    assert explained == 288


def made_from(full: Grid, random: Random) -> Grid:
    """A puzzle with this solution from which no given can be taken."""
    left = dict(enumerate(format_grid(full)))
    for cell in random.sample(sorted(left), len(left)):
        fewer = {**left, cell: "."}
        if count_solutions(parse_grid("".join(fewer.values()), layout=full.layout)) == 1:
            left = fewer
    return parse_grid("".join(left.values()), layout=full.layout)


@every_layout
@pytest.mark.parametrize("number", [1, pytest.param(5, marks=pytest.mark.long)])
def test_puzzles_of_the_layout_are_explained_to_the_end(name: str, number: int) -> None:
    layout, random = layout_named(name), Random(name)
    for _ in range(number):
        puzzle = minimal_puzzle(random, layout)
        path = find_path(puzzle)
        (solution,) = SatCounter(shape_named(name)).find(format_grid(puzzle), 2)
        assert format_grid(path.end) == solution
