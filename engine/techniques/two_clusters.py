"""Two clusters of a digit, each in two colours (see `colouring`), where a colour of the one meets a
colour of the other: places of the two see each other.

Two colours that meet are not both true, so one at least of the other two is: a place outside that
sees both of these goes. A colour that meets both colours of the other cluster is false, and all of
it goes. What one of the clusters strikes alone is left to simple colouring, and two single pairs to
the two-link patterns.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise, permutations, product

from engine.board.layout import Layout, iterate_bits
from engine.board.step import LinkKind
from engine.inference.candidate_index import PLANES_KEPT
from engine.inference.one_digit import (
    CellLink,
    Pair,
    Sight,
    conjugate_pairs,
    finder,
    seen_by,
    shared_houses,
    sighting_houses,
    without_spares,
)
from engine.techniques.colouring import (
    LEVEL,
    Cluster,
    find_clusters,
    house_of,
    shortest_path,
    told,
)

SEES_BOTH = "sees-both-colours"
MEETS_BOTH = "meets-both-colours"
FEWEST_TOGETHER = 5
"""Cells of both clusters."""

_Meeting = tuple[Cluster, Cluster, int, int]
"""Two clusters, and which colour of the one meets which of the other."""


@lru_cache(maxsize=PLANES_KEPT)
def _find_sights(layout: Layout, plane: int) -> tuple[Sight, ...]:
    pairs = conjugate_pairs(layout, plane)
    clusters = [
        cluster
        for cluster in find_clusters(pairs, 2)
        if not any(colour & seen_by(layout, colour) for colour in cluster.colours)
    ]
    found = []
    for one, other in permutations(clusters, 2):
        if (one.cells | other.cells).bit_count() < FEWEST_TOGETHER:
            continue
        for turn in (0, 1):
            if _meets_both(layout, one, turn, other):
                found.append(_false_colour(layout, plane, pairs, one, turn, other))
        if one.cells > other.cells:
            continue
        for turn, other_turn in product((0, 1), repeat=2):
            meeting = one, other, turn, other_turn
            victims = _seeing_both(layout, plane, meeting)
            if victims:
                found.append(_sees_both(layout, plane, pairs, meeting, victims))
    return tuple(found)


find_two_clusters = finder("two-cluster-colouring", LEVEL, _find_sights)


def _meets(layout: Layout, colour: int, other: int) -> bool:
    return bool(seen_by(layout, colour) & other)


def _meets_both(layout: Layout, one: Cluster, turn: int, other: Cluster) -> bool:
    """Say whether a colour meets both of the other cluster, no single place of it doing so."""
    colour = one.colours[turn]
    first, second = (seen_by(layout, each) & colour for each in other.colours)
    return bool(first and second and not first & second)


def _seeing_both(layout: Layout, plane: int, meeting: _Meeting) -> int:
    """Return the places that see both colours of which one at least is true, if two meet."""
    one, other, turn, other_turn = meeting
    met, other_met = one.colours[turn], other.colours[other_turn]
    true, other_true = one.colours[1 - turn], other.colours[1 - other_turn]
    if not _meets(layout, met, other_met):
        return 0
    if _meets(layout, met, other_true) or _meets(layout, other_met, true):
        return 0  # one of the two is false by itself
    seen = plane & seen_by(layout, true) & seen_by(layout, other_true)
    alone = seen_by(layout, met) & seen_by(layout, true)
    alone |= seen_by(layout, other_met) & seen_by(layout, other_true)
    return seen & ~(alone | one.cells | other.cells)


def _sees_both(
    layout: Layout, plane: int, pairs: tuple[Pair, ...], meeting: _Meeting, victims: int
) -> Sight:
    """Each place sees an end of a path through both clusters, by two of their places that meet."""
    one, other, turn, other_turn = meeting
    met = one.colours[turn] & seen_by(layout, other.colours[other_turn])
    least: list[int] = []
    most: list[int] = []
    ways = []
    for victim in iterate_bits(victims):
        near = layout.peers[victim]
        first = shortest_path(one.partners, near & one.colours[1 - turn], met)
        beyond = layout.peers[first[-1]] & other.colours[other_turn]
        second = shortest_path(other.partners, beyond, near & other.colours[1 - other_turn])
        ways.append((first, second))
        _cite_walk(pairs, first, least, most)
        _cite_walk(pairs, second, least, most)
        most.append(_house_between(layout, first[-1], second[0]))
        for end in (first[0], second[-1]):
            most += sighting_houses(layout, end, 1 << victim, most)
    first, second = min(ways, key=lambda way: len(way[0]) + len(way[1]))
    chains = (*told(one, first), *told(other, second), _weak(first[-1], second[0]))
    kept, needed = without_spares(layout, plane, least, most, victims)
    cells = one.cells | other.cells
    return Sight(kept, cells, victims, kept, needed, chains=chains, variant=SEES_BOTH)


def _false_colour(
    layout: Layout, plane: int, pairs: tuple[Pair, ...], one: Cluster, turn: int, other: Cluster
) -> Sight:
    """A place of the colour makes all of it true, and so both colours of the other false."""
    colour = one.colours[turn]
    ends = [colour & seen_by(layout, each) for each in other.colours]
    least: list[int] = []
    most: list[int] = []
    for cell in iterate_bits(colour):
        for met in ends:
            walk = shortest_path(one.partners, 1 << cell, met)
            _cite_walk(pairs, walk, most, least)
    first, last = (next(iterate_bits(met)) for met in ends)
    near = [
        layout.peers[cell] & each for cell, each in zip((first, last), other.colours, strict=True)
    ]
    across = shortest_path(other.partners, near[0], near[1])
    _cite_walk(pairs, across, least, most)
    for cell in iterate_bits(ends[0]):
        _cite_walk(pairs, shortest_path(one.partners, 1 << cell, 1 << first), most, least)
    for cell in iterate_bits(ends[1]):
        _cite_walk(pairs, shortest_path(one.partners, 1 << cell, 1 << last), most, least)
    most.append(_house_between(layout, first, across[0]))
    most.append(_house_between(layout, last, across[-1]))
    kept, needed = without_spares(layout, plane, least, most, colour)
    main = shortest_path(one.partners, 1 << first, 1 << last)
    chains = (
        *told(one, main),
        *told(other, across),
        _weak(first, across[0]),
        _weak(last, across[-1]),
    )
    cells = one.cells | other.cells
    return Sight(kept, cells, colour, kept, needed, chains=chains, variant=MEETS_BOTH)


def _cite_walk(
    pairs: tuple[Pair, ...], walk: tuple[int, ...], strong: list[int], weak: list[int]
) -> None:
    """Cite the links of a walk by turns, the first one as strong."""
    for place, link in enumerate(pairwise(walk)):
        (weak if place % 2 else strong).append(house_of(pairs, link))


def _house_between(layout: Layout, one: int, other: int) -> int:
    return shared_houses(layout, 1 << one | 1 << other)[0].index


def _weak(one: int, other: int) -> tuple[CellLink, ...]:
    return ((1 << one, 1 << other, LinkKind.WEAK),)
