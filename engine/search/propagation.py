"""Placing singles until none is left: the hot loop of exact search, and what it looks up.

All candidates, those of placed digits included, lie in one integer. Every round finds all naked
singles at once by counting (see `engine.board.counting`), then all hidden ones, and notices at once
a cell or a house that has nothing left.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from itertools import zip_longest

from engine.board.counting import shape_of
from engine.board.layout import Layout
from engine.search.bulk_locked_candidates import crossings_of, find_confined

Pairs = tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True, eq=False)
class Tables:
    """What the search looks up: each candidate's bit, what placing it keeps, and how to count.

    Shifts come in pairs, so that one turn of a loop does two (three members are the usual case);
    a pair is filled up with a shift that moves everything out.
    """

    cell_spread: int
    near: Pairs
    far: Pairs
    ways: tuple[tuple[Pairs, tuple[tuple[Pairs, int, int], ...]], ...]
    """For counting all houses: (shifts of a segment, each family's shifts, origins and spread).
    Rows and boxes are counted from row segments, columns from column segments; irregular boxes and
    diagonals cell by cell, in segments of one."""
    all_cells: int
    bits: tuple[int, ...]
    keeps: tuple[int, ...]
    planes: tuple[int, ...]
    peers: tuple[int, ...]


@cache
def tables_of(layout: Layout) -> Tables:
    """Return what the hot loop looks up, made once for each layout."""
    bits = tuple(1 << index for index in range(layout.all_candidates.bit_length()))
    keeps = []
    for index, bit in enumerate(bits):
        cell, digit = layout.split(index)
        keeps.append(layout.all_candidates & ~layout.strikes[digit - 1][cell] | bit)
    shape = shape_of(layout)

    def in_pairs(shifts: tuple[int, ...]) -> Pairs:
        return tuple(zip_longest(shifts[::2], shifts[1::2], fillvalue=len(bits)))

    rows = (in_pairs(shape.across_row), shape.row_origins, shape.row_spread)
    boxes = (in_pairs(shape.down_segment), shape.box_origins, shape.box_spread)
    columns = (in_pairs(shape.down_column), shape.column_origins, shape.column_spread)
    others = tuple(
        (in_pairs(group.shifts), group.origins, group.spread)
        for groups in shape.others
        for group in groups
    )
    return Tables(
        cell_spread=shape.cell_spread,
        near=in_pairs(shape.digits_near),
        far=in_pairs(shape.digits_far),
        ways=(
            (in_pairs(shape.across_segment), (rows, boxes) if layout.is_regular else (rows,)),
            (in_pairs(shape.down_segment), (columns,)),
            *(((), others),) * bool(others),
        ),
        all_cells=layout.all_cells,
        bits=bits,
        keeps=tuple(keeps),
        planes=tuple(layout.cell_count * (digit - 1) for digit in layout.digits),
        peers=layout.peers,
    )


def propagate(tables: Tables, candidates: int, done: int) -> tuple[int, int]:
    """Place singles until none is left; return the new state, (0, 0) for a contradiction.

    Placed candidates stay in the mask and count as singles, so the new ones are a plain xor. Two
    singles of one round that contradict each other strike each other, and the next round finds
    their house empty. This is the engine's hottest loop: the counting is `fold` written out, and
    naked singles, the cheapest to find, are placed before the houses are looked at.
    """
    near, far, ways, cell_spread = tables.near, tables.far, tables.ways, tables.cell_spread
    bits, keeps, all_cells = tables.bits, tables.keeps, tables.all_cells
    while True:
        ones, twos = candidates, 0
        for one, other in near:
            moved, after = candidates >> one, candidates >> other
            both = ones | moved
            twos |= ones & moved | both & after
            ones = both | after
        least, more = ones, twos
        for one, other in far:
            moved, after = ones >> one, ones >> other
            both = least | moved
            more |= least & moved | both & after | twos >> one | twos >> other
            least = both | after
        least &= all_cells
        if least != all_cells:
            return 0, 0
        fresh = candidates & (least ^ more & all_cells) * cell_spread ^ done
        if not fresh:
            for segment, houses in ways:
                ones, twos = candidates, 0
                for one, other in segment:
                    moved, after = candidates >> one, candidates >> other
                    both = ones | moved
                    twos |= ones & moved | both & after
                    ones = both | after
                for shifts, origins, spread in houses:
                    least, more = ones, twos
                    for one, other in shifts:
                        moved, after = ones >> one, ones >> other
                        both = least | moved
                        more |= least & moved | both & after | twos >> one | twos >> other
                        least = both | after
                    least &= origins
                    if least != origins:
                        return 0, 0
                    fresh |= candidates & (least ^ more & origins) * spread
            fresh ^= done
            if not fresh:
                return candidates, done
        done |= fresh
        while fresh:
            index = fresh.bit_length() - 1
            candidates &= keeps[index]
            fresh ^= bits[index]


def settle(tables: Tables, layout: Layout, candidates: int, done: int) -> tuple[int, int]:
    """Place singles, strike what boxes and lines confine, and so on until neither does anything.

    Returns the new state, (0, 0) for a contradiction.
    """
    crossings = crossings_of(layout)
    candidates, done = propagate(tables, candidates, done)
    while candidates != done and (gone := find_confined(crossings, candidates)):
        candidates, done = propagate(tables, candidates ^ gone, done)
    return candidates, done
