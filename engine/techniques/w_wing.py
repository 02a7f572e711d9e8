"""W-wing: two cells a, b apart, joined by a strong link on a of which each sees one end.

Both cannot be a, since the link's house would then have no place for it; so one of them is b, and
what sees both is not b. A link of which one of the two cells sees both ends in one house is none:
that cell cannot be a.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from engine.board.grid import Grid
from engine.board.layout import Cell, House, Layout, iterate_bits
from engine.board.step import Step
from engine.inference.candidate_index import digits_of
from engine.inference.evidence import cell_has_one, house_has_one, houses_in_order
from engine.inference.visibility import (
    cells_by_pair,
    houses_between,
    no_two_between,
    seen_by_all,
    sight_constraints,
    tell_line,
)

Links = dict[int, list[House]]
"""Of one digit: its two places, and the houses that have no other."""


def find_w_wings(grid: Grid) -> Iterator[Step]:
    """Yield each W-wing with something to strike, by its cells, then by what it strikes.

    A link that lies in a line and a box is one with both houses; two links for the same two cells
    are two instances.
    """
    layout = grid.layout
    links: dict[int, Links] = {}
    steps = []
    for pair, alike in cells_by_pair(grid).items():
        if not alike & alike - 1:
            continue
        for one, other in combinations(layout.cells_in(alike), 2):
            if layout.peers[one] >> other & 1:
                continue
            cells, near, far = 1 << one | 1 << other, layout.peers[one], layout.peers[other]
            seen = seen_by_all(layout, cells)
            for goes in digits_of(layout, pair):
                victims = grid.plane(goes) & seen
                if not victims:
                    continue
                linked = (pair ^ 1 << goes - 1).bit_length()
                if linked not in links:
                    links[linked] = _strong_links(layout, grid.plane(linked))
                for places, houses in links[linked].items():
                    if places & cells or not (near & places and far & places):
                        continue
                    ends = _ends(layout, one, other, places)
                    if ends is not None:
                        chain = (one, *ends, other)
                        steps.append(_step(grid, chain, (linked, goes), houses, victims))
    steps.sort(key=lambda step: (step.cells, step.digits, step.removes))
    yield from steps


def _strong_links(layout: Layout, plane: int) -> Links:
    """Return for every two places of a digit, as a cell mask, the houses that have no other."""
    links: Links = {}
    for house in houses_in_order(layout):
        places = plane & house.mask
        if places.bit_count() == 2:
            links.setdefault(places, []).append(house)
    return links


def _ends(layout: Layout, one: Cell, other: Cell, places: int) -> tuple[Cell, Cell] | None:
    """Return the link's places, the one that `one` sees leading, or None where it does not join.

    Each of the two cells sees some place of the link, and is none itself.
    """
    cells, near, far = 1 << one | 1 << other, layout.peers[one], layout.peers[other]
    low, high = layout.cells_in(places)
    if any(layout.houses[house].mask & cells for house in houses_between(layout)[low][high]):
        return None
    if near >> low & 1 and far >> high & 1:
        return low, high
    if near >> high & 1 and far >> low & 1:
        return high, low
    return None


def _step(
    grid: Grid,
    chain: tuple[Cell, Cell, Cell, Cell],
    digits: tuple[int, int],
    houses: list[House],
    victims: int,
) -> Step:
    """Return the step of cell, link, link, cell for the digits (linked, struck)."""
    layout = grid.layout
    (one, near, far, other), (linked, goes) = chain, digits
    passed = [(cell, linked) for cell in chain]
    line = ((one, goes), *passed, (other, goes))
    pattern = layout.bit(near, linked) | layout.bit(far, linked)
    pattern |= grid.candidates & (layout.cell_bits[one] | layout.cell_bits[other])
    return Step(
        "w-wing",
        4,
        tuple(house.index for house in houses),
        tuple(sorted(chain)),
        tuple(sorted(digits)),
        pattern,
        removes=layout.spread(victims, goes),
        constraints=(
            cell_has_one(min(one, other)),
            cell_has_one(max(one, other)),
            house_has_one(houses[0].index, linked),
            no_two_between(layout, one, near, linked),
            no_two_between(layout, far, other, linked),
            *sight_constraints(layout, goes, iterate_bits(victims), (one, other)),
        ),
        chains=(tell_line(line),),
    )
