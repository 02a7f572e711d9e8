"""Exact search: the solutions of a position, whatever its difficulty, without any technique.

All candidates, those of placed digits included, lie in one integer. Every round finds all naked
singles at once by counting (see `engine.counting`), then all hidden ones, and notices at once a
cell or a house that has nothing left. Where no single is left it branches. It takes the position
as it stands: a candidate that has been struck is not tried.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache

from engine.counting import Shape, shape_of
from engine.errors import StoppedError
from engine.grid import Grid
from engine.layout import Layout, iterate_bits

StopAsker = Callable[[], bool]
"""Asked now and then during long work; True ends it early with StoppedError."""

BRANCHES_BETWEEN_ASKING = 64


@dataclass(frozen=True, slots=True, eq=False)
class _Tables:
    """What the search looks up: the shape, each candidate's bit, and what placing it keeps."""

    shape: Shape
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
    planes = tuple(layout.cell_count * (digit - 1) for digit in layout.digits)
    return _Tables(shape_of(layout), layout.all_cells, bits, tuple(keeps), planes, layout.peers)


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


def _find_complete(grid: Grid, should_stop: StopAsker | None) -> Iterator[int]:
    """Yield the candidate mask of every solution, depth first."""
    tables = _tables_of(grid.layout)
    candidates, rest = grid.candidates | grid.placed, grid.placed
    while rest:
        index = rest.bit_length() - 1
        candidates &= tables.keeps[index]
        rest ^= tables.bits[index]
    if grid.placed & ~candidates:
        return  # a digit stands twice in a house
    waiting = [(candidates, grid.placed)]
    branches = 0
    while waiting:
        candidates, done = _propagate(tables, *waiting.pop())
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
    shape, bits, keeps, all_cells = tables.shape, tables.bits, tables.keeps, tables.all_cells
    near, far, ways, cell_spread = (
        shape.digits_near,
        shape.digits_far,
        shape.ways,
        shape.cell_spread,
    )
    while True:
        ones, twos = candidates, 0
        for shift in near:
            moved = candidates >> shift
            twos |= ones & moved
            ones |= moved
        least, more = ones, twos
        for shift in far:
            moved = ones >> shift
            more |= least & moved | twos >> shift
            least |= moved
        least &= all_cells
        if least != all_cells:
            return 0, 0
        fresh = (candidates & (least ^ more & all_cells) * cell_spread | done) ^ done
        if not fresh:
            for segment, houses in ways:
                ones, twos = candidates, 0
                for shift in segment:
                    moved = candidates >> shift
                    twos |= ones & moved
                    ones |= moved
                for shifts, origins, spread in houses:
                    least, more = ones, twos
                    for shift in shifts:
                        moved = ones >> shift
                        more |= least & moved | twos >> shift
                        least |= moved
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

    A cell with two candidates if there is one, and of those the one that sees most others of the
    kind, since it settles most. Otherwise a cell with the fewest candidates.
    """
    all_cells, bits, peers = tables.all_cells, tables.bits, tables.peers
    ones = twos = threes = 0
    for shift in tables.planes:
        plane = candidates >> shift & all_cells
        threes |= twos & plane
        twos |= ones & plane
        ones |= plane
    pairs = twos ^ threes
    most, pick = -1, 0
    rest = pairs
    while rest:
        index = rest.bit_length() - 1
        rest ^= bits[index]
        seen = (peers[index] & pairs).bit_count()
        if seen > most:
            most, pick = seen, bits[index]
    if not pick:
        spread = tables.shape.cell_spread
        pick = min(
            (bits[cell] for cell in iterate_bits(twos)),
            key=lambda bit: (candidates & bit * spread).bit_count(),
        )
    return candidates & pick * tables.shape.cell_spread
