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
from engine.layout import House, Layout, iterate_bits
from engine.step import Constraint, Step
from engine.techniques.evidence import cell_has_one, house_has_no_two, houses_in_order
from engine.techniques.holdings import digits_by_cell, digits_of, digits_spread
from engine.techniques.sights import seen_by_all, sight_constraints
from engine.techniques.sparing import spare_constraints

MOST_CELLS = 5


@dataclass(frozen=True, slots=True, eq=False)
class _Set:
    """Cells of a house that hold one digit (of a digit mask) more than they are.

    `places[digit]` are the digit's cells in it; `reach[digit]` the further places for the digit
    that see all of them, where there are any.
    """

    cells: int
    size: int
    digits: int
    house: House
    places: dict[int, int]
    reach: dict[int, int]


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
    struck = 0
    known: set[int] = set()
    for pairs in _find_pairs(grid):
        before, fresh = struck, []
        for pair in pairs:
            removes = layout.spread(pair.victims, pair.goes) & ~before
            if removes:
                struck |= removes
                fresh.append((_order(layout, pair), pair, removes))
        fresh.sort(key=lambda each: each[0])
        for _, pair, removes in fresh:
            if removes not in known and not _is_of_another_kind(grid, pair):
                step = _step(grid, pair, removes)
                if not _overlap(pair) or not _has_spares(grid, step):
                    known.add(removes)
                    yield step


def _order(layout: Layout, pair: _Pair) -> tuple[tuple[int, ...], int, int, tuple[int, ...]]:
    cells = layout.cells_in(pair.first.cells | pair.second.cells)
    return cells, pair.goes, pair.shared, layout.cells_in(pair.first.cells)


def _find_pairs(grid: Grid) -> list[list[_Pair]]:
    """Return all pairs with something to strike, of other kinds as well, by their number of cells.

    Which sets go with one is found for all of them together: one bit stands for each.
    """
    sets = _find_sets(grid)
    found: list[list[_Pair]] = [[] for _ in range(2 * MOST_CELLS + 1)]
    holding = [0] * grid.layout.cell_count
    ways: dict[tuple[int, int], int] = {}
    for place, each in enumerate(sets):
        for cell in iterate_bits(each.cells):
            holding[cell] |= 1 << place
        for way in each.reach.items():
            ways[way] = ways.get(way, 0) | 1 << place
    linked, struck = _sets_by_way(grid, holding, ways)
    for place, first in enumerate(sets):
        later = -2 << place & ~_union(holding, first.cells)
        for way in first.reach.items():
            partners = later & linked[way]
            if not partners:
                continue
            for goes, victims in first.reach.items():
                if goes == way[0]:
                    continue
                for index in iterate_bits(partners & struck[goes, victims]):
                    second = sets[index]
                    pair = _Pair(first, second, way[0], goes, victims & second.reach[goes])
                    found[first.size + second.size].append(pair)
    return found


def _sets_by_way(
    grid: Grid, holding: list[int], ways: dict[tuple[int, int], int]
) -> tuple[dict[tuple[int, int], int], dict[tuple[int, int], int]]:
    """Return for each (digit, reach) the sets with all their places in it; those that share reach.

    `holding` has for each cell the sets that it belongs to, `ways` for each (digit, reach) its own.
    """
    able = [0] * (grid.layout.size + 1)
    reaching = [[0] * grid.layout.cell_count for _ in able]
    for (digit, reach), own in ways.items():
        able[digit] |= own
        cells = reaching[digit]
        for cell in iterate_bits(reach):
            cells[cell] |= own
    linked, struck = {}, {}
    for digit, reach in ways:
        out_of_sight = _union(holding, grid.plane(digit) & ~reach)
        linked[digit, reach] = able[digit] & ~out_of_sight
        struck[digit, reach] = _union(reaching[digit], reach)
    return linked, struck


def _union(masks: list[int], cells: int) -> int:
    union = 0
    for cell in iterate_bits(cells):
        union |= masks[cell]
    return union


def _find_sets(grid: Grid) -> list[_Set]:
    """Return once every almost locked set that can be part of a pair, its house a box first."""
    layout, held = grid.layout, digits_by_cell(grid)
    planes = [0, *map(grid.plane, layout.digits)]
    seen: set[int] = set()
    found = []
    for house in houses_in_order(layout):
        members = [
            (1 << cell, held[cell])
            for cell in layout.cells_in(house.mask & grid.open_cells)
            if 2 <= held[cell].bit_count() <= MOST_CELLS + 1
        ]
        for cells, digits in _almost_locked(members):
            if cells in seen:
                continue
            seen.add(cells)
            places, reach = {}, {}
            for digit in digits_of(layout, digits):
                places[digit] = own = cells & planes[digit]
                beyond = planes[digit] & seen_by_all(layout, own)
                if beyond:
                    reach[digit] = beyond
            if len(reach) > 1:
                found.append(_Set(cells, cells.bit_count(), digits, house, places, reach))
    return found


def _almost_locked(members: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """Return (cells, digits) of every almost locked set among (cell mask, digit mask) of a house.

    None that holds a naked subset.
    """
    found: list[tuple[int, int]] = []
    locked: list[int] = []
    partial = [(cell, digits, place) for place, (cell, digits) in enumerate(members, start=1)]
    for size in range(1, MOST_CELLS + 1):
        almost = [(cells, digits) for cells, digits, _ in partial if digits.bit_count() == size + 1]
        if locked:
            almost = [each for each in almost if all(mask & ~each[0] for mask in locked)]
        found += almost
        if size < MOST_CELLS:
            partial = [
                (cells | members[place][0], union, place + 1)
                for cells, digits, start in partial
                for place in range(start, len(members))
                if (union := digits | members[place][1]).bit_count() <= MOST_CELLS + 1
            ]
            locked += [cells for cells, digits, _ in partial if digits.bit_count() <= size + 1]
    return found


def _overlap(pair: _Pair) -> bool:
    """Say whether a digit that one set's house settles has a place of the other set there too.

    Only then can less than the two sets do, such as a naked subset of cells of both.
    """
    return any(
        mask & one.house.mask
        for one, other in ((pair.first, pair.second), (pair.second, pair.first))
        for digit, mask in other.places.items()
        if digit in one.places and digit not in (pair.shared, pair.goes)
    )


def _has_spares(grid: Grid, step: Step) -> bool:
    return spare_constraints(grid, step.constraints, step.removes) != step.constraints


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
                inside.append(house_has_no_two(each.house.index, digit))
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
        tuple(dict.fromkeys((first.house.index, second.house.index))),
        layout.cells_in(cells),
        digits_of(layout, digits),
        grid.candidates & cells * digits_spread(layout, digits),
        removes=removes,
        constraints=constraints,
    )
