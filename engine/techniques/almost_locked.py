"""Almost-locked-set pairs with one restricted common, or two: ALS-XZ.

An almost locked set is cells of one house that can hold one digit more than they are. Of two such
sets, apart, let every x of the one see every x of the other: then one at least does without x, and
needs all its other digits. So a digit z of both is in one of them, and goes from whatever sees all
its places in both: of which there is something that no pair of fewer cells strikes. How many cells
there are to count is part of how hard a pair is to see: those of more than MOST_IN_ALL are a
technique of their own.

Where all that holds of two digits x and y, neither set can do without both: the one holds x and the
other y, and each needs all its further digits. So x and y go from what sees all their places in
both, and any other digit of a set from what sees all its places there: in one step.

Sets have up to MOST_CELLS cells and hold no naked subset. Two sets in the same house are a naked
subset, and three cells in all can be an XY-wing or XYZ-wing: these are left to those techniques.
Where less would do (some of their cells are a naked subset, or a larger set) there is no step.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import combinations

from engine.board.grid import Grid
from engine.board.layout import House, Layout, iterate_bits
from engine.board.step import CellConstraint, Constraint, Step
from engine.inference.candidate_index import (
    HOUSES_KEPT,
    POSITIONS_KEPT,
    digits_by_cell,
    digits_of,
    digits_spread,
)
from engine.inference.evidence import cell_has_one, house_has_no_two, houses_in_order
from engine.inference.minimal_evidence import spare_constraints
from engine.inference.visibility import seen_by_all, sight_constraints

MOST_CELLS = 5
FEWEST_IN_ALL, MOST_IN_ALL = 2, 5
"""Cells of both sets of a pair that is not called large."""


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
    """`shared`: one digit that links the sets, or two. `struck`: (digit, victims, its places that
    all of them see)."""

    first: _Set
    second: _Set
    shared: tuple[int, ...]
    struck: tuple[tuple[int, int, int], ...]

    @property
    def is_double(self) -> bool:
        """Whether two digits link the sets."""
        return len(self.shared) == 2

    @property
    def cells(self) -> int:
        """The cells of both sets."""
        return self.first.cells | self.second.cells

    def removes(self, layout: Layout) -> int:
        """Return what the pair strikes."""
        removes = 0
        for digit, victims, _ in self.struck:
            removes |= layout.spread(victims, digit)
        return removes


def _finder(technique: str, level: int, fewest: int, most: int) -> Callable[[Grid], Iterator[Step]]:
    """Return the finder of pairs of so many cells: each with something to strike that no smaller
    one does, by size, then cells."""

    def find(grid: Grid) -> Iterator[Step]:
        known: set[int] = set()
        by_two: dict[int, int] = {}
        for size in range(fewest, most + 1):
            for pair, removes in _pairs_of(grid, size)[0]:
                is_told = removes in known or not removes & ~by_two.get(pair.cells, 0)
                if is_told or _is_of_another_kind(grid, pair):
                    continue
                step = _step(grid, pair, removes, technique, level)
                if step is not None:
                    known.add(removes)
                    if pair.is_double:
                        by_two[pair.cells] = by_two.get(pair.cells, 0) | removes
                    yield step

    return find


find_almost_locked_pairs = _finder("als-xz", 5, FEWEST_IN_ALL, MOST_IN_ALL)
find_large_pairs = _finder("large-als-xz", 6, MOST_IN_ALL + 1, 2 * MOST_CELLS)


_Order = tuple[tuple[int, ...], int, tuple[int, ...], tuple[int, ...]]


def _order(layout: Layout, pair: _Pair) -> _Order:
    """Return what pairs are told by: their cells, of the same cells those linked by two first."""
    goes = 0 if pair.is_double else pair.struck[0][0]
    return layout.cells_in(pair.cells), goes, pair.shared, layout.cells_in(pair.first.cells)


@lru_cache(maxsize=POSITIONS_KEPT * 2 * MOST_CELLS)
def _pairs_of(grid: Grid, size: int) -> tuple[tuple[tuple[_Pair, int], ...], int]:
    """Return (pair, what it strikes) of so many cells, of other kinds as well, by cells; and all
    that pairs of up to so many strike. Each strikes something that none of fewer does."""
    if size < FEWEST_IN_ALL:
        return (), 0
    layout, (_, before) = grid.layout, _pairs_of(grid, size - 1)
    struck, fresh = before, []
    for pair in _find_pairs(layout, _sets_of(grid), size, before):
        removes = pair.removes(layout)
        if removes & ~before:
            struck |= removes
            fresh.append((_order(layout, pair), pair, removes))
    fresh.sort(key=lambda each: each[0])
    return tuple([(pair, removes) for _, pair, removes in fresh]), struck


def _find_pairs(layout: Layout, sets: _Sets, size: int, struck: int) -> Iterator[_Pair]:
    """Yield the pairs of so many cells, but those linked by one digit that strike nothing fresh.

    They are looked for from the smaller set, or the first of two that are as large.
    """
    fresh = [0, *(~layout.plane(struck, digit) for digit in layout.digits)]
    found, ways = sets.found, sets.ways
    for place, each in enumerate(found):
        if 2 * each.size > size or size - each.size not in sets.of_size:
            continue
        wanted = sets.of_size[size - each.size] & ~_union(sets.holding, each.cells)
        if 2 * each.size == size:
            wanted &= -2 << place
        linked: dict[int, int] = {}
        for shared, reach in each.reach.items():
            fitting = wanted & ways[shared].linked(reach)
            if not fitting:
                continue
            for other, others in linked.items():
                for index in iterate_bits(fitting & others):
                    yield _double(*_in_order(found, place, index), (other, shared))
            linked[shared] = fitting
            for goes, victims in each.reach.items():
                if goes != shared and (victims := victims & fresh[goes]):
                    for index in iterate_bits(fitting & ways[goes].joined(victims)):
                        yield _single(*_in_order(found, place, index), shared, goes)


def _in_order(found: Sequence[_Set], one: int, other: int) -> tuple[_Set, _Set]:
    return found[min(one, other)], found[max(one, other)]


def _single(first: _Set, second: _Set, shared: int, goes: int) -> _Pair:
    return _Pair(first, second, (shared,), (_from_both(first, second, goes),))


def _double(first: _Set, second: _Set, shared: tuple[int, int]) -> _Pair:
    struck = [_from_both(first, second, digit) for digit in shared]
    for one, other in ((first, second), (second, first)):
        for digit, reach in one.reach.items():
            if digit not in shared:
                struck.append((digit, reach & ~other.cells, one.places[digit]))
    return _Pair(first, second, shared, tuple(struck))


def _from_both(first: _Set, second: _Set, digit: int) -> tuple[int, int, int]:
    victims = first.reach[digit] & second.reach[digit]
    return digit, victims, first.places[digit] | second.places[digit]


class _Ways:
    """How the sets (a bit for each) hold one digit: which has it where, and what it can strike."""

    __slots__ = ("_joined", "_linked", "_places", "_reaches")

    def __init__(self, places: dict[int, int], reaches: dict[int, int]) -> None:
        self._places, self._reaches = places, reaches
        self._linked: dict[int, int] = {}
        self._joined: dict[int, int] = {}

    def linked(self, reach: int) -> int:
        """Return the sets whose places all lie within `reach`."""
        known = self._linked.get(reach)
        if known is None:
            known = 0
            for places, bits in self._places.items():
                if places & reach == places:
                    known |= bits
            self._linked[reach] = known
        return known

    def joined(self, reach: int) -> int:
        """Return the sets whose reach shares some of this one."""
        known = self._joined.get(reach)
        if known is None:
            known = 0
            for other, bits in self._reaches.items():
                if other & reach:
                    known |= bits
            self._joined[reach] = known
        return known


def _by_cell(bits_of: dict[int, int]) -> dict[int, int]:
    """Return for each cell (its bit) what belongs to the masks with it."""
    found: dict[int, int] = {}
    for cells, bits in bits_of.items():
        while cells:
            low = cells & -cells
            cells ^= low
            found[low] = found.get(low, 0) | bits
    return found


def _union(bits: dict[int, int], cells: int) -> int:
    union = 0
    while cells:
        low = cells & -cells
        cells ^= low
        union |= bits[low]
    return union


@dataclass(frozen=True, slots=True, eq=False)
class _Sets:
    """The almost locked sets of a position. In the masks one bit stands for each: of those of a
    size, of those with a cell (its bit). `ways[digit]` tells how sets hold the digit."""

    found: tuple[_Set, ...]
    of_size: dict[int, int]
    holding: dict[int, int]
    ways: tuple[_Ways, ...]


@lru_cache(maxsize=POSITIONS_KEPT)
def _sets_of(grid: Grid) -> _Sets:
    found = tuple(_find_sets(grid))
    of_size: dict[int, int] = {}
    places: list[dict[int, int]] = [{} for _ in range(grid.layout.size + 1)]
    reaches: list[dict[int, int]] = [{} for _ in range(grid.layout.size + 1)]
    for place, each in enumerate(found):
        bit = 1 << place
        of_size[each.size] = of_size.get(each.size, 0) | bit
        for digit, reach in each.reach.items():
            own, held, seen = each.places[digit], places[digit], reaches[digit]
            held[own] = held.get(own, 0) | bit
            seen[reach] = seen.get(reach, 0) | bit
    holding = _by_cell({each.cells: 1 << place for place, each in enumerate(found)})
    return _Sets(found, of_size, holding, tuple(map(_Ways, places, reaches)))


def _find_sets(grid: Grid) -> Iterator[_Set]:
    """Yield once every almost locked set that can be part of a pair, its house a box first."""
    layout, held = grid.layout, digits_by_cell(grid)
    planes = [0, *map(grid.plane, layout.digits)]
    seen: set[int] = set()
    for house in houses_in_order(layout):
        members = [cell for cell in house.cells if 2 <= held[cell].bit_count() <= MOST_CELLS + 1]
        for numbers, digits in _almost_locked(tuple([held[cell] for cell in members])):
            cells = 0
            for number in numbers:
                cells |= 1 << members[number]
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
                yield _Set(cells, len(numbers), digits, house, places, reach)


@lru_cache(maxsize=HOUSES_KEPT)
def _almost_locked(held: tuple[int, ...]) -> tuple[tuple[tuple[int, ...], int], ...]:
    """Return (numbers of the cells, digits) of every almost locked set among cells that hold these.

    None that holds a naked subset. By size, then in the order of the cells.
    """
    unions = [0]
    for digits in held:
        unions += [union | digits for union in unions]
    found = []
    locked: list[int] = []
    for choice, size, numbers in _choices(len(held)):
        count = unions[choice].bit_count()
        if count <= size:
            locked.append(choice)
        elif count == size + 1 and not any(not part & ~choice for part in locked):
            found.append((numbers, unions[choice]))
    return tuple(found)


@cache
def _choices(count: int) -> tuple[tuple[int, int, tuple[int, ...]], ...]:
    """Return (mask, size, numbers) of each choice of so many cells, from one to MOST_CELLS."""
    return tuple(
        (sum(1 << number for number in numbers), size, numbers)
        for size in range(1, MOST_CELLS + 1)
        for numbers in combinations(range(count), size)
    )


def _overlap(pair: _Pair) -> bool:
    """Say whether a digit that one set's house settles has a place of the other set there too.

    Only then can less than the two sets do, such as a naked subset of cells of both.
    """
    return any(
        mask & one.house.mask
        for one, other in ((pair.first, pair.second), (pair.second, pair.first))
        for digit, mask in other.places.items()
        if digit in one.places and digit not in (*pair.shared, pair.struck[0][0])
    )


def _is_of_another_kind(grid: Grid, pair: _Pair) -> bool:
    """Say whether the pair lies in one house, or is an XY-wing or an XYZ-wing."""
    if any(not pair.cells & ~house.mask for house in grid.layout.houses):
        return True
    if pair.is_double or pair.first.size + pair.second.size > 3:
        return False
    single, double = sorted((pair.first, pair.second), key=lambda each: each.size)
    held = digits_by_cell(grid)
    one, other = (held[cell] for cell in grid.layout.cells_in(double.cells))
    pincer = double.digits ^ 1 << pair.shared[0] - 1  # with the single cell the wing's two pincers
    pivots = (single.digits ^ pincer, double.digits)
    return (one == pincer and other in pivots) or (other == pincer and one in pivots)


def _step(grid: Grid, pair: _Pair, removes: int, technique: str, level: int) -> Step | None:
    """Return the step; None where less than the two sets would do."""
    layout = grid.layout
    first, second = pair.first, pair.second
    digits = first.digits | second.digits
    apart = pair.shared if pair.is_double else (*pair.shared, pair.struck[0][0])
    needed: list[Constraint] = [cell_has_one(cell) for cell in layout.cells_in(pair.cells)]
    for each in (first, second):
        for digit in digits_of(layout, each.digits):
            if digit not in apart:
                needed.append(house_has_no_two(each.house.index, digit))
    for digit in pair.shared:
        ends = [layout.cells_in(each.places[digit]) for each in (first, second)]
        needed += sight_constraints(layout, digit, ends[0], ends[1])
    for digit, victims, sources in pair.struck:
        needed += sight_constraints(layout, digit, iterate_bits(victims), layout.cells_in(sources))
    constraints = tuple(dict.fromkeys(needed))
    if pair.is_double:
        constraints = _once_each(grid, pair, constraints, removes)
    elif _overlap(pair) and spare_constraints(grid, constraints, removes) != constraints:
        return None
    if not constraints:
        return None
    return Step(
        technique,
        level,
        tuple(dict.fromkeys((first.house.index, second.house.index))),
        layout.cells_in(pair.cells),
        digits_of(layout, digits),
        grid.candidates & pair.cells * digits_spread(layout, digits),
        removes=removes,
        constraints=constraints,
    )


def _once_each(
    grid: Grid, pair: _Pair, constraints: tuple[Constraint, ...], removes: int
) -> tuple[Constraint, ...]:
    """Return the constraints with those that keep a linking digit from standing twice in one set,
    where that does not follow; nothing where less than the two sets would do."""
    once = (
        house_has_no_two(each.house.index, digit)
        for each in (pair.first, pair.second)
        for digit in pair.shared
    )
    kept = spare_constraints(grid, tuple(dict.fromkeys((*constraints, *once))), removes)
    is_whole = all(each in kept for each in constraints if isinstance(each, CellConstraint))
    return kept if is_whole else ()
