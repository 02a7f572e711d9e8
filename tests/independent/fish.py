"""Fish by their definitions: n lines one way, n lines across, and for finned fish some odd cells.

Tried are all combinations of lines. A fish that strikes only what smaller ones among its own lines
strike is no instance of its own, as with subsets in `tests.independent.definitions`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import cache, partial
from itertools import combinations

from tests.independent.definitions import Instance, held_by_smaller
from tests.independent.plain import CellName, Plain, Shape, houses_of, peers_of

LINES = ("row", "column")


def lines_with(position: Plain, kind: str, digit: int) -> dict[str, frozenset[CellName]]:
    """Each row (or column) that still needs the digit -> its places there."""
    found = {h: position.places(h, digit) for h in houses_of(position.shape) if h.startswith(kind)}
    return {house: places for house, places in found.items() if places}


@cache
def _across(shape: Shape, kind: str) -> Mapping[CellName, str]:
    """Each cell -> its row (or column)."""
    houses = houses_of(shape).items()
    return {cell: line for line, cells in houses if line.startswith(kind) for cell in cells}


def find_fish(position: Plain, size: int) -> Iterator[Instance]:
    """So many parallel lines whose places for a digit lie in as many crossing lines."""
    for digit in range(1, position.shape.size + 1):
        for base_kind, cover_kind in (LINES, LINES[::-1]):
            lines = lines_with(position, base_kind, digit)
            across = _across(position.shape, cover_kind)
            crossed = {line: frozenset(across[c] for c in here) for line, here in lines.items()}
            for bases in combinations(lines, size):
                covers = _union(crossed, bases)
                if len(covers) != size:
                    continue
                smaller = held_by_smaller(frozenset(bases), partial(_union, crossed))
                cells = _union(lines, bases)
                struck = {cover: position.places(cover, digit) - cells for cover in covers}
                if any(struck[cover] for cover in covers - smaller):
                    yield Instance(
                        cells,
                        frozenset({digit}),
                        frozenset(),
                        frozenset((c, digit) for here in struck.values() for c in here),
                        frozenset(bases),
                        covers,
                    )


def find_finned_fish(position: Plain, size: int) -> Iterator[Instance]:
    """A fish but for some cells of its lines, the fins: what sees all fins goes all the same.

    Either the fish is whole or a fin holds the digit. Of the candidates that the whole fish would
    strike those go that share a house with every fin: so the places of the lines with which one
    shares no house are no fins, and lie in the crossing lines, as it does itself. Each line must be
    needed for it; one with a single place is none.
    """
    for digit in range(1, position.shape.size + 1):
        for base_kind, cover_kind in (LINES, LINES[::-1]):
            every = lines_with(position, base_kind, digit)
            lines = {line: here for line, here in every.items() if len(here) > 1}
            across = _across(position.shape, cover_kind)
            crossed = {line: frozenset(across[c] for c in here) for line, here in lines.items()}
            struck: dict[tuple[tuple[str, ...], frozenset[str]], set[CellName]] = {}
            for victim in _union(every, every):
                left = _unseen_by(position.shape, victim, lines, across, size)
                for bases in combinations(left, size):
                    needed = _union(left, bases) | {across[victim]}
                    if len(needed) > size:
                        continue
                    crossing = _union(crossed, bases)
                    if not needed <= crossing or _smaller_strikes(left, bases):
                        continue
                    for more in combinations(crossing - needed, size - len(needed)):
                        struck.setdefault((bases, needed.union(more)), set()).add(victim)
            for (bases, covers), victims in struck.items():
                if len(_union(crossed, bases)) > size:  # there are fins
                    yield Instance(
                        _union(lines, bases),
                        frozenset({digit}),
                        frozenset(),
                        frozenset((victim, digit) for victim in victims),
                        frozenset(bases),
                        covers,
                    )


def _unseen_by(
    shape: Shape,
    victim: CellName,
    lines: Mapping[str, frozenset[CellName]],
    across: Mapping[CellName, str],
    size: int,
) -> Mapping[str, frozenset[str]]:
    """Each line of which one is no part -> the crossing lines of its places that one does not see.

    Lines with more of them than `size` are left out: no fish has that much room.
    """
    seen = peers_of(shape, victim)
    left = {line: here - seen for line, here in lines.items()}
    return {
        line: frozenset(across[cell] for cell in cells)
        for line, cells in left.items()
        if victim not in cells and len(cells) <= size
    }


def _smaller_strikes(left: Mapping[str, frozenset[str]], bases: tuple[str, ...]) -> bool:
    """Whether fewer of the lines already have no room once the victim holds the digit.

    They do if what is `left` of their places lies in fewer crossing lines than there are lines.
    """
    return any(
        len(_union(left, part)) < size
        for size in range(1, len(bases))
        for part in combinations(bases, size)
    )


def _union(cells_of: Mapping[str, frozenset[str]], lines: Iterable[str]) -> frozenset[str]:
    return frozenset().union(*map(cells_of.__getitem__, lines))
