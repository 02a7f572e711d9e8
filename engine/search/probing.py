"""Probing: trying every candidate of a position, and striking those that come to a contradiction.

Exact search does it where branching by itself gets nowhere: on a grid with few givens and a slip,
what contradicts itself can lie far from the cells that it branches on, and it would be found anew
under each of a million branches. Probed, such a grid contradicts itself at once; and where it does
not, the cell to branch on is the one whose candidates settle most.
"""

from __future__ import annotations

from engine.board.layout import Layout, iterate_bits
from engine.limits import count_work
from engine.search.propagation import Tables, propagate, settle

WEIGHT_OF_ONE_LEFT = 2.0 ** (1 / 16)
"""A choice that leaves 16 candidates more than another weighs twice as much."""


def probe(tables: Tables, layout: Layout, candidates: int, done: int) -> tuple[int, int, int]:
    """Strike until no candidate comes to a contradiction by singles.

    Takes a state that is settled and returns one, (0, 0) for a contradiction, and the candidates of
    the cell to branch on; none where every cell is settled.
    """
    while True:
        left: dict[int, int] = {}
        before = candidates
        for index in iterate_bits(candidates ^ done):
            bit = tables.bits[index]
            if not bit & candidates & ~done:
                continue  # settled since this round began
            count_work()
            reached, _ = propagate(tables, candidates & tables.keeps[index], done | bit)
            if reached:
                left[index] = reached.bit_count()
                continue
            candidates, done = propagate(tables, candidates ^ bit, done)
            if not candidates:
                return 0, 0, 0
        candidates, done = settle(tables, layout, candidates, done)
        if not candidates or candidates == done:
            return candidates, done, 0
        if candidates == before:
            return candidates, done, _choices(tables, layout, candidates, done, left)


def _choices(
    tables: Tables, layout: Layout, candidates: int, done: int, left: dict[int, int]
) -> int:
    """Return the candidates of the open cell that leave least to do, all of them together."""
    spread, all_bits = tables.cell_spread, len(tables.bits)
    cells = [candidates & spread << cell for cell in range(layout.cell_count)]

    def weight(choices: int) -> float:
        return sum(WEIGHT_OF_ONE_LEFT ** left.get(i, all_bits) for i in iterate_bits(choices))

    return min((each for each in cells if each & ~done), key=weight)
