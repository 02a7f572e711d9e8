"""What each cell and each house holds at a position, worked out once for all subset techniques."""

from __future__ import annotations

from functools import lru_cache

from engine.grid import Grid
from engine.layout import iterate_bits

POSITIONS_KEPT = 16


@lru_cache(maxsize=POSITIONS_KEPT)
def digits_by_cell(grid: Grid) -> tuple[int, ...]:
    """Return for each cell a mask of its candidates: bit d - 1 is digit d."""
    layout = grid.layout
    held = [0] * layout.cell_count
    for digit in layout.digits:
        bit = 1 << digit - 1
        for cell in iterate_bits(layout.plane(grid.candidates, digit)):
            held[cell] |= bit
    return tuple(held)


@lru_cache(maxsize=POSITIONS_KEPT)
def places_by_house(grid: Grid) -> tuple[tuple[tuple[int, int], ...], ...]:
    """Return for each house (digit, cell mask of its places), digits without a place left out."""
    layout = grid.layout
    planes = [(digit, layout.plane(grid.candidates, digit)) for digit in layout.digits]
    return tuple(
        tuple((digit, plane & house.mask) for digit, plane in planes if plane & house.mask)
        for house in layout.houses
    )
