"""What a hint could have been instead: every single step at a position, and how hard a single is.

Techniques of levels 1 to 5 are found by their plain definitions; chains and almost-locked pairs by
searches of their own, with all that an instance strikes. What strikes only what smaller ones of its
kind do is no instance, as the design says: for each candidate the shortest count.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import cache
from itertools import combinations

from tests.independent.definitions import DEFINITIONS, find_hidden_singles
from tests.independent.higher import EXACT
from tests.independent.plain import Candidate, CellName, Plain, Shape, cells_of, houses_of, peers_of
from tests.independent.shortest_chains import (
    Strike,
    find_remote_pairs,
    find_x_chains,
    find_xy_chains,
    opens,
)
from tests.independent.shortest_inference import find_inference_chains

Finder = Callable[[Plain, int], Iterator[Strike]]
"""Yields what instances of at most so many cells or links strike."""


# --- singles ---


def bars_of(position: Plain, house: str, cell: CellName, digit: int) -> tuple[int, int]:
    """(cells of the house in which the digit was only struck, fewest lines that bar the rest).

    A line is a row, a column or a box in which the digit stands.
    """
    rest = position.open_in(house) - {cell}
    standing = [
        cells & rest
        for cells in houses_of(position.shape).values()
        if any(position.digits.get(other) == digit for other in cells)
    ]
    seen = frozenset[CellName]().union(*standing)
    for count in range(len(rest) + 1):
        for chosen in combinations({each for each in standing if each}, count):
            if seen <= frozenset[CellName]().union(*chosen):
                return len(rest - seen), count
    raise AssertionError("the lines that bar the rest bar it")


def easiest_bars(position: Plain) -> tuple[int, int] | None:
    """The least that it takes to see any hidden single; None where there is none."""
    return min(
        (
            bars_of(position, house, cell, digit)
            for each in find_hidden_singles(position)
            for cell, digit in each.places
            for house in each.houses or ()
        ),
        default=None,
    )


def has_hidden_single_in_a_box(position: Plain) -> bool:
    return any(
        house.startswith("box")
        for each in find_hidden_singles(position)
        for house in each.houses or ()
    )


# --- almost-locked pairs, smallest first ---


@cache
def _peer_masks(shape: Shape) -> Mapping[CellName, int]:
    number = {cell: place for place, cell in enumerate(cells_of(shape))}
    return {cell: sum(1 << number[each] for each in peers_of(shape, cell)) for cell in number}


Places = dict[int, tuple[int, int]]
"""digit -> (its cells in a set, the cells that see all of these), as masks by cell number."""


def _holds_naked_subset(position: Plain, cells: Iterable[CellName]) -> bool:
    every = tuple(cells)
    return any(
        len(frozenset[int]().union(*(position.candidates[cell] for cell in part))) <= len(part)
        for size in range(2, len(every))
        for part in combinations(every, size)
    )


def _almost_locked_sets(position: Plain, largest: int) -> Iterator[tuple[int, int, Places]]:
    """(cells, their number, places) of all sets of cells of a house with one digit more, but those
    that hold a naked subset. Such a set is two ideas, of which the lower is told first: once the
    subset has struck, a smaller set does the same."""
    number = {cell: place for place, cell in enumerate(cells_of(position.shape))}
    peers, known = _peer_masks(position.shape), set()
    for house in houses_of(position.shape):
        for size in range(1, largest + 1):
            for cells in combinations(sorted(position.open_in(house)), size):
                digits = frozenset[int]().union(*(position.candidates[cell] for cell in cells))
                if len(digits) != size + 1 or cells in known:
                    continue
                known.add(cells)
                if _holds_naked_subset(position, cells):
                    continue
                places: Places = {}
                for digit in digits:
                    own = [cell for cell in cells if digit in position.candidates[cell]]
                    common = -1
                    for cell in own:
                        common &= peers[cell]
                    places[digit] = (sum(1 << number[cell] for cell in own), common)
                yield sum(1 << number[cell] for cell in cells), size, places


def find_almost_locked(position: Plain, most: int) -> Iterator[Strike]:
    """Two sets apart, all places of x in the one seeing all in the other: z goes from what sees
    all its places in both; linked so by two digits, any other of one set goes from what sees all
    its places there. Sets have five cells at most, as the engine says too."""
    cells = cells_of(position.shape)
    planes = {
        digit: sum(
            1 << place
            for place, cell in enumerate(cells)
            if digit in position.candidates.get(cell, ())
        )
        for digit in range(1, position.shape.size + 1)
    }
    sets = list(_almost_locked_sets(position, min(5, most - 1)))
    for (one, size, first), (other, other_size, second) in combinations(sets, 2):
        if one & other or size + other_size > most:
            continue
        shared = first.keys() & second.keys()
        if len(shared) < 2:
            continue
        linking = {x for x in shared if not second[x][0] & ~first[x][1]}
        seen_by = {(z, first[z][1] & second[z][1]) for z in shared if linking - {z}}
        if len(linking) > 1:
            for held in (first, second):
                seen_by |= {(z, held[z][1]) for z in held.keys() - linking}
        for z, around in seen_by:
            seen = planes[z] & around & ~(one | other)
            if seen:
                names = (cells[place] for place in range(len(cells)) if seen >> place & 1)
                yield size + other_size, frozenset((cell, z) for cell in names)


# --- by technique ---


def _by_definition(technique: str) -> Finder:
    find = {**DEFINITIONS, **EXACT}[technique]

    def strikes(position: Plain, _: int) -> Iterator[Strike]:
        for each in find(position):
            yield len(each.cells), each.removes or each.places

    return strikes


FINDERS: Mapping[str, Finder] = {
    **{technique: _by_definition(technique) for technique in (*DEFINITIONS, *EXACT)},
    "remote-pair": find_remote_pairs,
    "x-chain": find_x_chains,
    "xy-chain": find_xy_chains,
    "als-xz": find_almost_locked,
    "long-xy-chain": find_xy_chains,
    "large-als-xz": find_almost_locked,
    "alternating-inference-chain": find_inference_chains,
}
"""Technique id -> the search for what its instances strike, up to a size."""

LONGEST = {
    "remote-pair": 12,
    "x-chain": 13,
    "xy-chain": 6,
    "als-xz": 5,
    "long-xy-chain": 12,
    "large-als-xz": 10,
    "alternating-inference-chain": 15,
}
"""How far is looked: the whole technique but for the longest chains of level 6."""
PLACES = "bug-plus-one"
"""It settles a cell, and needs to strike nothing for it."""


def opening_sizes(technique: str, position: Plain, longest: int) -> Iterator[int]:
    """Yield the size of each instance of at most that size that opens a placement by itself."""
    if technique not in LONGEST:
        for size, struck in FINDERS[technique](position, longest):
            if technique == PLACES or opens(position, struck):
                yield size
        return
    by_size: dict[int, list[frozenset[Candidate]]] = {}
    for size, struck in FINDERS[technique](position, longest):
        by_size.setdefault(size, []).append(struck)
    smaller = frozenset[Candidate]()
    for size, strikes in sorted(by_size.items()):
        if any(struck - smaller and opens(position, struck) for struck in strikes):
            yield size
        smaller = smaller.union(*strikes)
