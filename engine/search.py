"""Exact search: the solutions of a position, whatever its difficulty, without any technique.

All candidates, those of placed digits included, lie in one integer. Every round finds all naked
singles at once by counting (see `engine.counting`), then all hidden ones, and notices at once a
cell or a house that has nothing left. Where no single is left it strikes what boxes and lines
confine (see `engine.confining`), which saves half of the branches; then it branches. It takes the
position as it stands: a candidate that has been struck is not tried.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from itertools import zip_longest

from engine.confining import crossings_of, find_confined
from engine.counting import shape_of
from engine.errors import StoppedError
from engine.grid import Grid
from engine.layout import Layout, iterate_bits

StopAsker = Callable[[], bool]
"""Asked now and then during long work; True ends it early with StoppedError."""

BRANCHES_BETWEEN_ASKING = 64


Pairs = tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True, eq=False)
class _Tables:
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
def _tables_of(layout: Layout) -> _Tables:
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
    return _Tables(
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


def solve(grid: Grid, *, should_stop: StopAsker | None = None) -> Grid | None:
    """Return one solution, or None where there is none."""
    for solution in _find_complete(grid, should_stop):
        return Grid(grid.layout, solution, 0)
    return None


def count_solutions(grid: Grid, limit: int = 2, *, should_stop: StopAsker | None = None) -> int:
    """Return the number of solutions, counting no further than `limit`."""
    count = 0
    if limit > 0:
        for _ in _find_complete(grid, should_stop):
            count += 1
            if count == limit:
                break
    return count


def find_solutions(
    grid: Grid, limit: int = 2, *, should_stop: StopAsker | None = None
) -> tuple[Grid, ...]:
    """Return up to `limit` solutions."""
    found: list[Grid] = []
    if limit > 0:
        for solution in _find_complete(grid, should_stop):
            found.append(Grid(grid.layout, solution, 0))
            if len(found) == limit:
                break
    return tuple(found)


def settle_singles(grid: Grid) -> Grid | None:
    """Return the position after placing singles as long as there are any; None where that comes to
    a contradiction. No digit may stand twice in a house."""
    tables = _tables_of(grid.layout)
    candidates, done = _propagate(tables, grid.candidates | grid.placed, grid.placed)
    return Grid(grid.layout, done, candidates ^ done) if candidates else None


def _start(grid: Grid) -> tuple[int, int]:
    """Return all candidates, placed ones included, and the placed ones; (0, 0) where a digit
    stands twice in a house."""
    tables = _tables_of(grid.layout)
    candidates, rest = grid.candidates | grid.placed, grid.placed
    while rest:
        index = rest.bit_length() - 1
        candidates &= tables.keeps[index]
        rest ^= tables.bits[index]
    return (0, 0) if grid.placed & ~candidates else (candidates, grid.placed)


def _find_complete(grid: Grid, should_stop: StopAsker | None) -> Iterator[int]:
    """Yield the candidate mask of every solution, depth first."""
    tables, crossings = _tables_of(grid.layout), crossings_of(grid.layout)
    candidates, done = _start(grid)
    if not candidates:
        return
    waiting = [(candidates, done)]
    branches = 0
    while waiting:
        candidates, done = _propagate(tables, *waiting.pop())
        while candidates != done and (gone := find_confined(crossings, candidates)):
            candidates, done = _propagate(tables, candidates ^ gone, done)
        if not candidates:
            continue
        if candidates == done:
            yield candidates
            continue
        branches += 1
        if should_stop is not None and branches % BRANCHES_BETWEEN_ASKING == 0 and should_stop():
            raise StoppedError(branches)
        choices = _choices(tables, candidates)
        while choices:
            index = choices.bit_length() - 1
            bit = tables.bits[index]
            choices ^= bit
            waiting.append((candidates & tables.keeps[index], done | bit))


def _propagate(tables: _Tables, candidates: int, done: int) -> tuple[int, int]:
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


def _choices(tables: _Tables, candidates: int) -> int:
    """Return the candidates of the cell to branch on, as a mask.

    A cell with two candidates if there is one, and of those one whose two digits both stand in many
    others of the kind that it sees, since it settles most. Otherwise a cell with the fewest
    candidates.
    """
    all_cells, bits, peers = tables.all_cells, tables.bits, tables.peers
    planes = [candidates >> shift & all_cells for shift in tables.planes]
    ones = twos = threes = 0
    for plane in planes:
        threes |= twos & plane
        twos |= ones & plane
        ones |= plane
    pairs = twos ^ threes
    if not pairs:
        spread = tables.cell_spread
        fewest = min(
            (bits[cell] for cell in iterate_bits(twos)),
            key=lambda bit: (candidates & bit * spread).bit_count(),
        )
        return candidates & fewest * spread
    firsts: dict[int, int] = {}
    most, pick = 0, 0
    for plane in planes:
        rest = plane = plane & pairs
        while rest:
            index = rest.bit_length() - 1
            rest ^= bits[index]
            settled = 1 + (plane & peers[index]).bit_count()
            first = firsts.get(index)
            if first is None:
                firsts[index] = settled
            elif first * settled > most:
                most, pick = first * settled, bits[index]
    return candidates & pick * tables.cell_spread
