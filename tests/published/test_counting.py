"""Counts that mathematicians published, and solution counts against two general solvers."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import permutations, product
from random import Random

import networkx
import pytest

from engine.board.grid import Grid, format_grid, parse_grid
from engine.board.layout import CLASSIC, MIDDLE, SMALL, Layout
from engine.search.exact import count_solutions, find_solutions
from tests.independent.counting import (
    SatCounter,
    extended_clauses,
    find_exact_covers,
    minimal_clauses,
)
from tests.independent.plain import SHAPES
from tests.independent.symmetry import Symmetry, line_orders
from tests.published.puzzles import FIRST_GRID, SOLVED


@pytest.mark.parametrize(
    ("layout", "order", "edges", "degree"), [(CLASSIC, 3, 810, 20), (SMALL, 2, 56, 7)]
)
def test_peers_are_the_edges_of_the_sudoku_graph(
    layout: Layout, order: int, edges: int, degree: int
) -> None:
    """Source: networkx sudoku_graph, citing Herzberg & Murty 2007 (81, 810, 20; 16, 56, 7)."""
    graph = networkx.sudoku_graph(order)
    assert graph.number_of_nodes() == layout.cell_count
    for cell in range(layout.cell_count):
        peers = set(layout.cells_in(layout.peers[cell]))
        assert peers == set(graph.neighbors(cell))
        assert len(peers) == degree
    assert graph.number_of_edges() == edges


def test_the_clauses_of_the_reference_are_as_many_as_published() -> None:
    """Source: Lynce & Ouaknine, Sudoku as a SAT Problem, 2006. Guards the peer, not the engine."""
    assert sum(1 for _ in minimal_clauses()) == 8829
    assert sum(1 for _ in extended_clauses()) == 11988


def symmetries_of_small_grids() -> Iterator[Symmetry]:
    """All but relabelling, which the caller undoes by the first row."""
    same = (1, 2, 3, 4)
    orders = tuple(line_orders(2, 2))
    for rows, columns, is_transposed in product(orders, orders, (False, True)):
        yield Symmetry(SHAPES[16], rows, columns, same, is_transposed)


def relabelled(text: str) -> str:
    """The grid with its first row as 1 2 3 4."""
    return text.translate(str.maketrans(text[:4], "1234"))


def test_there_are_288_grids_of_4_by_4_in_2_classes_of_96_and_192() -> None:
    """Source: OEIS A107739 and A109741."""
    found = set(map(format_grid, find_solutions(Grid.empty(SMALL), 1000)))
    assert len(found) == count_solutions(Grid.empty(SMALL), 1000) == 288
    first_rows = {text for text in found if text.startswith("1234")}
    classes: list[set[str]] = []
    while first_rows:
        start = first_rows.pop()
        orbit = {relabelled(symmetry.text(start)) for symmetry in symmetries_of_small_grids()}
        first_rows -= orbit
        classes.append(orbit)
    assert sorted(len(orbit) * 24 for orbit in classes) == [96, 192]


def test_there_are_28_200_960_grids_of_6_by_6() -> None:
    """Source: computed with an independent solver. The first row can be relabelled in 6! ways; then
    relabelling 4, 5, 6 and exchanging the columns of box 2 gives every second row that starts with
    these three in another order from one that starts with 456.
    """
    number = 0
    for rest in permutations("123"):
        grid = parse_grid("123456" + "456" + "".join(rest) + "." * 24, layout=MIDDLE)
        number += count_solutions(grid, 10_000)
    assert number * 6 * 720 == 28_200_960


def test_choosing_the_lowest_digit_that_can_still_be_completed_gives_the_first_grid() -> None:
    """Source: OEIS A114288."""
    grid = Grid.empty()
    for cell in range(CLASSIC.cell_count):
        choices = (grid.place(cell, digit) for digit in grid.candidates_at(cell))
        grid = next(choice for choice in choices if count_solutions(choice, 1))
    assert format_grid(grid) == FIRST_GRID


def thinned_puzzles(seed: int, number: int) -> Iterator[str]:
    """Published solutions, moved about, with some digits left: often there are many solutions."""
    random = Random(seed)
    orders = tuple(line_orders(3, 3))
    for _ in range(number):
        symmetry = Symmetry(
            SHAPES[81],
            random.choice(orders),
            random.choice(orders),
            tuple(random.sample(range(1, 10), 9)),
            random.random() < 0.5,
        )
        full = symmetry.text(random.choice(SOLVED).solution)
        kept = set(random.sample(range(81), random.randint(25, 48)))
        yield "".join(mark if cell in kept else "." for cell, mark in enumerate(full))


def spoilt_puzzles(seed: int, number: int) -> Iterator[str]:
    """Thinned puzzles with one digit more that its peers allow: often no solution."""
    random = Random(seed)
    for text in thinned_puzzles(seed, number):
        grid = parse_grid(text)
        cell, digit = random.choice(CLASSIC.pairs(grid.candidates))
        yield format_grid(grid.place(cell, digit))


def check_against_both(texts: Iterator[str], limit: int) -> list[int]:
    """Compare counts, and where all solutions are found the solutions; return the counts."""
    sat, counts = SatCounter(), []
    for text in texts:
        expected = sat.find(text, limit)
        assert len(find_exact_covers(text, limit)) == len(expected)
        found = find_solutions(parse_grid(text), limit)
        assert len(set(map(format_grid, found))) == len(found) == len(expected)
        assert count_solutions(parse_grid(text), limit) == len(expected)
        if len(expected) < limit:
            assert set(map(format_grid, found)) == expected == find_exact_covers(text, limit)
        counts.append(len(expected))
    return counts


def test_solution_counts_agree_with_python_sat_and_exact_cover_on_random_puzzles() -> None:
    limit = 12
    counts = check_against_both(thinned_puzzles(seed=1, number=200), limit)
    counts += check_against_both(spoilt_puzzles(seed=2, number=100), limit)
    several = [count for count in counts if 1 < count < limit]
    assert min(counts.count(0), counts.count(1), len(several), counts.count(limit)) >= 20


@pytest.mark.long
def test_solution_counts_agree_on_many_more_random_puzzles() -> None:
    counts = check_against_both(thinned_puzzles(seed=3, number=5000), 100)
    counts += check_against_both(spoilt_puzzles(seed=4, number=2000), 100)
    assert min(counts.count(0), counts.count(1)) >= 500
