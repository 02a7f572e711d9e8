"""Diagonal grids and irregular boxes: houses as data, and all that is computed from them."""

from __future__ import annotations

import copy
import pickle
from collections.abc import Iterator
from itertools import combinations
from random import Random

import pytest
from pysat.solvers import Solver

from engine.board.grid import Grid, draw_grid, format_grid, grid_with, parse_grid
from engine.board.layout import CLASSIC, DIAGONAL, MIDDLE, SMALL, HouseKind, Layout, diagonal_layout
from engine.board.layout_names import irregular_layout, layout_name, layout_named
from engine.board.pasting import read_pasted
from engine.board.symmetry import random_symmetry
from engine.errors import LayoutError, NoSolutionError
from engine.making.puzzles import make_puzzle, minimal_puzzle, random_solution, shuffle_puzzle
from engine.making.recipes import Recipe
from engine.search.exact import count_solutions, find_solutions, solve
from engine.solving.paths import find_path
from engine.techniques import LADDER, technique_with
from engine.techniques.singles import hidden_single_masks, naked_single_mask
from tests.corpus.other_layouts import LOOPS, OTHER_LAYOUTS, STEPS

NINE = irregular_layout(LOOPS)
SIX = irregular_layout(STEPS)
LAYOUTS = tuple(OTHER_LAYOUTS.values())


def test_a_diagonal_grid_has_two_more_houses_named_from_the_left() -> None:
    first, second = DIAGONAL.diagonals
    assert (first.name, second.name) == ("diagonal 1", "diagonal 2")
    assert [DIAGONAL.format_cell(cell) for cell in first.cells[:3]] == ["r1c1", "r2c2", "r3c3"]
    assert [DIAGONAL.format_cell(cell) for cell in second.cells[:3]] == ["r1c9", "r2c8", "r3c7"]
    assert DIAGONAL.parse_house("Diagonal 2") is second
    assert first.is_line
    assert first.kind is HouseKind.DIAGONAL
    assert len(DIAGONAL.houses) == len(CLASSIC.houses) + 2
    assert DIAGONAL.houses[: len(CLASSIC.houses)] == CLASSIC.houses
    middle = DIAGONAL.parse_cell("r5c5")
    assert [house.name for house in DIAGONAL.houses_of[middle]][3:] == ["diagonal 1", "diagonal 2"]


def test_irregular_boxes_are_numbered_by_their_first_cells_whatever_the_marks() -> None:
    renamed = irregular_layout(STEPS.translate(str.maketrans("123456", "FxAb9z")))
    assert renamed is SIX
    firsts = [box.cells[0] for box in SIX.boxes]
    assert firsts == sorted(firsts)
    assert [box.number for box in SIX.boxes] == list(SIX.digits)
    assert SIX.boxes[3].name == "box 4"
    assert [SIX.format_cell(cell) for cell in SIX.boxes[3].cells] == [
        "r2c1", "r3c1", "r4c1", "r4c2", "r4c3", "r4c4",
    ]  # fmt: skip


def test_a_map_of_regular_boxes_is_the_regular_layout() -> None:
    assert irregular_layout("aabb aabb ccdd ccdd") is SMALL
    assert irregular_layout(CLASSIC.box_map) is CLASSIC


@pytest.mark.parametrize(
    ("box_map", "problem"),
    [
        ("1123", "boxes"),
        ("1122112233443344" * 2, "cells"),
        ("1122112233443334", "box"),
        ("1122112255443344", "boxes"),
        ("1", "cells"),
    ],
)
def test_a_map_that_makes_no_boxes_is_refused(box_map: str, problem: str) -> None:
    with pytest.raises(LayoutError) as refused:
        irregular_layout(box_map)
    assert refused.value.problem == problem


@pytest.mark.parametrize(
    ("name", "problem"),
    [("oblong", "name"), ("irregular:1221 2112 3443 4334", "apart"), ("diagonal:oblong", "name")],
)
def test_a_name_that_is_none_is_refused(name: str, problem: str) -> None:
    with pytest.raises(LayoutError) as refused:
        layout_named(name)
    assert refused.value.problem == problem


@pytest.mark.parametrize("layout", [CLASSIC, SMALL, MIDDLE, *LAYOUTS], ids=repr)
def test_a_name_is_read_back(layout: Layout) -> None:
    assert layout_named(layout_name(layout)) is layout
    assert eval(repr(layout), {**globals(), **_makers()}) is layout
    assert pickle.loads(pickle.dumps(layout)) is layout
    assert copy.deepcopy(layout) is layout


