"""Checks finds of levels 1 to 3: singles, locked candidates, naked and hidden subsets.

Larger subsets that hold smaller ones count, and so does one that strikes nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import permutations

from engine.board.grid import Grid
from engine.board.layout import House
from engine.claims.looking import (
    houses_with,
    more_held,
    not_held_anywhere,
    not_held_everywhere,
    wrong_size,
)
from engine.claims.verdict import Claim, Condition, Flaw, Way

OPEN_CELLS = 3


def check_last_digit(grid: Grid, claim: Claim) -> Iterator[Way | Flaw]:
    """Check that a digit is the only one left in some house of its cell."""
    flaw = wrong_size(claim, 1, 1) or not_held_everywhere(grid, claim)
    if flaw:
        yield flaw
        return
    (cell,), (digit,) = claim.cells, claim.digits
    for house in grid.layout.houses_of[cell]:
        others = grid.open_cells & house.mask & ~(1 << cell)
        if others:
            count = others.bit_count() + 1
            yield Flaw(
                Condition.PLACES_LEFT_OUT,
                grid.layout.cells_in(others),
                houses=(house.index,),
                expected=1,
                found=count,
            )
        else:
            yield Way(places=((cell, digit),), houses=(house.index,))


def check_hidden_single(grid: Grid, claim: Claim) -> Iterator[Way | Flaw]:
    """Check that a digit has no other place in some house of its cell."""
    flaw = wrong_size(claim, 1, 1) or not_held_everywhere(grid, claim)
    if flaw:
        yield flaw
        return
    (cell,), (digit,) = claim.cells, claim.digits
    for house in grid.layout.houses_of[cell]:
        yield _left_out(grid, house, 1 << cell, digit) or Way(
            places=((cell, digit),), houses=(house.index,)
        )


def check_naked_single(grid: Grid, claim: Claim) -> Iterator[Way | Flaw]:
    """Check that a cell can hold no other digit."""
    flaw = wrong_size(claim, 1, 1) or not_held_everywhere(grid, claim) or more_held(grid, claim)
    yield flaw or Way(places=((claim.cells[0], claim.digits[0]),))


def check_last_three(grid: Grid, claim: Claim) -> Iterator[Way | Flaw]:
    """Two of the cells see b, and one of those two c: then all three are settled."""
    flaw = wrong_size(claim, OPEN_CELLS, OPEN_CELLS) or not_held_anywhere(grid, claim)
    if flaw:
        yield flaw
        return
    layout, cells = grid.layout, grid.layout.mask_of(claim.cells)
    houses = houses_with(layout, cells)
    if not houses:
        yield Flaw(Condition.NO_HOUSE, claim.cells)
    held = {cell: set(grid.candidates_at(cell)) for cell in claim.cells}
    for house in houses:
        others = grid.open_cells & house.mask & ~cells
        if others:
            yield Flaw(Condition.PLACES_LEFT_OUT, layout.cells_in(others), houses=(house.index,))
            continue
        for (x, y, z), (a, b, c) in (
            (order, names)
            for order in permutations(claim.cells)
            for names in permutations(claim.digits)
        ):
            if b in held[x] | held[y] or c in held[x]:
                continue
            if a in held[x] and b in held[z] and c in held[y]:
                yield Way(places=tuple(sorted(((x, a), (z, b), (y, c)))), houses=(house.index,))
                return
        yield Flaw(Condition.WRONG_CANDIDATES, claim.cells, claim.digits, (house.index,))


def _left_out(grid: Grid, house: House, cells: int, digit: int) -> Flaw | None:
    """Return the further places that a digit has in a house."""
    more = grid.plane(digit) & house.mask & ~cells
    if not more:
        return None
    return Flaw(Condition.PLACES_LEFT_OUT, grid.layout.cells_in(more), (digit,), (house.index,))


def check_pointing(grid: Grid, claim: Claim) -> Iterator[Way | Flaw]:
    """Check that all places of a digit in a box lie in one line."""
    yield from _check_locked(grid, claim, is_box_first=True)


def check_claiming(grid: Grid, claim: Claim) -> Iterator[Way | Flaw]:
    """Check that all places of a digit in a line lie in one box."""
    yield from _check_locked(grid, claim, is_box_first=False)


def _check_locked(grid: Grid, claim: Claim, *, is_box_first: bool) -> Iterator[Way | Flaw]:
    if len(claim.cells) < 2:
        yield Flaw(Condition.CELL_COUNT, expected=2, found=len(claim.cells))
        return
    flaw = wrong_size(claim, len(claim.cells), 1) or not_held_everywhere(grid, claim)
    if flaw:
        yield flaw
        return
    layout, cells, digit = grid.layout, grid.layout.mask_of(claim.cells), claim.digits[0]
    houses = houses_with(layout, cells)
    pairs = [
        (one, other)
        for one in houses
        for other in houses
        if one.is_line is not is_box_first and other.is_line is is_box_first
    ]
    if not pairs:
        yield Flaw(Condition.NO_HOUSE, claim.cells)
    for confining, other in pairs:
        yield _left_out(grid, confining, cells, digit) or Way(
            layout.spread(grid.plane(digit) & other.mask & ~cells, digit),
            houses=(confining.index, other.index),
        )


def check_naked(grid: Grid, claim: Claim, size: int, *, is_locked: bool) -> Iterator[Way | Flaw]:
    """So many cells that can hold just so many digits; locked ones lie in a line and a box."""
    flaw = wrong_size(claim, size, size) or not_held_anywhere(grid, claim)
    flaw = flaw or more_held(grid, claim)
    if flaw:
        yield flaw
        return
    layout, cells = grid.layout, grid.layout.mask_of(claim.cells)
    houses = houses_with(layout, cells)
    if len({house.is_line for house in houses}) < (2 if is_locked else 1):
        yield Flaw(Condition.NO_HOUSE, claim.cells)
        return
    removes = 0
    for house in houses:
        for digit in claim.digits:
            removes |= layout.spread(grid.plane(digit) & house.mask & ~cells, digit)
    yield Way(removes, houses=tuple(house.index for house in houses))


def check_hidden(grid: Grid, claim: Claim, size: int) -> Iterator[Way | Flaw]:
    """So many digits that have just so many places in a house."""
    flaw = wrong_size(claim, size, size) or not_held_anywhere(grid, claim)
    if flaw:
        yield flaw
        return
    layout, cells = grid.layout, grid.layout.mask_of(claim.cells)
    houses = houses_with(layout, cells)
    if not houses:
        yield Flaw(Condition.NO_HOUSE, claim.cells)
    removes = grid.candidates
    for digit in layout.digits:
        within = 0 if digit in claim.digits else cells
        removes &= ~layout.spread(layout.all_cells & ~within, digit)
    for house in houses:
        flaws = (_left_out(grid, house, cells, digit) for digit in claim.digits)
        yield next(filter(None, flaws), None) or Way(removes, houses=(house.index,))
