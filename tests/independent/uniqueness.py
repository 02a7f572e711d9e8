"""Rectangles and the grid of pairs that a puzzle with one solution cannot end in.

If four open cells in two rows, two columns and two boxes held only a and b, exchanging them would
give a second solution. So one of the four holds something else. Likewise for any set of open cells
with two candidates each, in which every house has each digit twice or not at all. A filled cell
that is no given counts as one that can hold just its digit.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cache
from itertools import combinations, permutations

from tests.independent.definitions import Instance, held_by_smaller
from tests.independent.plain import (
    Candidate,
    CellName,
    Plain,
    Shape,
    houses_around,
    houses_of,
    peers_of,
)

Corners = tuple[CellName, CellName, CellName, CellName]


def is_exchangeable(shape: Shape, cells: frozenset[CellName]) -> bool:
    """Whether every house has none or two of the four cells: then two digits can be exchanged."""
    return all(len(house & cells) in (0, 2) for house in houses_of(shape).values())


@cache
def rectangles_of(shape: Shape) -> tuple[Corners, ...]:
    """Four cells in two rows and two columns, in the order a b / d c, that can be exchanged."""
    rows, columns = (
        [cells for house, cells in houses_of(shape).items() if house.startswith(kind)]
        for kind in ("row", "column")
    )
    rings = (
        (min(top & left), min(top & right), min(bottom & right), min(bottom & left))
        for top, bottom in combinations(rows, 2)
        for left, right in combinations(columns, 2)
    )
    return tuple(ring for ring in rings if is_exchangeable(shape, frozenset(ring)))


def find_rectangles(position: Plain) -> Iterator[tuple[Corners, frozenset[int]]]:
    """Each rectangle of open cells, and a pair of digits that all four can hold."""
    for corners in rectangles_of(position.shape):
        if all(cell in position.candidates for cell in corners):
            common = frozenset.intersection(*(position.candidates[cell] for cell in corners))
            for pair in combinations(sorted(common), 2):
                yield corners, frozenset(pair)


def _found(
    corners: Corners,
    cells: Iterable[CellName],
    digits: Iterable[int],
    removes: Iterable[Candidate],
) -> Instance:
    pattern = frozenset(corners) | frozenset(cells)
    return Instance(pattern, frozenset(digits), frozenset(), frozenset(removes), None)


def find_unique_rectangles(position: Plain) -> Iterator[tuple[str, Instance]]:
    """(`type-1` to `type-4` or `type-6`, instance)."""
    for corners, pair in find_rectangles(position):
        extra = {c: position.candidates[c] - pair for c in corners}
        roof = [c for c in corners if extra[c]]
        if len(roof) == 1:
            yield "type-1", _found(corners, (), pair, ((roof[0], d) for d in pair))
        if len(roof) == 2:
            if roof[1] in peers_of(position.shape, roof[0]):
                yield from _with_roof(position, corners, pair, (roof[0], roof[1]))
            else:
                yield from _with_roof_across(position, corners, pair, (roof[0], roof[1]))
        if len(roof) in (2, 3) and len({extra[c] for c in roof}) == 1:
            yield from _with_one_extra(position, corners, pair, roof)


def _with_roof_across(
    position: Plain, corners: Corners, pair: frozenset[int], roof: tuple[CellName, CellName]
) -> Iterator[tuple[str, Instance]]:
    """Type 6: two corners across from each other can hold more, and both rows or both columns of
    the rectangle hold a digit of the pair in corners alone: the two do not hold it.
    """
    lines = [h for c in corners for h in houses_around(position.shape, c)]
    for digit in pair:
        for kind in ("row", "column"):
            if all(
                position.places(line, digit) <= set(corners)
                for line in lines
                if line.startswith(kind)
            ):
                yield "type-6", _found(corners, (), pair, ((c, digit) for c in roof))
                break


def _with_one_extra(
    position: Plain, corners: Corners, pair: frozenset[int], roof: Sequence[CellName]
) -> Iterator[tuple[str, Instance]]:
    """Type 2: the corners that can hold more can all hold just one digit more."""
    (more, *others) = position.candidates[roof[0]] - pair
    if others:
        return
    removes = {
        (cell, more)
        for cell, here in position.candidates.items()
        if more in here and all(cell in peers_of(position.shape, c) for c in roof)
    }
    if removes:
        yield "type-2", _found(corners, (), pair | {more}, removes)


def _with_roof(
    position: Plain, corners: Corners, pair: frozenset[int], roof: tuple[CellName, CellName]
) -> Iterator[tuple[str, Instance]]:
    """Types 3 and 4: two corners side by side that can hold more."""
    shape = position.shape
    together = houses_around(shape, roof[0]) & houses_around(shape, roof[1])
    yield from _with_group(position, corners, pair, roof, together)
    for house in together:
        for digit in pair:
            if position.places(house, digit) == set(roof):
                (goes,) = pair - {digit}
                yield "type-4", _found(corners, (), pair, ((c, goes) for c in roof))


ROOF = "roof"
LARGEST_GROUP = 4


def _with_group(
    position: Plain,
    corners: Corners,
    pair: frozenset[int],
    roof: tuple[CellName, CellName],
    together: frozenset[str],
) -> Iterator[tuple[str, Instance]]:
    """Type 3: the roof, as if it were one cell with the digits that it can hold besides, is part of
    a naked pair, triple or quad without the rectangle's two digits. The same cells in two houses
    are one instance. (Of an avoidable rectangle each corner of the roof lacks one digit of the
    pair anyway: what is filled beside it is that.)
    """
    extras = frozenset().union(*(position.candidates[c] for c in roof)) - pair
    if len(extras) < 2:
        return

    def union_of(items: frozenset[str]) -> frozenset[int]:
        held = (extras if item == ROOF else position.candidates[item] for item in items)
        return frozenset().union(*held)

    found: dict[frozenset[str], set[str]] = {}
    for house in together:
        rest = position.open_in(house) - set(corners)
        for size in range(2, LARGEST_GROUP + 1):
            for group in combinations(sorted(rest), size - 1):
                items = frozenset({ROOF, *group})
                if len(union_of(items)) == size:
                    found.setdefault(items, set()).add(house)
    for items, houses in found.items():
        digits = union_of(items)
        if digits & pair:
            continue  # a corner alone may belong to such a group
        own = digits - held_by_smaller(items, union_of)
        outside = frozenset().union(*(position.open_in(house) for house in houses))
        outside -= items | set(corners)
        removes = {(c, d) for c in outside for d in position.candidates[c] & digits}
        if any(digit in own for _, digit in removes):
            yield "type-3", _found(corners, items - {ROOF}, pair | digits, removes)


def find_avoidable_rectangles(position: Plain) -> Iterator[tuple[str, Instance]]:
    """(`type-1` to `type-3`, instance): no corner is a given, and two or three are filled.

    The two digits in turn must not be what the corners come to. So where three stand right for it
    the open one is not as the one across; where two do, and each of the open two can hold what it
    takes and just one digit more, the same for both, that digit is in one of them. With more to
    choose from one of those digits is.
    """
    for corners in rectangles_of(position.shape):
        filled = {c: position.digits[c] for c in corners if c in position.own}
        roof = [c for c in corners if c in position.candidates]
        if len(filled) not in (2, 3) or len(filled) + len(roof) != 4:
            continue
        found: dict[str, tuple[set[int], set[Candidate]]] = {}
        for wanted in _ways_in_turn(position.shape.size, corners, filled):
            extra = [position.candidates[c] - {wanted[c]} for c in roof]
            if any(wanted[c] not in position.candidates[c] for c in roof) or not all(extra):
                continue
            if len(roof) == 2 and roof[1] in peers_of(position.shape, roof[0]):
                together = houses_around(position.shape, roof[0])
                together &= houses_around(position.shape, roof[1])
                pair = frozenset(wanted.values())
                yield from _with_group(position, corners, pair, (roof[0], roof[1]), together)
            if len(roof) == 1:
                removes, more = {(roof[0], wanted[roof[0]])}, frozenset[int]()
            elif extra[0] == extra[1] and len(extra[0]) == 1:
                more = extra[0]
                removes = {
                    (cell, digit)
                    for cell, here in position.candidates.items()
                    for digit in here & more
                    if all(cell in peers_of(position.shape, c) for c in roof)
                }
            else:
                continue
            digits, struck = found.setdefault(f"type-{len(roof)}", (set(), set()))
            digits |= set(filled.values()) | more
            struck |= removes
        for variant, (digits, struck) in found.items():
            if struck:
                yield variant, _found(corners, (), digits, struck)


def _ways_in_turn(
    size: int, corners: Corners, filled: Mapping[CellName, int]
) -> Iterator[dict[CellName, int]]:
    """Every way to fill the corners with two digits in turn that agrees with those filled."""
    for one, other in permutations(range(1, size + 1), 2):
        if all(
            filled.get(c, (one, other)[n % 2]) == (one, other)[n % 2] for n, c in enumerate(corners)
        ):
            yield {cell: (one, other)[place % 2] for place, cell in enumerate(corners)}


def find_hidden_rectangles(position: Plain) -> Iterator[Instance]:
    """A corner with just a, b; the lines of the corner across hold a nowhere else: it is not b."""
    shape = position.shape
    for corners, pair in find_rectangles(position):
        for index in range(4):
            floor, far = corners[index], corners[(index + 2) % 4]
            if position.candidates[floor] != pair:
                continue
            lines = [h for h in houses_around(shape, far) if h.startswith(("row", "column"))]
            for digit in pair:
                (goes,) = pair - {digit}
                if all(position.places(line, digit) <= set(corners) for line in lines):
                    yield _found(corners, (), pair, {(far, goes)})


def find_bug_plus_one(position: Plain) -> Iterator[Instance]:
    """One open cell has three candidates, all others two, and but for one of the three every digit
    has two places, or none, in every house: the three-candidate cell holds that one.
    """
    more = [cell for cell, here in position.candidates.items() if len(here) != 2]
    if len(more) != 1 or len(position.candidates[more[0]]) != 3:
        return
    for digit in position.candidates[more[0]]:
        reduced = position.after((), {(more[0], digit)})
        if is_pair_grid(reduced):
            place = frozenset({(more[0], digit)})
            yield Instance(frozenset(more), frozenset({digit}), place, frozenset(), None)


def is_pair_grid(position: Plain) -> bool:
    """Whether all open cells have two candidates, and every house each digit twice or never."""
    return all(len(here) == 2 for here in position.candidates.values()) and all(
        len(position.places(house, digit)) in (0, 2)
        for house in houses_of(position.shape)
        for digit in range(1, position.shape.size + 1)
    )
