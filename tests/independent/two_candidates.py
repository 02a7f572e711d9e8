"""Wings, remote pairs and chains of two-candidate cells, by their definitions."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import combinations, permutations

from tests.independent.definitions import Instance
from tests.independent.one_digit import seen_by_all, strong_links
from tests.independent.plain import Candidate, CellName, Plain, houses_of, peers_of


def pairs_in(position: Plain) -> dict[CellName, frozenset[int]]:
    """The cells with two candidates."""
    return {cell: here for cell, here in position.candidates.items() if len(here) == 2}


def wing(
    cells: Iterable[CellName], digits: Iterable[int], removes: Iterable[Candidate]
) -> Instance:
    return Instance(frozenset(cells), frozenset(digits), frozenset(), frozenset(removes), None)


def find_xy_wings(position: Plain) -> Iterator[Instance]:
    """A pivot a, b that sees a pincer a, c and a pincer b, c: c goes where both pincers are seen.

    The three may lie in one house: the worked XY-wing of facts.md does, and is a naked triple too.
    """
    pairs = pairs_in(position)
    for pivot, both in pairs.items():
        near = [cell for cell in pairs if cell in peers_of(position.shape, pivot)]
        for one, other in combinations(near, 2):
            common = pairs[one] & pairs[other]
            if len(common) != 1 or common & both or both != pairs[one] ^ pairs[other]:
                continue
            (digit,) = common
            removes = seen_by_all(position, (one, other), digit) - {pivot}
            if removes:
                yield wing((pivot, one, other), both | common, ((c, digit) for c in removes))


def find_xyz_wings(position: Plain) -> Iterator[Instance]:
    """A pivot a, b, c that sees pincers a, c and b, c: c goes where all three are seen."""
    pairs = pairs_in(position)
    for pivot, three in position.candidates.items():
        if len(three) != 3:
            continue
        near = [c for c in pairs if c in peers_of(position.shape, pivot) and pairs[c] < three]
        for one, other in combinations(near, 2):
            common = pairs[one] & pairs[other]
            if len(common) != 1:
                continue
            (digit,) = common
            removes = seen_by_all(position, (pivot, one, other), digit)
            if removes:
                yield wing((pivot, one, other), three, ((c, digit) for c in removes))


def find_w_wings(position: Plain) -> Iterator[Instance]:
    """Two cells a, b apart, and a strong link on a of which each sees an end: b goes where both
    cells are seen. If a house holds the whole link and one of the cells, that cell alone is b.
    """
    pairs, houses = pairs_in(position), houses_of(position.shape).values()
    found = set()
    for one, other in combinations(sorted(pairs), 2):
        if pairs[one] != pairs[other] or other in peers_of(position.shape, one):
            continue
        for linked in pairs[one]:
            (goes,) = pairs[one] - {linked}
            removes = seen_by_all(position, (one, other), goes)
            for link in strong_links(position, linked):
                if link.cells & {one, other}:
                    continue
                if any(link.cells | {end} <= house for house in houses for end in (one, other)):
                    continue
                if any(
                    near in peers_of(position.shape, one) and far in peers_of(position.shape, other)
                    for near, far in permutations(sorted(link.cells))
                ):
                    found.add((link.cells | {one, other}, pairs[one], goes, removes))
    for cells, digits, goes, removes in sorted(found, key=repr):
        if removes:
            yield wing(cells, digits, ((cell, goes) for cell in removes))


def shortest_remote_pairs(position: Plain) -> dict[Candidate, int]:
    """Victim -> number of cells of its shortest chain of cells with the same two candidates, each
    of which sees the next: their number even, so that the ends differ. Two are a naked pair.
    """
    pairs = pairs_in(position)
    shortest: dict[Candidate, int] = {}
    for digits in set(pairs.values()):
        alike = sorted(cell for cell in pairs if pairs[cell] == digits)
        for start in alike:
            paths = [(start,)]
            while paths:
                paths = [
                    (*path, cell)
                    for path in paths
                    for cell in alike
                    if cell not in path and cell in peers_of(position.shape, path[-1])
                ]
                for path in paths:
                    if len(path) % 2:
                        continue
                    for digit in digits:
                        for victim in seen_by_all(position, (path[0], path[-1]), digit):
                            if victim not in path:
                                known = shortest.get((victim, digit), len(path))
                                shortest[victim, digit] = min(known, len(path))
    return shortest


def shortest_xy_chains(position: Plain, longest: int) -> dict[Candidate, int]:
    """Victim -> number of cells of its shortest chain of two-candidate cells: each sees the next
    and shares with it the digit that is passed on; the digit that the first and the last are left
    with goes where both are seen. Tried are all paths of up to `longest` cells, three at least.
    """
    pairs = pairs_in(position)
    shortest: dict[Candidate, int] = {}
    for start, digits in pairs.items():
        for digit in digits:
            (passed,) = digits - {digit}
            paths = [((start,), passed)]
            for length in range(2, longest + 1):
                longer = []
                for path, carried in paths:
                    for cell in pairs:
                        if (
                            carried in pairs[cell]
                            and cell not in path
                            and cell in peers_of(position.shape, path[-1])
                        ):
                            (left,) = pairs[cell] - {carried}
                            longer.append(((*path, cell), left))
                            if left == digit and length >= 3:
                                for victim in seen_by_all(position, (start, cell), digit):
                                    if victim not in path:
                                        known = shortest.get((victim, digit), length)
                                        shortest[victim, digit] = min(known, length)
                paths = longer
    return shortest
