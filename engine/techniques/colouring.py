"""Simple colouring: places of a digit that conjugate pairs join, in two colours by turns.

A *cluster* is all that hangs together by conjugate pairs, two pairs at least; one of its colours
holds the digit throughout, the other nowhere. A place outside that sees both colours goes. A colour
that meets its own, two places of it seeing each other, is false, and all of it goes. The two are
instances apart. A cluster that cannot be coloured (an odd ring, on a board with a mistake) is
passed over. All links of the step are strong, and together they tell the colour of every place.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations, pairwise

from engine.board.layout import Layout, iterate_bits
from engine.board.step import LinkKind
from engine.inference.candidate_index import PLANES_KEPT
from engine.inference.one_digit import (
    CellLink,
    Pair,
    Sight,
    conjugate_pairs,
    finder,
    partners_by_cell,
    seen_by,
    shared_houses,
    sighting_houses,
    without_spares,
)

LEVEL = 5
FEWEST_CELLS = 3
"""One pair alone is seen as pointing or claiming."""
SEES_BOTH = "sees-both-colours"
MEETS_OWN = "meets-its-own-colour"


@dataclass(frozen=True, slots=True, eq=False)
class Cluster:
    """Cell masks of the two colours, that of the lowest cell first; who is whose partner."""

    colours: tuple[int, int]
    partners: dict[int, int]

    @property
    def cells(self) -> int:
        """The mask of its cells, of both colours."""
        return self.colours[0] | self.colours[1]


@lru_cache(maxsize=PLANES_KEPT)
def _find_sights(layout: Layout, plane: int) -> tuple[Sight, ...]:
    pairs = conjugate_pairs(layout, plane)
    found = []
    for cluster in find_clusters(pairs):
        first, second = cluster.colours
        seeing = plane & seen_by(layout, first) & seen_by(layout, second) & ~cluster.cells
        if seeing:
            found.append(_sees_both(layout, plane, pairs, cluster, seeing))
        for colour in cluster.colours:
            if colour & seen_by(layout, colour):
                found.append(_meets_own(layout, plane, pairs, cluster, colour))
    return tuple(found)


find_colourings = finder("simple-colouring", LEVEL, _find_sights)


def find_clusters(pairs: tuple[Pair, ...], fewest: int = FEWEST_CELLS) -> Iterator[Cluster]:
    """Yield the clusters of so many cells or more that can be coloured, lowest cell first."""
    partners = partners_by_cell(pairs)
    met = 0
    for start in sorted(partners):
        if met >> start & 1:
            continue
        colours, frontier, turn = [1 << start, 0], 1 << start, 0
        while frontier:
            turn ^= 1
            reached = 0
            for cell in iterate_bits(frontier):
                reached |= partners[cell]
            frontier = reached & ~colours[turn]
            colours[turn] |= frontier
        cells = colours[0] | colours[1]
        met |= cells
        if not colours[0] & colours[1] and cells.bit_count() >= fewest:
            yield Cluster((colours[0], colours[1]), partners)


def _sees_both(
    layout: Layout, plane: int, pairs: tuple[Pair, ...], cluster: Cluster, seeing: int
) -> Sight:
    """Each place that sees both sees the two ends of some shortest path from colour to colour."""
    least: list[int] = []
    most: list[int] = []
    paths = []
    for victim in iterate_bits(seeing):
        near = [layout.peers[victim] & colour for colour in cluster.colours]
        path = shortest_path(cluster.partners, near[0], near[1])
        paths.append(path)
        for place, link in enumerate(pairwise(path)):
            house = house_of(pairs, link)
            (most if place % 2 else least).append(house)
        for end in (path[0], path[-1]):
            most += sighting_houses(layout, end, 1 << victim, most)
    kept, needed = without_spares(layout, plane, least, most, seeing)
    chains = told(cluster, min(paths, key=len))
    return Sight(kept, cluster.cells, seeing, kept, needed, chains=chains, variant=SEES_BOTH)


def _meets_own(
    layout: Layout, plane: int, pairs: tuple[Pair, ...], cluster: Cluster, colour: int
) -> Sight:
    """A place of the colour makes all others true, and with them the two that see each other."""
    clashes = (
        (one, other)
        for one, other in combinations(iterate_bits(colour), 2)
        if layout.peers[one] >> other & 1
    )
    ways = [shortest_path(cluster.partners, 1 << one, 1 << other) for one, other in clashes]
    main = min(ways, key=len)
    least: list[int] = []
    most = [shared_houses(layout, 1 << main[0] | 1 << main[-1])[0].index]
    walks = [main] + [
        shortest_path(cluster.partners, 1 << cell, sum(1 << each for each in main[::2]))
        for cell in iterate_bits(colour)
    ]
    for walk in walks:
        for place, link in enumerate(pairwise(walk)):
            (least if place % 2 else most).append(house_of(pairs, link))
    # the clash itself can be walked from either end, so both ways round must be cited at first
    for place, link in enumerate(pairwise(main)):
        (most if place % 2 else least).append(house_of(pairs, link))
    kept, needed = without_spares(layout, plane, least, most, colour)
    chains = told(cluster, main)
    return Sight(kept, cluster.cells, colour, kept, needed, chains=chains, variant=MEETS_OWN)


def shortest_path(partners: dict[int, int], starts: int, ends: int) -> tuple[int, ...]:
    """Return the cells of a shortest path along pairs from one of `starts` to one of `ends`."""
    layers, reached = [starts], starts
    while not layers[-1] & ends:
        fresh = 0
        for cell in iterate_bits(layers[-1]):
            fresh |= partners[cell]
        layers.append(fresh & ~reached)
        reached |= fresh
    path = [next(iterate_bits(layers[-1] & ends))]
    for layer in reversed(layers[:-1]):
        path.append(next(iterate_bits(layer & partners[path[-1]])))
    return tuple(reversed(path))


def house_of(pairs: Iterable[Pair], link: tuple[int, int]) -> int:
    """Return the index of the house in which two cells are a digit's only places."""
    mask = 1 << link[0] | 1 << link[1]
    return next(pair.houses[0].index for pair in pairs if pair.mask == mask)


def told(cluster: Cluster, main: tuple[int, ...]) -> tuple[tuple[CellLink, ...], ...]:
    """Return the links of a path, then lines that branch off it, until every place is told."""
    told = sum(1 << cell for cell in main)
    lines = [main]
    while rest := cluster.cells & ~told:
        line = [next(cell for cell in iterate_bits(told) if cluster.partners[cell] & rest)]
        while onward := cluster.partners[line[-1]] & ~told:
            line.append(next(iterate_bits(onward)))
            told |= 1 << line[-1]
        lines.append(tuple(line))
    return tuple(
        tuple((1 << one, 1 << other, LinkKind.STRONG) for one, other in pairwise(line))
        for line in lines
    )
