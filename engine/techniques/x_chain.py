"""X-chain: three conjugate pairs of a digit or more, each linked to the next by cells that see each
other, so that one of the chain's two ends holds the digit. It goes where both ends are seen.

Strong and weak links take turns, a strong one at either end, and no cell comes twice. For each
candidate only its shortest chains count: what strikes only what single pairs, two-link patterns or
shorter chains do is no X-chain, and one that strikes more strikes all that its two ends see. Of the
chains of one length there is one for each set of eliminations that lies in no other such set. Where
the ends see each other it is a loop, which can be begun at any weak link: all that two neighbours
on it both see goes in one step.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import lru_cache

from engine.board.layout import Layout, iterate_bits
from engine.board.step import LOOP, LinkKind
from engine.inference.candidate_index import PLANES_KEPT
from engine.inference.one_digit import (
    Pair,
    Sight,
    conjugate_pairs,
    finder,
    partners_by_cell,
    shared_houses,
    sighting_houses,
    told_in_turn,
    without_spares,
)

LEVEL = 5
FEWEST_PAIRS = 3

Ends = tuple[int, int]


@dataclass(slots=True)
class _Web:
    """The links of a plane: `partners` are strong, `near` those that the weak links lead to.

    `distances[cell][end]` is the least number of pairs by which `end` turns true if `cell` is
    false, cells coming twice or not.
    """

    layout: Layout
    plane: int
    pairs: tuple[Pair, ...]
    partners: dict[int, int] = field(init=False)
    near: dict[int, int] = field(init=False)
    distances: dict[int, dict[int, int]] = field(init=False)

    def __post_init__(self) -> None:
        self.partners = partners_by_cell(self.pairs)
        linked = sum(1 << cell for cell in self.partners)
        self.near = {cell: self.layout.peers[cell] & linked for cell in self.partners}
        onward = {}
        for cell, near in self.near.items():
            reached = 0
            for other in iterate_bits(near):
                reached |= self.partners[other]
            onward[cell] = reached
        self.distances = {cell: self._distances_from(cell, onward) for cell in self.partners}

    def _distances_from(self, start: int, onward: dict[int, int]) -> dict[int, int]:
        found: dict[int, int] = {}
        reached, fresh, count = 1 << start, self.partners[start], 0
        while fresh:
            count += 1
            reached |= fresh
            further = 0
            while fresh:
                cell = fresh.bit_length() - 1
                fresh ^= 1 << cell
                found[cell] = count
                further |= onward[cell]
            fresh = further & ~reached
        return found

    def find_chain(self, start: int, end: int, count: int) -> tuple[int, ...] | None:
        """Return the cells of a chain of `count` pairs between two ends, none twice, or None."""
        waiting: list[tuple[int, ...]] = [(start,)]
        while waiting:
            cells = waiting.pop()
            left = count - len(cells) // 2 - 1
            partners = self.partners[cells[-1]]
            for cell in iterate_bits(partners):
                if cell in cells or (cell == end) != (left == 0):
                    continue
                if left == 0:
                    return (*cells, cell)
                for other in iterate_bits(self.near[cell]):
                    if other not in cells and self.distances[other].get(end, count) <= left:
                        waiting.append((*cells, cell, other))
        return None


@lru_cache(maxsize=PLANES_KEPT)
def _find_sights(layout: Layout, plane: int) -> tuple[Sight, ...]:
    pairs = conjugate_pairs(layout, plane)
    if len(pairs) < FEWEST_PAIRS:
        return ()
    web = _Web(layout, plane, pairs)
    return tuple(_sight(web, cells, victims) for cells, victims in _find_chains(web))


find_x_chains = finder("x-chain", LEVEL, _find_sights)


def _find_chains(web: _Web) -> Iterator[tuple[tuple[int, ...], int]]:
    """Yield (cells of the chain, its victims), shortest first, then those that strike most; loops,
    which come back to their first cell, after the others."""
    ends_by_count = _ends_by_count(web)
    struck, count = 0, 1
    waiting: list[tuple[Ends, int]] = []
    while waiting or any(other >= count for other in ends_by_count):
        fresh: dict[int, list[Ends]] = {}
        for ends, seen in waiting + ends_by_count.get(count, []):
            if seen & ~struck:
                fresh.setdefault(seen, []).append(ends)
        waiting = []
        loops = _find_loops(web, fresh, count) if count >= FEWEST_PAIRS else []
        taken = [victims for _, victims in loops]
        for victims in sorted(fresh, key=lambda mask: (-mask.bit_count(), mask)):
            if any(not victims & ~wider for wider in taken):
                continue
            chains = (web.find_chain(*ends, count) for ends in sorted(fresh[victims]))
            cells = next((chain for chain in chains if chain), None)
            if cells is None:
                waiting += [(ends, victims) for ends in fresh[victims]]
                continue
            taken.append(victims)
            if count >= FEWEST_PAIRS:
                yield cells, victims & ~sum(1 << cell for cell in cells)
        yield from loops
        for victims in taken:
            struck |= victims
        count += 1
        if count > len(web.partners) // 2:
            return


def _find_loops(
    web: _Web, fresh: dict[int, list[Ends]], count: int
) -> list[tuple[tuple[int, ...], int]]:
    """Return (cells, all that it strikes) of loops that strike more than one chain of theirs does.

    One that strikes nothing but what those before it do is left out.
    """
    found: list[tuple[tuple[int, ...], int]] = []
    known, peers = 0, web.layout.peers
    for victims in sorted(fresh, key=lambda mask: (-mask.bit_count(), mask)):
        closed = sorted(ends for ends in fresh[victims] if peers[ends[0]] >> ends[1] & 1)
        chains = (web.find_chain(*ends, count) for ends in closed if victims & ~known)
        cells = next((chain for chain in chains if chain), None)
        if cells is None:
            continue
        goes = 0
        for one, other in itertools.pairwise((*cells, cells[0])):
            goes |= web.plane & peers[one] & peers[other]
        goes &= ~sum(1 << cell for cell in cells)
        if goes & ~victims:
            known |= goes
            found.append(((*cells, cells[0]), goes))
    return found


def _ends_by_count(web: _Web) -> dict[int, list[tuple[Ends, int]]]:
    """Return for each number of pairs (the two ends, lower first; what they both see)."""
    peers, plane = web.layout.peers, web.plane
    found: dict[int, list[tuple[Ends, int]]] = {}
    for start, distances in web.distances.items():
        seen = plane & peers[start]
        for end, count in distances.items():
            victims = seen & peers[end]
            if end > start and victims:
                found.setdefault(count, []).append(((start, end), victims))
    return found


def _sight(web: _Web, cells: tuple[int, ...], victims: int) -> Sight:
    layout = web.layout
    houses = {pair.mask: pair.houses[0].index for pair in web.pairs}
    least, most = [], []
    for place, (one, other) in enumerate(itertools.pairwise(cells)):
        mask = 1 << one | 1 << other
        if place % 2 == 0:
            least.append(houses[mask])
        else:
            most.append(shared_houses(layout, mask)[0].index)
    is_loop = cells[0] == cells[-1]
    for ends in itertools.pairwise(cells) if is_loop else [(cells[0], cells[-1])]:
        seen = victims & layout.peers[ends[0]] & layout.peers[ends[1]]
        for end in ends:
            most += sighting_houses(layout, end, seen, most)
    needed = without_spares(layout, web.plane, least, most, victims)
    return Sight(
        tuple(least),
        sum(1 << cell for cell in set(cells)),
        victims,
        *needed,
        chains=(told_in_turn(cells, LinkKind.STRONG),),
        variant=LOOP if is_loop else "",
    )
