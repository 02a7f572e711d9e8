"""What the single-digit techniques share: places as masks, conjugate pairs, and how a step is made.

Which digit it is makes no difference to such a pattern, and from one position to the next most
digits keep their places: so patterns are found for a cell mask (a *plane*), once, and made into
steps of a digit afterwards. Nothing here knows a technique.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache

from engine.board.grid import Grid
from engine.board.layout import House, Layout, iterate_bits
from engine.board.step import Bound, Constraint, HouseConstraint, Link, LinkKind, Node, Step
from engine.inference.candidate_index import PLANES_KEPT, POSITIONS_KEPT
from engine.inference.evidence import house_has_no_two, house_has_one
from engine.inference.minimal_evidence import spare_constraints
from engine.inference.prefilter import doomed_places

CellLink = tuple[int, int, LinkKind]
"""A link of one digit: (cell mask of the first end, of the second, kind)."""


@dataclass(frozen=True, slots=True)
class Sight:
    """A pattern of one digit, whichever that is; its fields are those of `Step`, for cells alone.

    `cells` and `victims` are cell masks; `least` and `most` the indices of the houses that hold
    the digit at least, at most, once.
    """

    houses: tuple[int, ...]
    cells: int
    victims: int
    least: tuple[int, ...]
    most: tuple[int, ...]
    covers: tuple[int, ...] = ()
    chains: tuple[tuple[CellLink, ...], ...] = ()
    variant: str = ""


def finder(
    technique: str, level: int, find_sights: Callable[[Layout, int], Iterable[Sight]]
) -> Callable[[Grid], Iterator[Step]]:
    """Return the `find` of a single-digit technique: by digit, then in the order of sights.

    `find_sights` is not asked about a digit that no such technique can strike anywhere.
    """

    def find(grid: Grid) -> Iterator[Step]:
        layout = grid.layout
        for digit, plane in _doomed_planes(grid):
            for sight in find_sights(layout, plane):
                yield _step(technique, level, layout, digit, sight)

    return find


@lru_cache(maxsize=POSITIONS_KEPT)
def _doomed_planes(grid: Grid) -> tuple[tuple[int, int], ...]:
    """Return (digit, its places) of each digit that a single-digit technique can strike at all."""
    layout = grid.layout
    planes = ((digit, layout.plane(grid.candidates, digit)) for digit in layout.digits)
    return tuple([each for each in planes if each[1] and doomed_places(layout, each[1])])


def _step(technique: str, level: int, layout: Layout, digit: int, sight: Sight) -> Step:
    constraints: list[Constraint] = [house_has_one(house, digit) for house in sight.least]
    constraints += [house_has_no_two(house, digit) for house in sight.most]

    def node(cells: int) -> Node:
        return Node(layout.cells_in(cells), digit)

    return Step(
        technique,
        level,
        sight.houses,
        layout.cells_in(sight.cells),
        (digit,),
        layout.spread(sight.cells, digit),
        removes=layout.spread(sight.victims, digit),
        constraints=tuple(constraints),
        covers=sight.covers,
        chains=tuple(
            tuple(Link(node(first), node(second), kind) for first, second, kind in line)
            for line in sight.chains
        ),
        variant=sight.variant,
    )


@dataclass(frozen=True, slots=True, eq=False)
class Pair:
    """A conjugate pair: the only two places of a digit in each of `houses`, boxes first."""

    low: int
    high: int
    mask: int
    houses: tuple[House, ...]

    @property
    def ways(self) -> tuple[tuple[int, int], tuple[int, int]]:
        """The two directions in which its strong link can be walked."""
        return (self.low, self.high), (self.high, self.low)


@lru_cache(maxsize=PLANES_KEPT)
def conjugate_pairs(layout: Layout, plane: int) -> tuple[Pair, ...]:
    """Return every conjugate pair once, with all houses that make it one, lowest cells first."""
    found: dict[int, tuple[House, ...]] = {}
    for house in reversed(layout.houses):
        places = plane & house.mask
        if places.bit_count() == 2:
            found[places] = (*found.get(places, ()), house)
    pairs = []
    for mask, houses in found.items():
        low, high = iterate_bits(mask)
        pairs.append(Pair(low, high, mask, houses))
    return tuple(sorted(pairs, key=lambda pair: (pair.low, pair.high)))


def partners_by_cell(pairs: Iterable[Pair]) -> dict[int, int]:
    """Return for each cell of a pair the cell mask of its partners."""
    partners: dict[int, int] = {}
    for pair in pairs:
        partners[pair.low] = partners.get(pair.low, 0) | 1 << pair.high
        partners[pair.high] = partners.get(pair.high, 0) | 1 << pair.low
    return partners


def shared_houses(layout: Layout, cells: int) -> tuple[House, ...]:
    """Return the houses that hold all of a cell mask, boxes before lines."""
    first = (cells & -cells).bit_length() - 1
    return tuple(house for house in layout.houses_of[first][::-1] if not cells & ~house.mask)


def seen_by(layout: Layout, cells: int) -> int:
    """Return the cell mask of all that some cell of the mask sees."""
    seen = 0
    for cell in iterate_bits(cells):
        seen |= layout.peers[cell]
    return seen


def sighting_houses(layout: Layout, end: int, victims: int, cited: Iterable[int]) -> list[int]:
    """Return houses by which the cell `end` sees all the victims, beyond those cited already."""
    houses = layout.houses_of[end]
    cited_houses = set(cited)
    for house in houses:
        if house.index in cited_houses:
            victims &= ~house.mask
    chosen = []
    while victims:
        best = max(houses, key=lambda house: (victims & house.mask).bit_count())
        chosen.append(best.index)
        victims &= ~best.mask
    return chosen


def without_spares(
    layout: Layout,
    plane: int,
    least: Iterable[int],
    most: Iterable[int],
    victims: int,
    guesses: Iterable[int] = (),
) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Return the houses of both bounds without those that the victims' fall can spare.

    A guess is a mask of cells that hold the digit at once (see `spare_constraints`).
    """
    alone = Grid(layout, 0, layout.spread(plane, 1))
    constraints = (
        *(house_has_one(house, 1) for house in dict.fromkeys(least)),
        *(house_has_no_two(house, 1) for house in dict.fromkeys(most)),
    )
    kept = spare_constraints(alone, constraints, layout.spread(victims, 1), guesses)
    houses: dict[Bound, list[int]] = {Bound.AT_LEAST_ONE: [], Bound.AT_MOST_ONE: []}
    for constraint in kept:
        assert isinstance(constraint, HouseConstraint)
        houses[constraint.bound].append(constraint.house)
    return tuple(houses[Bound.AT_LEAST_ONE]), tuple(houses[Bound.AT_MOST_ONE])


def told_in_turn(cells: Iterable[int], first: LinkKind) -> tuple[CellLink, ...]:
    """Return the links from each cell to the next, strong and weak in turn."""
    masks = [1 << cell for cell in cells]
    kinds = (first, LinkKind.WEAK if first is LinkKind.STRONG else LinkKind.STRONG)
    return tuple(
        (one, other, kinds[place % 2])
        for place, (one, other) in enumerate(itertools.pairwise(masks))
    )


@lru_cache(maxsize=PLANES_KEPT)
def crossings(layout: Layout, plane: int) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Return for each row the mask of its places' columns (bit 0 is column 1), then the reverse."""
    size = layout.size
    whole = (1 << size) - 1
    rows = tuple(plane >> size * row & whole for row in range(size))
    columns = [0] * size
    for number, row in enumerate(rows):
        while row:
            column = row.bit_length() - 1
            row ^= 1 << column
            columns[column] |= 1 << number
    return rows, tuple(columns)


def lines_in(lines: tuple[House, ...], numbers: int) -> tuple[House, ...]:
    """Return the rows (or columns) of a mask of their numbers (bit 0 is number 1)."""
    return tuple(lines[number] for number in iterate_bits(numbers))
