"""Fish by their definitions: n lines one way, n lines across, and for finned fish some odd cells.

Tried are all combinations of lines. A fish that strikes only what smaller ones among its own lines
strike is no instance of its own, as with subsets in `tests.independent.definitions`.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from itertools import combinations

from tests.independent.definitions import Instance, held_by_smaller
from tests.independent.plain import CellName, Plain, Shape, houses_around, houses_of, peers_of

LINES = ("row", "column")


def lines_with(position: Plain, kind: str, digit: int) -> dict[str, frozenset[CellName]]:
    """Each row (or column) that still needs the digit -> its places there."""
    found = {h: position.places(h, digit) for h in houses_of(position.shape) if h.startswith(kind)}
    return {house: places for house, places in found.items() if places}


@cache
def _across(shape: Shape, cell: CellName, kind: str) -> str:
    """The row (or column) of a cell."""
    return next(house for house in houses_around(shape, cell) if house.startswith(kind))


def find_fish(position: Plain, size: int) -> Iterator[Instance]:
    """So many parallel lines whose places for a digit lie in as many crossing lines."""
    for digit in range(1, position.shape.size + 1):
        for base_kind, cover_kind in (LINES, LINES[::-1]):
            lines = lines_with(position, base_kind, digit)
            for bases in combinations(lines, size):

                def covers_of(
                    part: frozenset[str],
                    lines: dict[str, frozenset[CellName]] = lines,
                    kind: str = cover_kind,
                ) -> frozenset[str]:
                    cells = frozenset().union(*(lines[line] for line in part))
                    return frozenset(_across(position.shape, cell, kind) for cell in cells)

                covers = covers_of(frozenset(bases))
                if len(covers) != size:
                    continue
                fresh = covers - held_by_smaller(frozenset(bases), covers_of)
                cells = frozenset().union(*(lines[line] for line in bases))
                struck = {cover: position.places(cover, digit) - cells for cover in covers}
                if any(struck[cover] for cover in fresh):
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
    strike those go that share a house with every fin. Each line must be needed for it; one with a
    single place is none.
    """
    for digit in range(1, position.shape.size + 1):
        for base_kind, cover_kind in (LINES, LINES[::-1]):
            bases_with = lines_with(position, base_kind, digit)
            bases_with = {line: here for line, here in bases_with.items() if len(here) > 1}
            covers_with = lines_with(position, cover_kind, digit)
            for bases in combinations(bases_with, size):
                held = frozenset().union(*(bases_with[base] for base in bases))
                crossing = [cover for cover in covers_with if covers_with[cover] & held]
                if len(crossing) <= size:
                    continue
                for covers in combinations(crossing, size):
                    inside = frozenset().union(*(covers_with[cover] for cover in covers))
                    victims = inside - held
                    for fin in held - inside:
                        victims &= peers_of(position.shape, fin)
                        if not victims:
                            break
                    struck = {
                        victim
                        for victim in victims
                        if not _smaller_strikes(position, bases_with, bases, victim)
                    }
                    if struck:
                        yield Instance(
                            held,
                            frozenset({digit}),
                            frozenset(),
                            frozenset((victim, digit) for victim in struck),
                            frozenset(bases),
                            frozenset(covers),
                        )


def _smaller_strikes(
    position: Plain,
    lines: dict[str, frozenset[CellName]],
    bases: tuple[str, ...],
    victim: CellName,
) -> bool:
    """Whether fewer of the lines already have no room once the victim holds the digit.

    They do if what is left of their places lies in fewer crossing lines than there are lines.
    """
    seen = peers_of(position.shape, victim)
    kind = LINES[1] if bases[0].startswith(LINES[0]) else LINES[0]
    for size in range(1, len(bases)):
        for part in combinations(bases, size):
            left = frozenset().union(*(lines[line] for line in part)) - seen
            if len({_across(position.shape, cell, kind) for cell in left}) < size:
                return True
    return False
