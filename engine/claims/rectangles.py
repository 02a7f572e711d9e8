"""Checks finds of rectangles: unique ones of types 1 to 4 and 6, hidden and avoidable ones.

The corners and the rectangle's two digits are found out from the cells and digits; a group of
type 3 is what is left over. All rests on the puzzle having one solution only.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, permutations

from engine.board.grid import Grid
from engine.board.layout import Cell
from engine.claims.looking import houses_with, linking_houses, seen_by_all
from engine.claims.verdict import Claim, Condition, Flaw, Way
from engine.techniques.rectangles import rectangles_by_cell

CORNERS = 4


def check_unique_rectangle(grid: Grid, claim: Claim) -> Iterator[Way | Flaw]:
    """Check every kind of unique rectangle, or the one that the claim names, on the corners it
    has."""
    for corners, pair in _find_rectangles(grid, claim):
        if isinstance(corners, Flaw):
            yield corners
            continue
        roof = [cell for cell in corners if set(grid.candidates_at(cell)) != pair]
        group = tuple(cell for cell in claim.cells if cell not in corners)
        found = False
        for each in _check_types(grid, corners, pair, roof, group):
            if isinstance(each, Flaw) or not claim.variant or each.variant == claim.variant:
                found = True
                yield each
        if not found:
            yield Flaw(Condition.OTHER_KIND, corners, tuple(sorted(pair)))


def check_hidden_rectangle(grid: Grid, claim: Claim) -> Iterator[Way | Flaw]:
    """The corner across from one that holds just a, b is not b, where a has corners alone."""
    if len(claim.cells) != CORNERS:
        yield Flaw(Condition.CELL_COUNT, expected=CORNERS, found=len(claim.cells))
        return
    layout = grid.layout
    for corners, pair in _find_rectangles(grid, claim):
        if isinstance(corners, Flaw):
            yield corners
            continue
        ends = layout.mask_of(corners)
        for place, floor in enumerate(corners):
            if set(grid.candidates_at(floor)) != pair:
                yield Flaw(Condition.HOLDS_MORE, (floor,), grid.candidates_at(floor))
                continue
            across = corners[(place + 2) % CORNERS]
            lines = [h for h in layout.houses_of[across] if (h.mask & ends).bit_count() == 2]
            lines = [house for house in lines if house in (*layout.rows, *layout.columns)]
            for digit in sorted(pair):
                (goes,) = pair - {digit}
                more = [grid.plane(digit) & house.mask & ~ends for house in lines]
                left = next((house for house, rest in zip(lines, more, strict=True) if rest), None)
                if left is not None:
                    cells = layout.cells_in(grid.plane(digit) & left.mask & ~ends)
                    yield Flaw(Condition.PLACES_LEFT_OUT, cells, (digit,), (left.index,))
                else:
                    yield Way(layout.bit(across, goes))


def _find_rectangles(
    grid: Grid, claim: Claim
) -> Iterator[tuple[tuple[Cell, ...] | Flaw, set[int]]]:
    """Yield corners in turn with the two digits that all can hold, or what is in the way."""
    for ring in _find_rings(grid, claim):
        if isinstance(ring, Flaw):
            yield ring, set()
            continue
        common = set(claim.digits)
        for cell in ring:
            common &= set(grid.candidates_at(cell))
        if len(common) < 2:
            yield Flaw(Condition.LACKS, ring, claim.digits), set()
        for pair in combinations(sorted(common), 2):
            yield ring, set(pair)


def _find_rings(grid: Grid, claim: Claim) -> Iterator[tuple[Cell, ...] | Flaw]:
    """Yield the rectangles that four of the cells make, the corners in turn, or what is wrong."""
    if len(claim.cells) < CORNERS:
        yield Flaw(Condition.CELL_COUNT, expected=CORNERS, found=len(claim.cells))
        return
    if len(claim.digits) < 2:
        yield Flaw(Condition.DIGIT_COUNT, expected=2, found=len(claim.digits))
        return
    around = rectangles_by_cell(grid.layout)
    rings = [
        ring
        for four in combinations(sorted(claim.cells), CORNERS)
        for ring in around[four[0]]
        if set(ring) == set(four)
    ]
    yield from rings or (Flaw(Condition.NO_RECTANGLE, claim.cells),)


def check_avoidable_rectangle(grid: Grid, claim: Claim) -> Iterator[Way | Flaw]:
    """Two corners or three are filled, none with a given, with two digits in turn: the open ones
    must not complete it. Two that can hold one digit more, the same, hold that between them; with
    several they are as one cell of a naked subset."""
    layout = grid.layout
    given = layout.mask_of(claim.cells) & grid.filled_cells & ~grid.own
    if given:
        yield Flaw(Condition.GIVEN, layout.cells_in(given))
        return
    for ring in _find_rings(grid, claim):
        if isinstance(ring, Flaw):
            yield ring
            continue
        roof = [cell for cell in ring if not grid.digit_at(cell)]
        group = tuple(cell for cell in claim.cells if cell not in ring)
        if len(roof) not in (1, 2):
            yield Flaw(Condition.WRONG_CANDIDATES, ring)
        elif group and (len(roof) == 1 or any(map(grid.digit_at, group))):
            yield Flaw(Condition.CELL_COUNT, expected=CORNERS, found=len(claim.cells))
        elif claim.variant not in ("", variant := "type-3" if group else f"type-{len(roof)}"):
            yield Flaw(Condition.OTHER_KIND, ring, claim.digits)
        else:
            yield from _check_avoidable(grid, claim, ring, roof, group, variant)


def _check_avoidable(
    grid: Grid,
    claim: Claim,
    ring: tuple[Cell, ...],
    roof: list[Cell],
    group: tuple[Cell, ...],
    variant: str,
) -> Iterator[Way | Flaw]:
    turns = [
        (pair, extras)
        for pair in permutations(claim.digits, 2)
        if all(extras := _extras_in_turn(grid, ring, roof, pair))
    ]
    if group and turns:
        for _, extras in turns:
            yield from _check_type_3(grid, ring, roof, set().union(*extras), group)
        return
    ways = [
        _goes_in_turn(grid, ring, roof, pair, extras[0])
        for pair, extras in turns
        if len(roof) == 1 or (extras[0] == extras[1] and len(extras[0]) == 1)
    ]
    if not ways:
        digits = {digit for cell in roof for digit in grid.candidates_at(cell)}
        yield Flaw(Condition.WRONG_CANDIDATES, ring, tuple(sorted(digits)))
        return
    removes = 0
    for way in ways:
        removes |= way
    yield Way(removes, variant=variant)


def _extras_in_turn(
    grid: Grid, ring: tuple[Cell, ...], roof: list[Cell], pair: tuple[int, ...]
) -> list[set[int]]:
    """Return what each open corner can hold besides its digit of the pair in turn: nothing where
    the corners do not come to that."""
    wanted = {cell: pair[place % 2] for place, cell in enumerate(ring)}
    if any(grid.digit_at(cell) != wanted[cell] for cell in ring if cell not in roof):
        return [set()]
    held = [(set(grid.candidates_at(cell)), {wanted[cell]}) for cell in roof]
    return [here - goes if goes <= here else set() for here, goes in held]


def _goes_in_turn(
    grid: Grid,
    ring: tuple[Cell, ...],
    roof: list[Cell],
    pair: tuple[int, ...],
    extras: set[int],
) -> int:
    """Return what goes because the corners must not hold the pair in turn."""
    layout = grid.layout
    if len(roof) == 1:
        return layout.bit(roof[0], pair[ring.index(roof[0]) % 2])
    (digit,) = extras
    return layout.spread(grid.plane(digit) & seen_by_all(layout, roof), digit)


def _check_types(
    grid: Grid, corners: tuple[Cell, ...], pair: set[int], roof: list[Cell], group: tuple[Cell, ...]
) -> Iterator[Way | Flaw]:
    layout = grid.layout
    extras = {cell: set(grid.candidates_at(cell)) - pair for cell in roof}
    more = set().union(*extras.values())
    if not roof or len(roof) == CORNERS:
        digits = tuple(sorted(more or pair))
        condition = Condition.HOLDS_MORE if roof else Condition.WRONG_CANDIDATES
        yield Flaw(condition, corners, digits)
        return
    if group:
        yield from _check_type_3(grid, corners, roof, more, group)
        return
    if len(roof) == 1:
        yield Way(sum(layout.bit(roof[0], digit) for digit in pair), variant="type-1")
        return
    is_alike = len(more) == 1 and all(extras.values())
    if is_alike:
        (digit,) = more
        victims = grid.plane(digit) & seen_by_all(layout, roof)
        yield Way(layout.spread(victims, digit), variant="type-2")
    linked = False
    for digit in sorted(pair) if len(roof) == 2 else ():
        (goes,) = pair - {digit}
        if linking_houses(grid, layout.mask_of(roof), digit):
            linked = True
            yield Way(layout.spread(layout.mask_of(roof), goes), variant="type-4")
    if len(roof) == 2 and not layout.peers[roof[0]] >> roof[1] & 1:
        for digit in sorted(pair):
            if _is_kept_to_corners(grid, corners, digit):
                linked = True
                yield Way(layout.spread(layout.mask_of(roof), digit), variant="type-6")
    if not is_alike and not linked:
        yield Flaw(Condition.NOT_LINKED, tuple(roof), tuple(sorted(pair)))


def _is_kept_to_corners(grid: Grid, corners: tuple[Cell, ...], digit: int) -> bool:
    """Say whether both rows or both columns of a rectangle hold a digit in its corners alone."""
    ends, plane = grid.layout.mask_of(corners), grid.plane(digit)
    return any(
        all(not plane & line.mask & ~ends for line in lines if line.mask & ends)
        for lines in (grid.layout.rows, grid.layout.columns)
    )


def _check_type_3(
    grid: Grid,
    corners: tuple[Cell, ...],
    roof: list[Cell],
    extras: set[int],
    group: tuple[Cell, ...],
) -> Iterator[Way | Flaw]:
    """The roof's extra digits and further cells of a house make a naked subset."""
    layout = grid.layout
    if len(roof) != 2:
        yield Flaw(Condition.HOLDS_MORE, tuple(roof), tuple(sorted(extras)))
        return
    digits = extras | {digit for cell in group for digit in grid.candidates_at(cell)}
    if len(digits) != len(group) + 1:
        yield Flaw(Condition.WRONG_CANDIDATES, group, tuple(sorted(digits)))
        return
    houses = houses_with(layout, layout.mask_of((*roof, *group)))
    if not houses:
        yield Flaw(Condition.NO_HOUSE, (*roof, *group))
        return
    removes = 0
    for house in houses:
        outside = house.mask & ~layout.mask_of((*corners, *group))
        for digit in digits:
            removes |= layout.spread(grid.plane(digit) & outside, digit)
    yield Way(removes, houses=tuple(house.index for house in houses), variant="type-3")
