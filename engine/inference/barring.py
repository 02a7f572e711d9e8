"""What bars a digit from the rest of a house, so that one place is left: the fewer, the easier.

From most cells the digit is seen elsewhere in their row, column or box: each that stands so is a
line to follow. In the others it was struck, and whoever looks for it has to remember that.
"""

from __future__ import annotations

from engine.board.grid import Grid
from engine.board.layout import House

Bars = tuple[int, int]
"""(open cells in which the digit was struck, fewest standing digits that bar it from the rest)"""


def bars_of(grid: Grid, house: House, cell: int, digit: int) -> Bars:
    """Return what keeps the digit out of all open cells of the house but one."""
    peers, standing = grid.layout.peers, grid.layout.plane(grid.placed, digit)
    others = grid.open_cells & house.mask & ~(1 << cell)
    covers, seen = set(), 0
    while standing:
        stands = standing.bit_length() - 1
        standing ^= 1 << stands
        cover = peers[stands] & others
        if cover:
            covers.add(cover)
            seen |= cover
    return (others & ~seen).bit_count(), _fewest(covers, seen)


def _fewest(covers: set[int], cells: int) -> int:
    """Return the least number of covers that hold all the cells between them."""
    count, open_sets = 0, {cells}
    while 0 not in open_sets:
        count += 1
        open_sets = {
            left & ~cover for left in open_sets for cover in covers if cover & left & -left
        }
    return count
