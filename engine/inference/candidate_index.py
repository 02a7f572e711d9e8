"""What each cell and each house holds at a position, worked out once for all subset techniques."""

from __future__ import annotations

from functools import cache, lru_cache

from engine.board.grid import Grid
from engine.board.layout import Layout, iterate_bits

POSITIONS_KEPT = 16
"""A sweep asks several techniques about one position in turn, and then never again."""
PLANES_KEPT = 512
"""From one position to the next most digits keep their places: a whole puzzle with its detours
brings up a few hundred planes."""
HOUSES_KEPT = 4096
"""Most houses, too, keep what they hold."""


@lru_cache(maxsize=POSITIONS_KEPT)
def digits_by_cell(grid: Grid) -> tuple[int, ...]:
    """Return for each cell a mask of its candidates: bit d - 1 is digit d."""
    layout = grid.layout
    held = [0] * layout.cell_count
    for digit in layout.digits:
        bit = 1 << digit - 1
        plane = layout.plane(grid.candidates, digit)
        while plane:
            cell = plane.bit_length() - 1
            held[cell] |= bit
            plane ^= 1 << cell
    return tuple(held)


@lru_cache(maxsize=POSITIONS_KEPT)
def cells_by_count(grid: Grid) -> tuple[int, ...]:
    """Return at index k, from 2 to 4, the cell mask of the cells with 2 to k candidates."""
    layout = grid.layout
    ones = twos = threes = fours = fives = 0
    for digit in layout.digits:
        plane = layout.plane(grid.candidates, digit)
        fives |= fours & plane
        fours |= threes & plane
        threes |= twos & plane
        twos |= ones & plane
        ones |= plane
    return 0, 0, twos & ~threes, twos & ~fours, twos & ~fives


@lru_cache(maxsize=POSITIONS_KEPT)
def places_by_house(grid: Grid) -> tuple[tuple[tuple[int, int, int], ...], ...]:
    """Return for each house (digit, cell mask of its places, their number) of each digit left."""
    layout = grid.layout
    planes = [(digit, layout.plane(grid.candidates, digit)) for digit in layout.digits]
    return tuple(
        tuple(
            [
                (digit, places, places.bit_count())
                for digit, plane in planes
                if (places := plane & mask)
            ]
        )
        for mask in (house.mask for house in layout.houses)
    )


@cache
def digits_spread(layout: Layout, digits: int) -> int:
    """Return what to multiply a cell mask by, to get these digits (bit d - 1) in its cells."""
    return sum(layout.spread(1, index + 1) for index in iterate_bits(digits))


@cache
def digits_of(layout: Layout, digits: int) -> tuple[int, ...]:
    """Return the digits of a digit mask, lowest first."""
    return tuple(index + 1 for index in iterate_bits(digits))
