"""Which cells see one another, and by which houses: what wings, chains and rectangles rest on.

A digit goes from a cell that sees all cells of which one must hold it. Evidence names as few
houses for that as will do. Nothing here knows a technique.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache, lru_cache

from engine.board.grid import Grid
from engine.board.layout import Cell, Layout
from engine.board.step import Constraint, Link, LinkKind, Node
from engine.inference.candidate_index import POSITIONS_KEPT, cells_by_count, digits_by_cell
from engine.inference.evidence import house_has_no_two, houses_in_order

CELL_SETS_KEPT = 1 << 15
"""The same few cells of a house come up at one position after another."""


@cache
def houses_between(layout: Layout) -> tuple[tuple[tuple[int, ...], ...], ...]:
    """Return for each two cells the indices of the houses that hold both, a box before a line."""
    cells = range(layout.cell_count)
    return tuple(
        tuple(
            tuple(
                house.index
                for house in houses_in_order(layout)
                if one != other and house.mask >> one & 1 and house.mask >> other & 1
            )
            for other in cells
        )
        for one in cells
    )


@lru_cache(maxsize=CELL_SETS_KEPT)
def seen_by_all(layout: Layout, cells: int) -> int:
    """Return the cells that see every cell of the mask; none of these themselves."""
    peers, seen = layout.peers, layout.all_cells
    while cells:
        cell = cells.bit_length() - 1
        cells ^= 1 << cell
        seen &= peers[cell]
    return seen


def no_two_between(layout: Layout, one: int, other: int, digit: int) -> Constraint:
    """Return what keeps two cells that see each other from both holding the digit."""
    return house_has_no_two(houses_between(layout)[one][other][0], digit)


def sight_constraints(
    layout: Layout, digit: int, victims: Iterable[int], sources: Iterable[int]
) -> tuple[Constraint, ...]:
    """Return what keeps each victim from holding the digit while one of the sources does.

    Of the houses by which victims see sources, those that cover most come first, and none is left
    in that the others make idle.
    """
    between = houses_between(layout)
    covers: dict[int, int] = {}  # for each house a bit for each victim and source that it joins
    waiting, starts = 0, tuple(sources)
    for victim in victims:
        for source in starts:
            sight = waiting + 1
            for house in between[victim][source]:
                covers[house] = covers.get(house, 0) | sight
                waiting |= sight
    chosen: list[int] = []
    while waiting:
        best = min(covers, key=lambda house: (-(covers[house] & waiting).bit_count(), house))
        chosen.append(best)
        waiting &= ~covers[best]
    for house in tuple(chosen):
        joined = 0
        for other in chosen:
            if other != house:
                joined |= covers[other]
        if not covers[house] & ~joined:
            chosen.remove(house)
    return tuple(house_has_no_two(house, digit) for house in sorted(chosen))


@lru_cache(maxsize=POSITIONS_KEPT)
def cells_by_pair(grid: Grid) -> dict[int, int]:
    """Return for each two digits (a digit mask) the cells that can hold just these.

    The mapping is kept from call to call: nobody may change it.
    """
    held = digits_by_cell(grid)
    found: dict[int, int] = {}
    for cell in grid.layout.cells_in(cells_by_count(grid)[2]):
        found[held[cell]] = found.get(held[cell], 0) | 1 << cell
    return found


@cache
def _node(cell: Cell, digit: int) -> Node:
    return Node((cell,), digit)


def tell_line(ends: tuple[tuple[Cell, int], ...]) -> tuple[Link, ...]:
    """Return the links between single candidates in turn: strong, weak, strong, and so on."""
    nodes = [_node(cell, digit) for cell, digit in ends]
    return tuple(
        Link(nodes[place], nodes[place + 1], LinkKind.WEAK if place % 2 else LinkKind.STRONG)
        for place in range(len(nodes) - 1)
    )
