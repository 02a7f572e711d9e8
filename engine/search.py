"""Exact search: the solutions of a position, whatever its difficulty, without any technique.

All candidates, those of placed digits included, lie in one integer. Every round finds the naked
and hidden singles of all cells and houses at once by counting (`engine.counting`), and notices at
once a cell or house that has nothing left. Where no single is left it branches. It takes the
position as it stands: a candidate that has been struck is not tried.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache

from engine.counting import Shape, fold, shape_of
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


@cache
def _tables_of(layout: Layout) -> _Tables:
    bits = tuple(1 << index for index in range(layout.all_candidates.bit_length()))
    keeps = []
    for index, bit in enumerate(bits):
        cell, digit = layout.split(index)
        keeps.append(layout.all_candidates & ~layout.strikes[digit - 1][cell] | bit)
    planes = tuple(layout.cell_count * (digit - 1) for digit in layout.digits)
    return _Tables(shape_of(layout), layout.all_cells, bits, tuple(keeps), planes)


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
    candidates = grid.candidates | grid.placed
    for index in iterate_bits(grid.placed):
        candidates &= tables.keeps[index]
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
        for index in _choices(tables, candidates, done):
            waiting.append((candidates & tables.keeps[index], done | tables.bits[index]))


def _propagate(tables: _Tables, candidates: int, done: int) -> tuple[int, int]:
    """Place singles until none is left; return the new state, (0, 0) for a contradiction.

    Placed candidates stay in the mask and count as singles, so the new ones are a plain xor. Two
    singles of one round that contradict each other strike each other, and the next round finds
    their house empty.
    """
    shape, bits, keeps = tables.shape, tables.bits, tables.keeps
    all_cells = tables.all_cells
    rows, columns, boxes = shape.row_origins, shape.column_origins, shape.box_origins
    while True:
        ones, twos = fold(candidates, 0, shape.digits_near)
        ones, twos = fold(ones, twos, shape.digits_far)
        if ones & all_cells != all_cells:
            return 0, 0
        fresh = candidates & ((ones ^ twos) & all_cells) * shape.cell_spread
        segment_ones, segment_twos = fold(candidates, 0, shape.across_segment)
        ones, twos = fold(segment_ones, segment_twos, shape.across_row)
        if ones & rows != rows:
            return 0, 0
        fresh |= candidates & ((ones ^ twos) & rows) * shape.row_spread
        ones, twos = fold(segment_ones, segment_twos, shape.down_segment)
        if ones & boxes != boxes:
            return 0, 0
        fresh |= candidates & ((ones ^ twos) & boxes) * shape.box_spread
        ones, twos = fold(candidates, 0, shape.down_segment)
        ones, twos = fold(ones, twos, shape.down_column)
        if ones & columns != columns:
            return 0, 0
        fresh |= candidates & ((ones ^ twos) & columns) * shape.column_spread
        fresh ^= done
        if not fresh:
            return candidates, done
        done |= fresh
        while fresh:
            index = fresh.bit_length() - 1
            candidates &= keeps[index]
            fresh ^= bits[index]


def _choices(tables: _Tables, candidates: int, done: int) -> Iterator[int]:
    """Yield the candidate indices of the open cell with the fewest candidates."""
    all_cells = tables.all_cells
    ones = twos = threes = 0
    for shift in tables.planes:
        plane = candidates >> shift & all_cells
        threes |= twos & plane
        twos |= ones & plane
        ones |= plane
    pick = twos ^ threes
    if pick:
        pick &= -pick
    else:
        counts = (
            ((candidates & cell * tables.shape.cell_spread).bit_count(), cell)
            for cell in (1 << index for index in iterate_bits(twos))
        )
        pick = min(counts)[1]
    yield from iterate_bits(candidates & pick * tables.shape.cell_spread)
