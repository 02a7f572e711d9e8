"""Forcing chains: whatever a cell holds, or wherever a house has its digit, something goes.

From each of three or more cases a chain of single links leads to the same candidate being false. No
chain is nested in another. For each candidate that can go so, only the fewest links in all count,
and of cells or houses that need as many the one looked at first.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from engine.board.grid import Grid
from engine.board.layout import iterate_bits
from engine.board.step import Constraint, LinkKind, Step
from engine.inference.candidate_index import POSITIONS_KEPT
from engine.inference.evidence import (
    cell_has_one,
    house_has_one,
    houses_by_cell,
    houses_in_order,
)
from engine.inference.links import (
    Links,
    candidates_of,
    links_of,
    strong_constraint,
    tell_chain,
    walk_from_true,
    weak_constraints,
)

LEVEL = 6
CASES = 3
"""With two cases the chains join to a single one."""


@dataclass(frozen=True, slots=True)
class _Source:
    """The cases, of which one is true: candidate bit indices."""

    cases: tuple[int, ...]
    house: int
    constraint: Constraint


def find_cell_forcing_chains(grid: Grid) -> Iterator[Step]:
    """Yield, for each candidate that all digits of some cell make false, the fewest links to it."""
    layout = grid.layout
    sources = []
    for cell in layout.cells_in(grid.open_cells):
        cases = tuple(iterate_bits(grid.candidates & layout.cell_bits[cell]))
        if len(cases) >= CASES:
            house = houses_by_cell(layout)[cell][0].index
            sources.append(_Source(cases, house, cell_has_one(cell)))
    yield from _find_forced(grid, "cell-forcing-chain", sources)


def find_house_forcing_chains(grid: Grid) -> Iterator[Step]:
    """Yield, for each candidate that all places of a digit in some house make false, the fewest
    links to it."""
    layout, sources = grid.layout, []
    for house in houses_in_order(layout):
        for digit in layout.digits:
            places = layout.spread(grid.plane(digit) & house.mask, digit)
            cases = tuple(iterate_bits(places))
            if len(cases) >= CASES:
                sources.append(_Source(cases, house.index, house_has_one(house.index, digit)))
    yield from _find_forced(grid, "house-forcing-chain", sources)


@lru_cache(maxsize=POSITIONS_KEPT)
def _falls_of(grid: Grid) -> dict[int, tuple[int, tuple[int, ...]]]:
    """Return for each candidate what is false if it is true: in all, and by odd numbers of links
    (1, 3, 5…)."""
    links, candidates = links_of(grid), grid.candidates
    falls = {}
    for index in iterate_bits(candidates):
        layers = tuple(
            layer & candidates
            for place, layer in enumerate(walk_from_true(links, index))
            if place % 2 == 0
        )
        union = 0
        for layer in layers:
            union |= layer
        falls[index] = (union, layers)
    return falls


def _find_forced(grid: Grid, technique: str, sources: list[_Source]) -> Iterator[Step]:
    falls = _falls_of(grid)
    best: dict[int, tuple[int, _Source]] = {}
    for source in sources:
        common = grid.candidates
        for case in source.cases:
            common &= falls[case][0] & ~(1 << case)
        for victim in iterate_bits(common):
            length = sum(_links_to(falls[case][1], victim) for case in source.cases)
            if victim not in best or length < best[victim][0]:
                best[victim] = (length, source)
    links = links_of(grid)
    for victim, (_, source) in sorted(best.items(), key=lambda each: (each[1][0], each[0])):
        yield _step(grid, links, technique, source, victim)


def _links_to(layers: tuple[int, ...], victim: int) -> int:
    """Return the number of links to the candidate's being false."""
    return next(2 * place + 1 for place, layer in enumerate(layers) if layer >> victim & 1)


def _step(grid: Grid, links: Links, technique: str, source: _Source, victim: int) -> Step:
    layout = grid.layout
    constraints: list[Constraint] = [source.constraint]
    lines, pattern, cells, digits = [], 0, 0, set()
    for case in source.cases:
        nodes = _shortest_walk(links, case, victim)
        lines.append(tell_chain(links, nodes, first=LinkKind.WEAK))
        for place, (one, other) in enumerate(pairwise(nodes)):
            if place % 2:
                constraints.append(strong_constraint(grid, links, one, other))
            else:
                choice = weak_constraints(links, one, other)
                constraints.append(
                    next((each for each in choice if each in constraints), choice[0])
                )
        for index in nodes[:-1]:
            pattern |= candidates_of(links, index)
            cells |= links.shapes[index][1]
            digits.add(links.shapes[index][0])
    return Step(
        technique,
        LEVEL,
        (source.house,),
        layout.cells_in(cells),
        tuple(sorted(digits)),
        pattern,
        removes=1 << victim,
        constraints=tuple(dict.fromkeys(constraints)),
        chains=tuple(lines),
    )


def _shortest_walk(links: Links, start: int, victim: int) -> list[int]:
    """Return the nodes from the true `start` to the false `victim`, the fewest links."""
    layers = [1 << start]
    for layer in walk_from_true(links, start):
        layers.append(layer)
        if len(layers) % 2 == 0 and layer >> victim & 1:
            break
    nodes = [victim]
    for depth in range(len(layers) - 2, -1, -1):
        towards = links.weak if depth % 2 == 0 else links.strong
        nodes.append(next(iterate_bits(towards[nodes[-1]] & layers[depth])))
    return nodes[::-1]
