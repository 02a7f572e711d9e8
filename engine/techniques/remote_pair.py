"""Remote pair: a chain of cells with the same two candidates, each of which sees the next.

They take the two digits in turn, so two cells at odd distance differ: what sees both is neither.
Side by side they are a naked pair, so the shortest chain has four cells. A step strikes something
that no shorter chain, nor a naked pair, does, and all else that sees its two ends.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from engine.board.grid import Grid
from engine.board.layout import Cell, Layout, iterate_bits
from engine.board.step import Constraint, Step
from engine.inference.candidate_index import digits_of, digits_spread
from engine.inference.evidence import cell_has_one
from engine.inference.minimal_evidence import spare_constraints
from engine.inference.visibility import (
    cells_by_pair,
    houses_between,
    no_two_between,
    seen_by_all,
    sight_constraints,
    tell_line,
)

FEWEST_CELLS = 4


def find_remote_pairs(grid: Grid) -> Iterator[Step]:
    """Yield the shortest chain for each set of candidates that can go, by length, then cells."""
    layout, pairs = grid.layout, cells_by_pair(grid)
    if all(alike.bit_count() < FEWEST_CELLS for alike in pairs.values()):
        return
    paths = [
        (path, pair)
        for pair, alike in pairs.items()
        for start in layout.cells_in(alike)
        for path in _paths_from(layout, start, alike)
        if len(path) % 2 == 0 and path[0] < path[-1]
    ]
    paths.sort(key=lambda each: (len(each[0]), each))
    struck = before = length = 0
    known: set[int] = set()
    for path, pair in paths:
        if len(path) > length:
            before, length = struck, len(path)
        seen = seen_by_all(layout, 1 << path[0] | 1 << path[-1]) & ~pairs[pair]
        victims = grid.candidates & seen * digits_spread(layout, pair)
        struck |= victims
        if victims & ~before and victims not in known and length >= FEWEST_CELLS:
            known.add(victims)
            yield _step(grid, path, digits_of(layout, pair), victims)


def _paths_from(layout: Layout, start: Cell, alike: int) -> list[tuple[Cell, ...]]:
    """Return one shortest path to every cell that can be reached, the lowest cells first."""
    frontier: list[tuple[Cell, ...]] = [(start,)]
    reached, paths = 1 << start, []
    while frontier:
        longer: list[tuple[Cell, ...]] = []
        for path in frontier:
            near = layout.peers[path[-1]] & alike & ~reached
            reached |= near
            longer += [(*path, cell) for cell in layout.cells_in(near)]
        paths += longer
        frontier = longer
    return paths


def _step(grid: Grid, chain: tuple[Cell, ...], digits: tuple[int, ...], removes: int) -> Step:
    layout = grid.layout
    between = houses_between(layout)
    hops = list(pairwise(chain))
    links: list[Constraint] = []
    sights: list[Constraint] = []
    for digit, other in (digits, digits[::-1]):
        victims = layout.plane(removes, digit)
        if not victims:
            continue
        for place, (one, next_one) in enumerate(hops):
            passed = other if place % 2 == 0 else digit
            links.append(no_two_between(layout, one, next_one, passed))
        sights += sight_constraints(layout, digit, iterate_bits(victims), (chain[0], chain[-1]))
    goes = next(digit for digit in digits if layout.plane(removes, digit))
    stays = digits[0] + digits[1] - goes
    line: list[tuple[Cell, int]] = []
    for place, cell in enumerate(chain):
        line += [(cell, goes), (cell, stays)] if place % 2 == 0 else [(cell, stays), (cell, goes)]
    members = layout.mask_of(chain)
    cells = tuple(map(cell_has_one, layout.cells_in(members)))
    # A house by which two of the cells see each other can be one by which they see a victim.
    constraints = spare_constraints(grid, (*cells, *dict.fromkeys((*links, *sights))), removes)
    return Step(
        "remote-pair",
        5,
        tuple(dict.fromkeys(between[one][other][0] for one, other in hops)),
        layout.cells_in(members),
        digits,
        grid.candidates & members * digits_spread(layout, mask_of_digits(digits)),
        removes=removes,
        constraints=constraints,
        chains=(tell_line(tuple(line)),),
    )


def mask_of_digits(digits: tuple[int, ...]) -> int:
    """Return the mask of digits, bit 0 for the digit 1."""
    return sum(1 << digit - 1 for digit in digits)
