"""What a person sees at a position, in clauses: which digits block which cells, what is left.

The engine says that a digit cannot go somewhere; these functions find the placed digit that shows
it, or say that it was ruled out earlier. They look only at the position and conclude nothing.
"""

from __future__ import annotations

from collections.abc import Sequence

from bot.wording.prose import join_words
from engine import Cell, Grid, House, witnesses


def cell_names(grid: Grid, cells: Sequence[Cell]) -> str:
    """Write `r4c1, r4c5 and r5c2`."""
    return join_words(grid.layout.format_cell(cell) for cell in cells)


def open_cells_in(grid: Grid, house: House) -> tuple[Cell, ...]:
    """Return the open cells of a house in their order."""
    return grid.layout.cells_in(grid.open_cells & house.mask)


def missing_digits(grid: Grid, house: House) -> tuple[int, ...]:
    """Return the digits that do not stand in the house yet."""
    layout = grid.layout
    return tuple(d for d in layout.digits if not layout.plane(grid.placed, d) & house.mask)


def tell_blocked(grid: Grid, cells: Sequence[Cell], digit: int) -> str:
    """Say why `digit` goes in none of the open `cells`; empty where there are none.

    `r4c4 and r5c4 see the 7 in r1c4; r5c6 sees the 7 in r9c6; it is already ruled out in r6c5`
    """
    blockers, struck = witnesses.find_blockers(grid, cells, digit)
    clauses = [
        f"{cell_names(grid, seen)} {'sees' if len(seen) == 1 else 'see'} "
        f"the {digit} in {grid.layout.format_cell(stands)}"
        for stands, seen in blockers
    ]
    if struck:
        clauses.append(f"it is already ruled out in {cell_names(grid, struck)}")
    return "; ".join(clauses)


def tell_lacks(grid: Grid, cell: Cell) -> str:
    """Say what keeps the other digits out of `cell`: `1 and 2 in row 4 and 3 in box 5`."""
    return join_words(
        f"{join_words(sorted(map(grid.digit_at, cells)))} in {house.name}"
        for house, cells in witnesses.find_seen_digits(grid, cell)
    )


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
    """Return the cells of a house that can still hold a digit."""
    return grid.layout.cells_in(grid.plane(digit) & house.mask)


def tell_places(grid: Grid, house: House, digit: int) -> str:
    """Write `r4c1, r4c5 or r5c2`: where a digit can still go in a house."""
    return join_words(map(grid.layout.format_cell, places_in(grid, house, digit)), "or")
