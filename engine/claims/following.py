"""Whether something follows from some cells alone, and if not, how they could be filled otherwise.

What counts is what those cells say themselves: each of them, and the one asked about, holds one of
its candidates, no two that see each other the same, and a digit whose places in a house all lie
among them stands in one of these. Nothing else of the position is asked, least of all its solution.
"""

from __future__ import annotations

from collections.abc import Iterable

from engine.board.grid import Grid
from engine.board.layout import Cell, iterate_bits
from engine.claims.verdict import Condition, Flaw
from engine.limits import count_work


def find_doubt(
    grid: Grid,
    cells: Iterable[Cell],
    removes: int = 0,
    places: Iterable[tuple[Cell, int]] = (),
) -> Flaw | None:
    """Return how the cells could be filled against the first claim that does not follow from them.

    None where every strike and placement follows. `removes` are candidates, `places` of open cells.
    """
    basis = grid.layout.mask_of(cells) & grid.open_cells
    against = [(cell, grid.layout.bit(cell, digit)) for cell, digit in grid.layout.pairs(removes)]
    for cell, digit in places:
        others = grid.candidates & grid.layout.cell_bits[cell] & ~grid.layout.bit(cell, digit)
        against.append((cell, others))
    for cell, left in against:
        filling = find_filling(grid, basis | 1 << cell, left | ~grid.layout.cell_bits[cell])
        if filling:
            pairs = sorted(grid.layout.pairs(filling), key=lambda pair: pair[0] != cell)
            held, digits = zip(*pairs, strict=True)
            return Flaw(Condition.STILL_POSSIBLE, tuple(held), tuple(digits))
    return None


def find_filling(grid: Grid, cells: int, allowed: int) -> int:
    """Return one way to fill a mask of open cells as they say themselves, 0 where there is none.

    Only candidates of `allowed` are used; both are candidate masks.
    """
    layout = grid.layout
    groups = [layout.cell_bits[cell] & grid.candidates for cell in layout.cells_in(cells)]
    for digit in layout.digits:
        for house in layout.houses:
            held = grid.plane(digit) & house.mask
            if held and not held & ~cells:
                groups.append(layout.spread(held, digit))
    return _fill(grid, tuple(dict.fromkeys(groups)), grid.candidates & allowed, 0)


def _fill(grid: Grid, groups: tuple[int, ...], alive: int, chosen: int) -> int:
    """Choose a candidate of the tightest group that has none, and go on; 0 where none can be."""
    count_work()
    waiting = [group for group in groups if not group & chosen]
    if not waiting:
        return chosen
    tightest = min((group & alive for group in waiting), key=int.bit_count)
    for index in iterate_bits(tightest):
        cell, digit = grid.layout.split(index)
        left = alive & ~grid.layout.strikes[digit - 1][cell] | 1 << index
        if filled := _fill(grid, tuple(waiting), left, chosen | 1 << index):
            return filled
    return 0
