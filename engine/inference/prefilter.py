"""Where subsets and single-digit patterns can strike at all: asked first, and mostly answer enough.

Both questions are answered exactly, without looking for any pattern. A place of a digit can fall to
a pattern of that digit alone only if no way to place the digit in all its houses uses it. A house
can lose something to a subset only if one of its candidates is part of no way to fill it. So a
technique that asks here first misses nothing: what this rules out no sound step strikes.
"""

from __future__ import annotations

from functools import cache, lru_cache
from itertools import combinations
from operator import itemgetter

from engine.board.grid import Grid
from engine.board.layout import House, Layout, iterate_bits, union_of
from engine.inference.candidate_index import (
    HOUSES_KEPT,
    PLANES_KEPT,
    POSITIONS_KEPT,
    digits_by_cell,
)
from engine.inference.evidence import houses_in_order


@lru_cache(maxsize=PLANES_KEPT)
def doomed_places(layout: Layout, plane: int) -> int:
    """Return the places (a cell mask) of a digit that no way to place it in all its houses uses.

    A house without any of the places is taken to hold the digit already. All places are returned
    where nothing can be said: with diagonals as houses, or on a board with a mistake.
    """
    takes, rows, taken = _takes(layout), [], 0
    for row in layout.rows:
        here, ways = plane & row.mask, []
        while here:
            place = here & -here
            here ^= place
            ways.append((place, takes[place]))
            taken |= takes[place]
        if ways:
            rows.append(ways)
    columns = taken & (1 << layout.size) - 1
    is_even = len(rows) == columns.bit_count() == (taken ^ columns).bit_count()
    if layout.diagonals or not is_even:
        return plane
    reached = {0: 0}  # the columns and boxes that are taken, to all the places of the ways there
    for ways in rows:
        following: dict[int, int] = {}
        for before, used in reached.items():
            for place, new in ways:
                if not before & new:
                    after = before | new
                    following[after] = following.get(after, 0) | used | place
        reached = following
    return plane & ~union_of(reached.values())


@cache
def _takes(layout: Layout) -> dict[int, int]:
    """Return for each cell (its bit) a bit for its column and one for its box."""
    return {
        1 << cell: 1 << cell % layout.size | 1 << layout.size + box
        for cell, box in enumerate(layout.box_of)
    }


@lru_cache(maxsize=POSITIONS_KEPT)
def tight_houses(grid: Grid) -> tuple[House, ...]:
    """Return the houses with a candidate that is part of no way to fill the house, boxes first.

    A house that cannot be filled, as on a board with a mistake, is one of them.
    """
    held = digits_by_cell(grid)
    return tuple([house for house, read in _readers(grid.layout) if _is_tight(read(held))])


@cache
def _readers(layout: Layout) -> tuple[tuple[House, itemgetter[tuple[int, ...]]], ...]:
    """Return each house, boxes first, with what reads its cells out of those of the grid."""
    return tuple((house, itemgetter(*house.cells)) for house in houses_in_order(layout))


MOST_FREE = 6


@lru_cache(maxsize=HOUSES_KEPT)
def _is_tight(held: tuple[int, ...]) -> bool:
    """Say whether cells that hold these digits (masks, 0 where filled) have a candidate in no way
    to fill them.

    From one way to fill them every other follows by rings: a cell takes the digit of the next one.
    So a candidate is in some way if its cell's digit can be reached back from it.
    """
    held = tuple(filter(None, held))
    if len(held) <= MOST_FREE and _is_free(held):
        return False
    fits = _fill(held)
    if fits is None:
        return True
    settled = 0
    for digit in fits:
        if settled & digit:
            continue
        reached, seen = fits[digit], digit
        while fresh := reached & ~seen:
            low = fresh & -fresh
            seen |= low
            reached |= fits[low]
        if reached & settled:
            return True  # from there it cannot be reached back
        back, before = digit, 0
        while back != before:
            before = back
            for index in iterate_bits(reached & ~back):
                if fits[1 << index] & back:
                    back |= 1 << index
        if back != reached:
            return True
        settled |= reached
    return False


def _is_free(held: tuple[int, ...]) -> bool:
    """Say whether up to six cells with as many digits have no single, no naked or hidden pair and
    no naked triple: nothing else can make so few tight."""
    once = twice = more = 0
    pairs: set[int] = set()
    for mask in held:
        more |= twice & mask
        twice |= once & mask
        once |= mask
        if mask.bit_count() < 3:
            if mask & mask - 1 == 0 or (mask in pairs and len(held) > 3):
                return False
            pairs.add(mask)
    if once != twice or once.bit_count() != len(held):
        return False
    both = twice & ~more
    if len(held) > 4 and both & both - 1:
        places = (one & other & both for one, other in combinations(held, 2))
        if any(shared & shared - 1 for shared in places):
            return False
    if len(held) < 6:
        return True
    small = [mask for mask in held if mask.bit_count() < 4]
    return not any((a | b | c).bit_count() < 4 for a, b, c in combinations(small, 3))


def _fill(held: tuple[int, ...]) -> dict[int, int] | None:
    """Return for each digit (a bit) what its cell holds, in one way to fill the cells, if any.

    There must be as many digits as cells.
    """
    cells = sorted(held, key=int.bit_count)
    digits = 0
    for mask in cells:
        digits |= mask
    if digits.bit_count() != len(cells):
        return None
    chosen: list[int] = []
    left = cells[:1]
    used = 0
    while len(chosen) < len(cells):
        free = left[-1] & ~used
        if free:
            low = free & -free
            left[-1] = free ^ low
            used |= low
            chosen.append(low)
            left.append(cells[len(chosen)] if len(chosen) < len(cells) else 0)
        else:
            left.pop()
            if not chosen:
                return None
            used ^= chosen.pop()
    return dict(zip(chosen, cells, strict=True))
