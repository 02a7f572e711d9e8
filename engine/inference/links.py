"""The links of a position, and walks along them: what all chains of level 6 are made of.

A node is a candidate, or a group: one digit in several cells that a line and a box have in common.
A strong link says that one of two nodes is true, a weak link that not both are. Nodes are numbers:
a candidate has its bit index, groups come after all candidates. Nothing here knows a technique.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import pairwise

from engine.board.grid import Grid
from engine.board.layout import House, Layout
from engine.board.step import Constraint, Link, LinkKind, Node
from engine.inference.candidate_index import POSITIONS_KEPT
from engine.inference.evidence import (
    cell_has_no_two,
    cell_has_one,
    house_has_no_two,
    house_has_one,
)

PLANES_KEPT = 256
"""From one position to the next most digits keep their places."""
UNIONS_KEPT = 4096


@dataclass(frozen=True, slots=True, eq=False)
class Links:
    """The graph. `strong` and `weak` give for each node the mask of the nodes that it is linked to.

    `weak` holds every node that has links at all; `sees` the candidates alone among the weakly
    linked. `linked` is the mask of nodes with a strong link: only these can stand inside a chain.
    `shapes` gives for each node (digit, cell mask).
    """

    layout: Layout
    linked: int
    strong: dict[int, int]
    weak: dict[int, int]
    sees: dict[int, int]
    shapes: dict[int, tuple[int, int]]


@cache
def _crossings(layout: Layout) -> tuple[tuple[int, ...], ...]:
    """Return for each house the cell masks, of two cells or more, that it shares with another."""
    return tuple(
        tuple(
            shared
            for other in layout.houses
            if other is not house and (shared := house.mask & other.mask).bit_count() > 1
        )
        for house in layout.houses
    )


@lru_cache(maxsize=PLANES_KEPT)
def _halves(layout: Layout, plane: int) -> tuple[tuple[int, int], ...]:
    """Return the pairs of nodes (cell masks) that between them hold one digit of some house."""
    found = set()
    crossings = _crossings(layout)
    for house in layout.houses:
        places = plane & house.mask
        count = places.bit_count()
        if count < 2:
            continue
        if count == 2:
            low = places & -places
            found.add((low, places ^ low))
            continue
        for shared in crossings[house.index]:
            one = places & shared
            other = places ^ one
            if not one or not other:
                continue
            if other.bit_count() == 1 or any(not other & ~each for each in crossings[house.index]):
                found.add((min(one, other), max(one, other)))
    return tuple(sorted(found))


@cache
def _seen_from(layout: Layout, group: int) -> int:
    """Return the cells outside the group in the houses that hold all of it."""
    seen = 0
    for house in layout.houses:
        if not group & ~house.mask:
            seen |= house.mask
    return seen & ~group


@lru_cache(maxsize=POSITIONS_KEPT)
def links_of(grid: Grid) -> Links:
    """Return the links of a position."""
    layout, candidates = grid.layout, grid.candidates
    strong: dict[int, int] = {}
    groups: dict[tuple[int, int], int] = {}
    first_group = layout.all_candidates.bit_length()
    spaces = [layout.cell_count * (digit - 1) for digit in layout.digits]

    def number(digit: int, cells: int) -> int:
        if cells & cells - 1:
            return groups.setdefault((digit, cells), first_group + len(groups))
        return cells.bit_length() - 1 + spaces[digit - 1]

    for digit in layout.digits:
        for halves in _halves(layout, layout.plane(candidates, digit)):
            one, other = number(digit, halves[0]), number(digit, halves[1])
            strong[one] = strong.get(one, 0) | 1 << other
            strong[other] = strong.get(other, 0) | 1 << one
    for cell in layout.cells_in(grid.open_cells):
        held = candidates & layout.cell_bits[cell]
        if held.bit_count() == 2:
            low = (held & -held).bit_length() - 1
            high = held.bit_length() - 1
            strong[low] = strong.get(low, 0) | 1 << high
            strong[high] = strong.get(high, 0) | 1 << low
    return _with_weak_links(grid, strong, groups)


def _with_weak_links(
    grid: Grid, strong: dict[int, int], groups: dict[tuple[int, int], int]
) -> Links:
    layout, candidates = grid.layout, grid.candidates
    sees: dict[int, int] = {}
    shapes: dict[int, tuple[int, int]] = {}
    for cell, digit in layout.pairs(candidates):
        index = cell + layout.cell_count * (digit - 1)
        sees[index] = candidates & layout.strikes[digit - 1][cell] & ~(1 << index)
        shapes[index] = (digit, 1 << cell)
    weak = dict(sees)
    groups_of: dict[int, list[tuple[int, int]]] = {digit: [] for digit in layout.digits}
    for (digit, cells), index in groups.items():
        groups_of[digit].append((cells, index))
        shapes[index] = (digit, cells)
        sees[index] = candidates & layout.spread(_seen_from(layout, cells), digit)
        weak[index] = sees[index]
    for (digit, cells), index in groups.items():
        seen, rest = _seen_from(layout, cells), sees[index]
        while rest:
            single = rest.bit_length() - 1
            rest ^= 1 << single
            weak[single] |= 1 << index
        for other_cells, other in groups_of[digit]:
            if other_cells & ~seen or other <= index:
                continue
            if _share_house(layout, cells | other_cells):
                weak[index] |= 1 << other
                weak[other] |= 1 << index
    linked = 0
    for index in strong:
        linked |= 1 << index
    return Links(layout, linked, strong, weak, sees, shapes)


def _share_house(layout: Layout, cells: int) -> bool:
    return bool(_houses_around(layout, cells))


def walk_from_false(links: Links, start: int) -> Iterator[int]:
    """Yield the fresh nodes that turn true, then those that turn false, in turns, if `start` is
    false. Every node comes at its least number of links."""
    strong, weak, linked = links.strong, links.weak, links.linked
    true_seen = false_seen = 0
    frontier = 1 << start
    false_seen = frontier
    while True:
        fresh = 0
        while frontier:
            index = frontier.bit_length() - 1
            frontier ^= 1 << index
            fresh |= strong[index]
        fresh &= ~true_seen
        if not fresh:
            return
        true_seen |= fresh
        yield fresh
        frontier = fresh
        fresh = 0
        while frontier:
            index = frontier.bit_length() - 1
            frontier ^= 1 << index
            fresh |= weak[index]
        frontier = fresh & linked & ~false_seen
        if not frontier:
            return
        false_seen |= frontier
        yield frontier


def walk_from_true(links: Links, start: int) -> Iterator[int]:
    """Yield the fresh nodes that turn false, then those that turn true, in turns, if `start` is
    true. All candidates and groups come, those without a strong link too."""
    strong, weak, linked = links.strong, links.weak, links.linked
    false_seen, true_seen = 0, 1 << start
    frontier = true_seen
    while True:
        fresh = 0
        while frontier:
            index = frontier.bit_length() - 1
            frontier ^= 1 << index
            fresh |= weak[index]
        fresh &= ~false_seen
        if not fresh:
            return
        false_seen |= fresh
        yield fresh
        frontier = fresh & linked
        fresh = 0
        while frontier:
            index = frontier.bit_length() - 1
            frontier ^= 1 << index
            fresh |= strong[index]
        frontier = fresh & ~true_seen
        if not frontier:
            return
        true_seen |= frontier
        yield frontier


def node_of(links: Links, index: int) -> Node:
    """Return a node by its number in `links`: the digit, and the cells that it is in."""
    return _node(links.layout, *links.shapes[index])


@lru_cache(maxsize=UNIONS_KEPT)
def _node(layout: Layout, digit: int, cells: int) -> Node:
    return Node(layout.cells_in(cells), digit)


def candidates_of(links: Links, index: int) -> int:
    """Return the candidate mask of a node."""
    digit, cells = links.shapes[index]
    return links.layout.spread(cells, digit)


def tell_chain(links: Links, nodes: list[int], *, first: LinkKind) -> tuple[Link, ...]:
    """Return the links between the nodes in turn, strong and weak alternating."""
    kinds = (first, LinkKind.WEAK if first is LinkKind.STRONG else LinkKind.STRONG)
    return tuple(
        Link(node_of(links, one), node_of(links, other), kinds[place % 2])
        for place, (one, other) in enumerate(pairwise(nodes))
    )


def strong_constraint(grid: Grid, links: Links, one: int, other: int) -> Constraint:
    """Return what makes one of the two nodes true."""
    (digit, cells), (other_digit, other_cells) = links.shapes[one], links.shapes[other]
    if digit != other_digit:
        return cell_has_one(links.layout.cells_in(cells)[0])
    both, plane = cells | other_cells, grid.plane(digit)
    house = next(
        house for house in _houses_around(links.layout, both) if plane & house.mask == both
    )
    return house_has_one(house.index, digit)


def weak_constraints(links: Links, one: int, other: int) -> list[Constraint]:
    """Return each of the constraints that forbids both nodes, any of which will do."""
    (digit, cells), (other_digit, other_cells) = links.shapes[one], links.shapes[other]
    if digit != other_digit:
        return [cell_has_no_two(links.layout.cells_in(cells)[0])]
    return [
        house_has_no_two(house.index, digit)
        for house in _houses_around(links.layout, cells | other_cells)
    ]


@lru_cache(maxsize=UNIONS_KEPT)
def _houses_around(layout: Layout, cells: int) -> tuple[House, ...]:
    """Return the houses that hold all the cells, boxes before lines."""
    return tuple(house for house in reversed(layout.houses) if not cells & ~house.mask)