def _makers() -> dict[str, object]:
    from engine.board.layout import regular_layout

    return {"regular_layout": regular_layout}


@pytest.mark.parametrize("layout", LAYOUTS, ids=repr)
def test_singles_are_those_found_house_by_house(layout: Layout) -> None:
    random = Random(11)
    for _ in range(30):
        candidates = layout.all_candidates
        for _ in range(random.choice((1, 2, 3))):
            candidates &= random.getrandbits(layout.cell_count * layout.size)
        alone = sum(
            candidates & bits for bits in layout.cell_bits if (candidates & bits).bit_count() == 1
        )
        assert naked_single_mask(layout, candidates) == alone
        masks = hidden_single_masks(layout, candidates)
        for mask, houses in zip(masks, layout.sorts, strict=True):
            spreads = [
                candidates & layout.spread(house.mask, digit)
                for house in houses
                for digit in layout.digits
            ]
            assert mask == sum(spread for spread in spreads if spread.bit_count() == 1)


def _positions(layout: Layout) -> Iterator[Grid]:
    """Yield positions on the way to random full grids, with some false candidates struck."""
    random = Random(5)
    for _ in range(6):
        solution = random_solution(random, layout)
        cells = random.sample(range(layout.cell_count), layout.cell_count * 2 // 5)
        grid = grid_with(
            ((layout.cells_in(1 << cell)[0], solution.digit_at(cell)) for cell in sorted(cells)),
            layout=layout,
        )
        yield grid
        struck = random.getrandbits(layout.cell_count * layout.size)
        yield grid.eliminate(struck & random.getrandbits(2 * layout.cell_count) & ~solution.placed)


@pytest.mark.parametrize("layout", LAYOUTS, ids=repr)
def test_pointing_and_claiming_are_what_pairs_of_houses_say(layout: Layout) -> None:
    found_any = False
    for grid in _positions(layout):
        expected = {"pointing": set(), "claiming": set()}
        for line in (*layout.rows, *layout.columns, *layout.diagonals):
            for box in layout.boxes:
                for digit in layout.digits:
                    plane = grid.plane(digit)
                    for id, inside, other in (("pointing", box, line), ("claiming", line, box)):
                        cells = plane & inside.mask
                        gone = plane & other.mask & ~cells
                        if cells.bit_count() > 1 and not cells & ~other.mask and gone:
                            expected[id].add((cells, digit, inside.index, other.index, gone))
        for id, instances in expected.items():
            found = {
                (
                    sum(1 << cell for cell in step.cells),
                    step.digits[0],
                    step.houses[0],
                    step.covers[0],
                    layout.plane(step.removes, step.digits[0]),
                )
                for step in technique_with(id).find(grid)
            }
            assert found == instances
            found_any |= bool(found)
    assert found_any


@pytest.mark.parametrize("layout", LAYOUTS, ids=repr)
def test_no_step_of_any_technique_strikes_a_digit_of_the_solution(layout: Layout) -> None:
    random = Random(8)
    used = set()
    for _ in range(1 if layout.size > MIDDLE.size else 6):
        puzzle = minimal_puzzle(random, layout)
        solution = solve(puzzle)
        assert solution is not None
        path = find_path(puzzle)
        for step in path.steps:
            used.add(step.technique)
            assert not step.removes & solution.placed
            assert all(solution.digit_at(cell) == digit for cell, digit in step.places)
    assert len(used) > 2


def _sat_count(layout: Layout, grid: Grid, limit: int) -> int:
    """Count solutions by python-sat on houses that are spelled out here, not by masks."""
    size = layout.size
    span = range(size)
    lines = [[r * size + c for c in span] for r in span] + [
        [r * size + c for r in span] for c in span
    ]
    boxes: dict[str, list[int]] = {}
    for cell, mark in enumerate(layout.box_map):
        boxes.setdefault(mark, []).append(cell)
    diagonals = [[i * size + i for i in span], [i * size + size - 1 - i for i in span]]
    houses = [*lines, *boxes.values(), *(diagonals if layout.has_diagonals else [])]
    with Solver(name="glucose4") as solver:
        groups = [[cell * size + d + 1 for d in span] for cell in range(size * size)]
        groups += [[cell * size + d + 1 for cell in house] for house in houses for d in span]
        for group in groups:
            solver.add_clause(group)
            for one, other in combinations(group, 2):
                solver.add_clause([-one, -other])
        for cell, mark in enumerate(format_grid(grid)):
            if mark != ".":
                solver.add_clause([cell * size + int(mark)])
        count = 0
        while count < limit and solver.solve():
            count += 1
            solver.add_clause([-literal for literal in solver.get_model() if literal > 0])
        return count


@pytest.mark.parametrize("layout", [SMALL, MIDDLE, *LAYOUTS], ids=repr)
def test_solutions_are_as_many_as_a_sat_solver_counts(layout: Layout) -> None:
    random = Random(21)
    counts = set()
    for share in (0.25, 0.3, 0.35, 0.4):
        solution = random_solution(random, layout)
        cells = [cell for cell in range(layout.cell_count) if random.random() < share]
        grid = grid_with(
            ((layout.cells_in(1 << cell)[0], solution.digit_at(cell)) for cell in cells),
            layout=layout,
        )
        count = count_solutions(grid, 300)
        assert count == _sat_count(layout, grid, 300)
        assert len(set(map(format_grid, find_solutions(grid, 300)))) == count
        counts.add(count)
    assert max(counts) > 1


def test_a_diagonal_grid_can_have_a_solution_fewer_than_the_same_classic_one() -> None:
    # From the lexicographically first grid (OEIS A114288), whose diagonals repeat digits.
    first = "123456789456789123789123456214365897365897214897214365531642978642978531978531642"
    assert count_solutions(parse_grid(first)) == 1
    with pytest.raises(ValueError, match="diagonal"):
        parse_grid(first, layout=DIAGONAL)


@pytest.mark.parametrize("layout", LAYOUTS, ids=repr)
def test_every_symmetry_keeps_houses_houses_and_the_number_of_solutions(layout: Layout) -> None:
    random = Random(3)
    masks = {house.mask for house in layout.houses}
    puzzle = minimal_puzzle(random, layout)
    moved_any = False
    for _ in range(12):
        symmetry = random_symmetry(random, layout)
        for house in layout.houses:
            assert sum(1 << symmetry.cells[cell] for cell in house.cells) in masks
        moved_any |= symmetry.cells != tuple(range(layout.cell_count))
    assert count_solutions(shuffle_puzzle(random, puzzle)) == 1
    assert moved_any or not layout.is_regular


@pytest.mark.parametrize("layout", LAYOUTS, ids=repr)
def test_a_drawn_or_pasted_grid_is_read_back(layout: Layout) -> None:
    puzzle = minimal_puzzle(Random(13), layout)
    assert parse_grid(draw_grid(puzzle), layout=layout) == puzzle
    assert read_pasted(draw_grid(puzzle), layout).text == format_grid(puzzle)
    assert read_pasted(format_grid(puzzle), layout).text == format_grid(puzzle)


def test_irregular_boxes_are_drawn_by_strokes_where_they_meet() -> None:
    assert draw_grid(Grid.empty(irregular_layout("1112 1322 3324 3444"))) == "\n".join(
        [". . .|.", "  - -", ".|.|. .", "-     -", ". .|.|.", "  - -", ".|. . ."]
    )


@pytest.mark.parametrize("layout", LAYOUTS, ids=repr)
def test_a_puzzle_is_made_on_every_layout(layout: Layout) -> None:
    made = make_puzzle(Random(2), Recipe(levels=(1, 2), layout=layout))
    puzzle = parse_grid(made.puzzle, layout=layout)
    assert [format_grid(each) for each in find_solutions(puzzle)] == [made.solution]
    assert made.rating.level in (1, 2)


def test_a_layout_without_any_full_grid_is_told() -> None:
    layout = diagonal_layout(SIX)
    assert _sat_count(layout, Grid.empty(layout), 1) == 0
    with pytest.raises(NoSolutionError):
        make_puzzle(Random(2), Recipe(levels=(1, 2, 3), layout=layout))


def test_the_ladder_finds_nothing_wrong_on_an_empty_grid() -> None:
    for layout in LAYOUTS:
        for technique in LADDER:
            if technique.level <= 3:
                assert list(technique.find(Grid.empty(layout))) == []
