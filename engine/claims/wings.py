"""Checks finds of cells with few candidates: wings, remote pairs, pairs of almost locked sets, BUG.

Which cell is the pivot, and how the cells fall into sets, is found out here.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, permutations

from engine.board.grid import Grid
from engine.board.layout import Cell
from engine.claims.looking import (
    houses_with,
    linking_houses,
    seen_by_all,
    wrong_size,
)
from engine.claims.single_digit import colour_by_turns
from engine.claims.verdict import Claim, Condition, Flaw, Way
from engine.inference import pattern_parts

FEWEST_IN_REMOTE_PAIR = 4


def check_xy_wing(grid: Grid, claim: Claim) -> Iterator[Way | Flaw]:
    """Check a wing whose pivot holds two digits."""
    yield from _check_wing(grid, claim, pivot_size=2)


def check_xyz_wing(grid: Grid, claim: Claim) -> Iterator[Way | Flaw]:
    """Check a wing whose pivot holds all three digits."""
    yield from _check_wing(grid, claim, pivot_size=3)


def _check_wing(grid: Grid, claim: Claim, *, pivot_size: int) -> Iterator[Way | Flaw]:
    """A pivot a, b (c too in an XYZ-wing) and pincers a, c and b, c that it sees."""
    flaw = wrong_size(claim, 3, 3)
    if flaw:
        yield flaw
        return
    layout, held = grid.layout, {cell: set(grid.candidates_at(cell)) for cell in claim.cells}
    for pivot, one, other in permutations(claim.cells):
        if one > other:
            continue
        goes = held[one] & held[other]
        if (
            held[one] | held[other] != set(claim.digits)
            or held[pivot] != (held[one] ^ held[other]) | (goes if pivot_size == 3 else set())
            or not len(held[one]) == len(held[other]) == 2
        ):
            digits = tuple(sorted(set().union(*held.values())))
            yield Flaw(Condition.WRONG_CANDIDATES, (pivot, one, other), digits)
            continue
        unseen = [cell for cell in (one, other) if not layout.peers[pivot] >> cell & 1]
        (digit,) = goes
        if unseen:
            shared = tuple(sorted(held[pivot] & held[unseen[0]] - goes))
            yield Flaw(Condition.NOT_SEEN, (pivot, unseen[0]), shared)
            continue
        watchers = (pivot, one, other) if pivot_size == 3 else (one, other)
        yield Way(layout.spread(grid.plane(digit) & seen_by_all(layout, watchers), digit))


def check_w_wing(grid: Grid, claim: Claim) -> Iterator[Way | Flaw]:
    """Two cells a, b, and a strong link on a of which each sees an end of its own."""
    flaw = wrong_size(claim, 4, 2)
    if flaw:
        yield flaw
        return
    layout, pair = grid.layout, set(claim.digits)
    other_cells = tuple(cell for cell in claim.cells if set(grid.candidates_at(cell)) != pair)
    if len(other_cells) > 2:
        held = {digit for cell in other_cells for digit in grid.candidates_at(cell)}
        yield Flaw(Condition.WRONG_CANDIDATES, other_cells, tuple(sorted(held)))
        return
    for one, near, far, other in permutations(claim.cells):
        if one > other:
            continue
        if one in other_cells or other in other_cells:
            continue
        for linked in claim.digits:
            (goes,) = pair - {linked}
            houses = linking_houses(grid, layout.mask_of((near, far)), linked)
            if not houses:
                yield Flaw(Condition.NOT_LINKED, (near, far), (linked,))
                continue
            unseen = [
                ends
                for ends in ((one, near), (far, other))
                if not layout.peers[ends[0]] >> ends[1] & 1
            ]
            if unseen:
                yield Flaw(Condition.NOT_SEEN, unseen[0], (linked,))
                continue
            victims = grid.plane(goes) & seen_by_all(layout, (one, other))
            yield Way(layout.spread(victims, goes), houses=(houses[0].index,))


def check_remote_pair(grid: Grid, claim: Claim) -> Iterator[Way | Flaw]:
    """Cells with the same two candidates that hang together by seeing: they take them in turn."""
    if len(claim.cells) < FEWEST_IN_REMOTE_PAIR:
        yield Flaw(Condition.CELL_COUNT, expected=FEWEST_IN_REMOTE_PAIR, found=len(claim.cells))
        return
    flaw = wrong_size(claim, len(claim.cells), 2)
    if flaw:
        yield flaw
        return
    layout = grid.layout
    for cell in claim.cells:
        if set(grid.candidates_at(cell)) != set(claim.digits):
            yield Flaw(Condition.WRONG_CANDIDATES, (cell,), grid.candidates_at(cell))
            return
    near = {
        cell: [each for each in claim.cells if layout.peers[cell] >> each & 1]
        for cell in claim.cells
    }
    colours = colour_by_turns(claim.cells, near)
    if isinstance(colours, Flaw):
        condition = colours.condition
        if condition is Condition.NOT_LINKED:
            condition = Condition.NOT_SEEN
        yield Flaw(condition, colours.cells, claim.digits)
        return
    seen = [0, 0]
    for turn, colour in enumerate(colours):
        for cell in layout.cells_in(colour):
            seen[turn] |= layout.peers[cell]
    victims = seen[0] & seen[1] & ~layout.mask_of(claim.cells)
    removes = sum(layout.spread(grid.plane(digit) & victims, digit) for digit in claim.digits)
    yield Way(removes)


def check_almost_locked_pair(grid: Grid, claim: Claim) -> Iterator[Way | Flaw]:
    """Two sets of cells, each in a house and with one digit more than cells, that share a digit of
    which every place in one sees every place in the other."""
    if len(claim.cells) < 2:
        yield Flaw(Condition.CELL_COUNT, expected=2, found=len(claim.cells))
        return
    held = {digit for cell in claim.cells for digit in grid.candidates_at(cell)}
    if held != set(claim.digits):
        more = tuple(sorted(held - set(claim.digits)))
        yield (
            Flaw(Condition.HOLDS_MORE, claim.cells, more)
            if more
            else Flaw(Condition.LACKS, claim.cells, tuple(sorted(set(claim.digits) - held)))
        )
        return
    first, *rest = sorted(claim.cells)
    for size in range(len(rest)):
        for more_cells in combinations(rest, size):
            one = (first, *more_cells)
            other = tuple(cell for cell in rest if cell not in more_cells)
            yield from _check_sets(grid, one, other)


def _check_sets(grid: Grid, one: tuple[Cell, ...], other: tuple[Cell, ...]) -> Iterator[Way | Flaw]:
    layout = grid.layout
    digits = []
    for cells in (one, other):
        held = {digit for cell in cells for digit in grid.candidates_at(cell)}
        if len(held) != len(cells) + 1:
            yield Flaw(Condition.WRONG_CANDIDATES, cells, tuple(sorted(held)))
            return
        if not houses_with(layout, layout.mask_of(cells)):
            yield Flaw(Condition.NO_HOUSE, cells)
            return
        digits.append(held)
    common = sorted(digits[0] & digits[1])
    places = {
        digit: [
            layout.cells_in(grid.plane(digit) & layout.mask_of(cells)) for cells in (one, other)
        ]
        for digit in common
    }
    restricted = [
        digit
        for digit in common
        if not layout.mask_of(places[digit][0]) & ~seen_by_all(layout, places[digit][1])
    ]
    if not restricted or len(common) < 2:
        yield Flaw(Condition.NOT_SEEN, (*one, *other), tuple(common))
        return
    for shared in (*combinations(restricted, 1), *combinations(restricted, 2)):
        yield Way(pattern_parts.struck_by(grid, pattern_parts.SetPair(one, other, shared)))


def check_bug_plus_one(grid: Grid, claim: Claim) -> Iterator[Way | Flaw]:
    """All open cells have two candidates but this one, and houses each digit twice or not at all
    but for one of its three."""
    flaw = wrong_size(claim, 1, 1)
    if flaw:
        yield flaw
        return
    layout, (cell,), (digit,) = grid.layout, claim.cells, claim.digits
    if digit not in grid.candidates_at(cell):
        yield Flaw(Condition.LACKS, (cell,), (digit,))
        return
    for each in layout.cells_in(grid.open_cells):
        held = grid.candidates_at(each)
        if len(held) != (3 if each == cell else 2):
            yield Flaw(Condition.WRONG_CANDIDATES, (each,), held)
            return
    for house in layout.houses:
        for own in layout.digits:
            count = (grid.plane(own) & house.mask).bit_count()
            expected = 3 if own == digit and house.mask >> cell & 1 else 2
            if count not in (0, expected) or (expected == 3 and count == 0):
                yield Flaw(
                    Condition.HOUSE_COUNT,
                    digits=(own,),
                    houses=(house.index,),
                    expected=expected,
                    found=count,
                )
                return
    yield Way(places=((cell, digit),))
