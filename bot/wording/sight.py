"""What a person sees at a position, in clauses: which digits block which cells, what is left.

The engine says that a digit cannot go somewhere; these functions find the placed digit that shows
it, or say that it was ruled out earlier. They look only at the position and conclude nothing.
"""

from __future__ import annotations

from collections.abc import Sequence

from bot.wording.prose import join_words
from engine.grid import Grid
from engine.layout import Cell, House


def cell_names(grid: Grid, cells: Sequence[Cell]) -> str:
    """Write `r4c1, r4c5 and r5c2`."""
    return join_words(grid.layout.format_cell(cell) for cell in cells)


def open_cells_in(grid: Grid, house: House) -> tuple[Cell, ...]:
    return grid.layout.cells_in(grid.open_cells & house.mask)


def missing_digits(grid: Grid, house: House) -> tuple[int, ...]:
    """Return the digits that do not stand in the house yet."""
    layout = grid.layout
    return tuple(d for d in layout.digits if not layout.plane(grid.placed, d) & house.mask)


def share_blame(
    grid: Grid, cells: Sequence[Cell], digit: int
) -> tuple[list[tuple[Cell, list[Cell]]], list[Cell]]:
    """Find few placed `digit`s that block the open `cells`.

    Returns (where the digit stands, the cells that it is named for) pairs, and the cells that no
    placed digit blocks: there the digit was ruled out earlier.
    """
    layout = grid.layout
    standing = layout.cells_in(layout.plane(grid.placed, digit))
    left = set(cells)
    blame: list[tuple[Cell, list[Cell]]] = []
    while left:
        best = max(
            standing,
            key=lambda stands: (len([c for c in left if layout.peers[stands] >> c & 1]), -stands),
            default=None,
        )
        seen = [] if best is None else sorted(c for c in left if layout.peers[best] >> c & 1)
        if best is None or not seen:
            break
        blame.append((best, seen))
        left.difference_update(seen)
    return blame, sorted(left)


def tell_blocked(grid: Grid, cells: Sequence[Cell], digit: int) -> str:
    """Say why `digit` goes in none of the open `cells`; empty where there are none.

    `r4c4 and r5c4 see the 7 in r1c4; r5c6 sees the 7 in r9c6; it is already ruled out in r6c5`
    """
    blame, struck = share_blame(grid, cells, digit)
    clauses = [
        f"{cell_names(grid, seen)} {'sees' if len(seen) == 1 else 'see'} "
        f"the {digit} in {grid.layout.format_cell(stands)}"
        for stands, seen in blame
    ]
    if struck:
        clauses.append(f"it is already ruled out in {cell_names(grid, struck)}")
    return "; ".join(clauses)


def tell_lacks(grid: Grid, cell: Cell) -> str:
    """Say what keeps the other digits out of `cell`: `1 and 2 in row 4, 3 in box 5`."""
    layout = grid.layout
    found: set[int] = set()
    clauses = []
    for house in layout.houses_of[cell]:
        here = [
            digit
            for digit in layout.digits
            if digit not in found and layout.plane(grid.placed, digit) & house.mask
        ]
        if here:
            found.update(here)
            clauses.append(f"{join_words(here)} in {house.name}")
    return join_words(clauses)


def struck_at(grid: Grid, cell: Cell) -> tuple[int, ...]:
    """Return the digits that were ruled out in `cell` though no placed digit is seen from it."""
    layout = grid.layout
    bits = grid.removed_mask & layout.cell_bits[cell]
    return tuple(digit for _, digit in layout.pairs(bits))


def tell_holdings(grid: Grid, cells: Sequence[Cell]) -> str:
    """Say what each cell can still be: `r7c6 can be 1 or 5; r9c4 1, 5 or 6; r9c6 5 or 6`."""
    layout = grid.layout
    parts: list[str] = []
    for cell in cells:
        verb = "" if parts else "can be "
        digits = join_words(grid.candidates_at(cell), "or")
        parts.append(f"{layout.format_cell(cell)} {verb}{digits}")
    return "; ".join(parts)


def places_in(grid: Grid, house: House, digit: int) -> tuple[Cell, ...]:
    return grid.layout.cells_in(grid.plane(digit) & house.mask)
