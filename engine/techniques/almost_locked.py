"""Almost-locked-set pairs with one restricted common: ALS-XZ.

An almost locked set is cells of one house that can hold one digit more than they are. Of two such
sets, apart, let every x of the one see every x of the other: then one at least does without x, and
needs all its other digits. So a digit z of both is in one of them, and goes from whatever sees all
its places in both. A step strikes what no pair of fewer cells does.

Sets have up to MOST_CELLS cells and hold no naked subset. Two sets in the same house are a naked
subset, and three cells in all can be an XY-wing or XYZ-wing: these are left to those techniques.
Where less than the two sets would do (some of their cells are a naked subset) there is no step.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from engine.grid import Grid
from engine.layout import iterate_bits
from engine.step import Constraint, Step
from engine.techniques.evidence import cell_has_one, house_has_no_two, houses_in_order
from engine.techniques.holdings import digits_by_cell, digits_of, digits_spread
from engine.techniques.sights import seen_by_all, sight_constraints
from engine.techniques.sparing import spare_constraints

MOST_CELLS = 5


@dataclass(frozen=True, slots=True)
class _Set:
    """Cells of a house that hold one digit (of a digit mask) more than they are.

    `places[digit]` are the digit's cells in it, `seen[digit]` the cells that see all of them.
    """

    cells: int
    size: int
    digits: int
    house: int
    places: dict[int, int]
    seen: dict[int, int]


@dataclass(frozen=True, slots=True)
class _Pair:
    first: _Set
    second: _Set
    shared: int
    goes: int
    victims: int


def find_almost_locked_pairs(grid: Grid) -> Iterator[Step]:
    """Yield each pair with something to strike that no smaller one does, by size, then cells."""
    layout = grid.layout
    struck = before = size = 0
    known: set[int] = set()
    for pair in _find_pairs(grid):
        cells = pair.first.size + pair.second.size
        if cells > size:
            before, size = struck, cells
        removes = layout.spread(pair.victims, pair.goes) & ~before
        struck |= removes
        if removes and removes not in known and not _is_of_another_kind(grid, pair):
            step = _step(grid, pair, removes)
            if spare_constraints(grid, step.constraints, removes) == step.constraints:
                known.add(removes)
                yield step


def _find_pairs(grid: Grid) -> list[_Pair]:
    """Return all pairs with something to strike, of other kinds as well, the fewest cells first."""
    layout, found = grid.layout, []
    sets = _find_sets(grid)
    for goes in layout.digits:
        bit, plane = 1 << goes - 1, grid.plane(goes)
        able = [
            (victims, each.cells, each.digits ^ bit, each)
            for each in sets
            if each.digits & bit and (victims := plane & each.seen[goes])
        ]
        for place, (victims, cells, digits, first) in enumerate(able):
            for more_victims, more_cells, more_digits, second in able[place + 1 :]:
                both = victims & more_victims
                if both and digits & more_digits and not cells & more_cells:
                    for shared in digits_of(layout, digits & more_digits):
                        if not second.places[shared] & ~first.seen[shared]:
                            found.append(_Pair(first, second, shared, goes, both))
    found.sort(
        key=lambda pair: (
            pair.first.size + pair.second.size,
            layout.cells_in(pair.first.cells | pair.second.cells),
            pair.goes,
            pair.shared,
            layout.cells_in(pair.first.cells),
        )
    )
    return found


def _find_sets(grid: Grid) -> list[_Set]:
    """Return every almost locked set once, with a box before a line for its house."""
    layout, held = grid.layout, digits_by_cell(grid)
    found: dict[int, _Set] = {}
    for house in houses_in_order(layout):
        members = [
            (1 << cell, held[cell])
            for cell in layout.cells_in(house.mask & grid.open_cells)
            if 2 <= held[cell].bit_count() <= MOST_CELLS + 1
        ]
        for cells, digits in _almost_locked(members):
            if cells not in found:
                found[cells] = _set_of(grid, cells, digits, house.index)
    return list(found.values())


def _almost_locked(members: list[tuple[int, int]]) -> Iterator[tuple[int, int]]:
    """Yield (cells, digits) of every almost locked set among (cell mask, digit mask) of a house."""
    locked: list[int] = []
    partial = [(cell, digits, place) for place, (cell, digits) in enumerate(members)]
    for size in range(1, MOST_CELLS + 1):
        for cells, digits, _ in partial:
            if digits.bit_count() == size + 1 and not any(not each & ~cells for each in locked):
                yield cells, digits
        if size < MOST_CELLS:
            partial = [
                (cells | members[place][0], union, place)
                for cells, digits, last in partial
                for place in range(last + 1, len(members))
                if (union := digits | members[place][1]).bit_count() <= MOST_CELLS + 1
            ]
            locked += [cells for cells, digits, _ in partial if digits.bit_count() <= size + 1]


def _set_of(grid: Grid, cells: int, digits: int, house: int) -> _Set:
    layout = grid.layout
    places = {digit: cells & grid.plane(digit) for digit in digits_of(layout, digits)}
    seen = {digit: seen_by_all(layout, mask) for digit, mask in places.items()}
    return _Set(cells, cells.bit_count(), digits, house, places, seen)


def _is_of_another_kind(grid: Grid, pair: _Pair) -> bool:
    """Say whether the pair lies in one house, or is an XY-wing or an XYZ-wing."""
    both = pair.first.cells | pair.second.cells
    if any(not both & ~house.mask for house in grid.layout.houses):
        return True
    if pair.first.size + pair.second.size > 3:
        return False
    single, double = sorted((pair.first, pair.second), key=lambda each: each.size)
    held = digits_by_cell(grid)
    one, other = (held[cell] for cell in grid.layout.cells_in(double.cells))
    pincer = double.digits ^ 1 << pair.shared - 1  # with the single cell the wing's two pincers
    pivots = (single.digits ^ pincer, double.digits)
    return (one == pincer and other in pivots) or (other == pincer and one in pivots)


def _step(grid: Grid, pair: _Pair, removes: int) -> Step:
    layout, goes = grid.layout, pair.goes
    first, second = pair.first, pair.second
    cells, digits = first.cells | second.cells, first.digits | second.digits
    inside: list[Constraint] = []
    for each in (first, second):
        for digit in digits_of(layout, each.digits):
            if digit not in (pair.shared, goes):
                inside.append(house_has_no_two(each.house, digit))
    ends = first.places[goes] | second.places[goes]
    victims = iterate_bits(layout.plane(removes, goes))
    constraints = (
        *(cell_has_one(cell) for cell in layout.cells_in(cells)),
        *dict.fromkeys(
            (
                *inside,
                *sight_constraints(
                    layout,
                    pair.shared,
                    layout.cells_in(first.places[pair.shared]),
                    layout.cells_in(second.places[pair.shared]),
                ),
                *sight_constraints(layout, goes, victims, layout.cells_in(ends)),
            )
        ),
    )
    return Step(
        "als-xz",
        5,
        tuple(dict.fromkeys((first.house, second.house))),
        layout.cells_in(cells),
        digits_of(layout, digits),
        grid.candidates & cells * digits_spread(layout, digits),
        removes=removes,
        constraints=constraints,
    )
