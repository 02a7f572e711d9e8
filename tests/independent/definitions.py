"""Every technique of levels 1 to 3 by its definition, found by trying all combinations.

Slow and plain on purpose: `itertools` over houses and sets of cells, no masks, no cleverness. The
definitions are those of the trade; which of two equal sights counts as one instance follows the
design (an instance does something that no smaller one of its kind inside it does, and one that lies
in a line and a box is one instance with both houses).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import combinations, permutations
from typing import TypeVar

from tests.independent.plain import Candidate, CellName, Plain, houses_around, houses_of

Item = TypeVar("Item")
Held = TypeVar("Held")


@dataclass(frozen=True)
class Instance:
    """What is found. `houses` is None where the definition names none (a naked single)."""

    cells: frozenset[CellName]
    digits: frozenset[int]
    places: frozenset[Candidate]
    removes: frozenset[Candidate]
    houses: frozenset[str] | None
    covers: frozenset[str] = frozenset()


def _single(cell: CellName, digit: int, houses: Iterable[str] | None) -> Instance:
    named = None if houses is None else frozenset(houses)
    return Instance(
        frozenset({cell}), frozenset({digit}), frozenset({(cell, digit)}), frozenset(), named
    )


def find_last_digits(position: Plain) -> Iterator[Instance]:
    """A house with one open cell."""
    found: dict[Candidate, set[str]] = {}
    for house in houses_of(position.shape):
        rest = position.open_in(house)
        if len(rest) == 1:
            (cell,) = rest
            for digit in position.candidates[cell]:
                if position.places(house, digit) == rest and not _stands_in(position, house, digit):
                    found.setdefault((cell, digit), set()).add(house)
    for (cell, digit), houses in found.items():
        yield _single(cell, digit, houses)


def find_last_threes(position: Plain) -> Iterator[Instance]:
    """Fact 6: three open cells of a house for a, b, c; two cannot be b, one of those two not c."""
    found: dict[frozenset[CellName], Instance] = {}
    for house in houses_of(position.shape):
        rest = position.open_in(house)
        if len(rest) != 3:
            continue
        digits = _waiting_in(position, house)
        for (x, y, z), (a, b, c) in (
            (cells, names) for cells in permutations(sorted(rest)) for names in permutations(digits)
        ):
            sees_b = b not in position.candidates[x] and b not in position.candidates[y]
            if not sees_b or c in position.candidates[x]:
                continue
            places = frozenset({(x, a), (y, c), (z, b)})
            if not all(position.has(place) for place in places):
                continue
            before = found.get(rest)
            houses = {house} | (set(before.houses or ()) if before else set())
            found[rest] = Instance(rest, frozenset(digits), places, frozenset(), frozenset(houses))
    yield from found.values()


def find_hidden_singles(position: Plain) -> Iterator[Instance]:
    """A digit with one place in a house."""
    found: dict[Candidate, set[str]] = {}
    for house in houses_of(position.shape):
        for digit in range(1, position.shape.size + 1):
            places = position.places(house, digit)
            if len(places) == 1:
                found.setdefault((min(places), digit), set()).add(house)
    for (cell, digit), houses in found.items():
        yield _single(cell, digit, houses)


def find_naked_singles(position: Plain) -> Iterator[Instance]:
    """A cell with one candidate."""
    for cell, digits in position.candidates.items():
        if len(digits) == 1:
            yield _single(cell, min(digits), None)


def _confined(position: Plain, from_lines: bool) -> Iterator[Instance]:
    """A digit whose places in a house (two at least) all lie in a second one of the other sort."""
    for house in houses_of(position.shape):
        if _is_box(house) == from_lines:
            continue
        for digit in range(1, position.shape.size + 1):
            places = position.places(house, digit)
            if len(places) < 2:
                continue
            for cover in _houses_with(position, places) - {house}:
                removes = {(c, digit) for c in position.places(cover, digit) - places}
                if removes and _is_box(cover) == from_lines:
                    yield Instance(
                        places,
                        frozenset({digit}),
                        frozenset(),
                        frozenset(removes),
                        frozenset({house}),
                        frozenset({cover}),
                    )


def _naked(position: Plain, size: int, locked: bool = False) -> Iterator[Instance]:
    """So many cells of a house that can hold just as many digits between them."""
    tried: set[frozenset[CellName]] = set()
    for house in houses_of(position.shape):
        for group in combinations(sorted(position.open_in(house)), size):
            cells = frozenset(group)
            if cells in tried:
                continue
            tried.add(cells)
            digits = _union(position, cells)
            if len(digits) != size:
                continue
            own = digits - held_by_smaller(cells, lambda part: _union(position, part))
            houses = _houses_with(position, cells)
            removes = {
                (c, d) for h in houses for d in digits for c in position.places(h, d) - cells
            }
            if any(d in own for _, d in removes) and (len(houses) == 2 or not locked):
                yield Instance(cells, digits, frozenset(), frozenset(removes), houses)


def _hidden(position: Plain, size: int) -> Iterator[Instance]:
    """So many digits of a house that have just as many places between them."""
    found: dict[tuple[frozenset[CellName], frozenset[int]], set[str]] = {}
    own: dict[tuple[frozenset[CellName], frozenset[int]], set[CellName]] = {}
    for house in houses_of(position.shape):
        places = {digit: position.places(house, digit) for digit in _waiting_in(position, house)}

        def places_of(
            digits: Iterable[int], places: dict[int, frozenset[CellName]] = places
        ) -> frozenset[CellName]:
            return frozenset().union(*(places[digit] for digit in digits))

        for group in combinations(sorted(places), size):
            cells = places_of(group)
            if len(cells) != size:
                continue
            fresh = cells - held_by_smaller(frozenset(group), places_of)
            if fresh:
                found.setdefault((cells, frozenset(group)), set()).add(house)
                own.setdefault((cells, frozenset(group)), set()).update(fresh)
    for (cells, digits), houses in found.items():
        removes = {(c, d) for c in cells for d in position.candidates[c] - digits}
        if any(c in own[cells, digits] for c, _ in removes):
            yield Instance(cells, digits, frozenset(), frozenset(removes), frozenset(houses))


def held_by_smaller(
    items: frozenset[Item], union_of: Callable[[frozenset[Item]], frozenset[Held]]
) -> frozenset[Held]:
    """What smaller patterns of the kind inside the items hold; all of it where a single is inside.

    A pattern is an instance of its own only for what it strikes beyond those: the worked triple
    1, 5, 6 of facts.md holds the pair 1, 5, and is one since 6 goes as well.
    """
    if any(len(union_of(frozenset({item}))) <= 1 for item in items):
        return union_of(items)
    held: frozenset[Held] = frozenset()
    for size in range(2, len(items)):
        for part in combinations(items, size):
            union = union_of(frozenset(part))
            if len(union) <= size:
                held |= union
    return held


def _union(position: Plain, cells: Iterable[CellName]) -> frozenset[int]:
    return frozenset().union(*(position.candidates[cell] for cell in cells))


def _stands_in(position: Plain, house: str, digit: int) -> bool:
    return any(position.digits.get(cell) == digit for cell in houses_of(position.shape)[house])


def _waiting_in(position: Plain, house: str) -> frozenset[int]:
    """The digits that do not stand in the house yet."""
    digits = range(1, position.shape.size + 1)
    return frozenset(digit for digit in digits if not _stands_in(position, house, digit))


def _is_box(house: str) -> bool:
    return house.startswith("box")


def _houses_with(position: Plain, cells: Iterable[CellName]) -> frozenset[str]:
    """The houses that hold all the cells."""
    return frozenset.intersection(*(houses_around(position.shape, cell) for cell in cells))


DEFINITIONS: Mapping[str, Callable[[Plain], Iterator[Instance]]] = {
    "last-digit": find_last_digits,
    "last-three": find_last_threes,
    "hidden-single": find_hidden_singles,
    "naked-single": find_naked_singles,
    "pointing": lambda position: _confined(position, from_lines=False),
    "claiming": lambda position: _confined(position, from_lines=True),
    "locked-pair": lambda position: _naked(position, 2, locked=True),
    "locked-triple": lambda position: _naked(position, 3, locked=True),
    "naked-pair": lambda position: _naked(position, 2),
    "hidden-pair": lambda position: _hidden(position, 2),
    "naked-triple": lambda position: _naked(position, 3),
    "hidden-triple": lambda position: _hidden(position, 3),
    "naked-quad": lambda position: _naked(position, 4),
    "hidden-quad": lambda position: _hidden(position, 4),
}
"""Technique id -> finder of every instance, in the order of the ladder."""

LEVELS = {
    1: ("last-digit", "last-three", "hidden-single", "naked-single"),
    2: ("pointing", "claiming"),
    3: tuple(DEFINITIONS)[6:],
}


def find_lowest_level(position: Plain) -> int | None:
    """The level at which a digit can be placed, after striking all that can be; None if at none."""
    ids: tuple[str, ...] = ()
    for level, more in LEVELS.items():
        ids += more
        reached = position
        while True:
            found = [each for technique in ids for each in DEFINITIONS[technique](reached)]
            if any(each.places for each in found):
                return level
            if not found:
                break
            reached = reached.after((), frozenset().union(*(each.removes for each in found)))
    return None
