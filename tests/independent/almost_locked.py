"""Almost-locked-set pairs by their definition, found by trying all sets of cells of all houses."""

from __future__ import annotations

from itertools import combinations

from tests.independent.plain import Candidate, CellName, Plain, houses_of, peers_of

MOST_CELLS = 5
"""Larger sets are not looked for; the engine says the same."""


def _almost_locked_sets(
    position: Plain, largest: int
) -> list[tuple[frozenset[CellName], frozenset[int]]]:
    """All sets of up to so many cells of a house that can hold one digit more than they are."""
    found = set()
    for house in houses_of(position.shape).values():
        open_cells = sorted(cell for cell in house if cell in position.candidates)
        for size in range(1, largest + 1):
            for cells in combinations(open_cells, size):
                digits = frozenset().union(*(position.candidates[cell] for cell in cells))
                if len(digits) == size + 1:
                    found.add((frozenset(cells), digits))
    return sorted(found, key=lambda each: (len(each[0]), sorted(each[0])))


def find_pair_victims(
    position: Plain, most: int = 2 * MOST_CELLS, largest: int = MOST_CELLS
) -> frozenset[Candidate]:
    """What pairs of up to `most` cells in all strike: two sets apart, a digit x of both all of
    whose places in the one see all in the other, and another digit z of both: it goes from what
    sees all its places in both. Where y is such a digit as well, so does x, and any further digit
    of one set goes from what sees all its places in that set.
    """
    victims: set[Candidate] = set()
    peers = {cell: peers_of(position.shape, cell) for cell in position.candidates}

    def places(cells: frozenset[CellName], digit: int) -> frozenset[CellName]:
        return frozenset(cell for cell in cells if digit in position.candidates[cell])

    for (one, first), (other, second) in combinations(_almost_locked_sets(position, largest), 2):
        shared = first & second
        if len(shared) < 2 or one & other or len(one) + len(other) > most:
            continue
        linking = {
            x for x in shared if all(places(other, x) <= peers[cell] for cell in places(one, x))
        }
        gone: list[tuple[frozenset[CellName], int]] = []
        for x in linking:
            gone += [(one | other, z) for z in shared - {x}]
        if len(linking) > 1:
            gone += [(one, z) for z in first - linking] + [(other, z) for z in second - linking]
        for cells, z in gone:
            seen = frozenset.intersection(*(peers[cell] for cell in places(cells, z)))
            victims.update(
                (cell, z)
                for cell in (seen - one - other) & position.candidates.keys()
                if z in position.candidates[cell]
            )
    return frozenset(victims)


def goes_by_less(position: Plain, victim: Candidate) -> bool:
    """Say whether fewer cells do for a victim of pairs if one of the sets may be larger: then part
    of the cells of the pair are such a set, and the rest are there for nothing."""
    fewest = next(
        most for most in range(2, 2 * MOST_CELLS + 1) if victim in find_pair_victims(position, most)
    )
    return victim in find_pair_victims(position, fewest - 1, largest=fewest - 2)
