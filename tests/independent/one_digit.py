"""What links of one digit show: two-link patterns, empty rectangle, colouring, longer chains.

A strong link joins the only two places of a digit in a house: if one is false the other is true. A
weak link joins two places in a house: if one is true the other is false.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import combinations, permutations, product

import networkx

from tests.independent.definitions import Instance
from tests.independent.plain import CellName, Plain, Shape, houses_around, houses_of, peers_of

NAMES_OF_TWO_LINKS = ("x-wing", "skyscraper", "two-string-kite", "turbot-fish")
"""What fits several of these is the first."""


@dataclass(frozen=True)
class Strong:
    """The only two places of a digit in these houses."""

    cells: frozenset[CellName]
    houses: frozenset[str]


def strong_links(position: Plain, digit: int) -> Iterator[Strong]:
    found: dict[frozenset[CellName], set[str]] = {}
    for house in houses_of(position.shape):
        places = position.places(house, digit)
        if len(places) == 2:
            found.setdefault(places, set()).add(house)
    for cells, houses in found.items():
        yield Strong(cells, frozenset(houses))


def places_of(position: Plain, digit: int) -> frozenset[CellName]:
    return frozenset(cell for cell, digits in position.candidates.items() if digit in digits)


def seen_by_all(position: Plain, cells: Iterable[CellName], digit: int) -> frozenset[CellName]:
    """The places of the digit that share a house with each of the cells."""
    seen = places_of(position, digit)
    for cell in cells:
        seen &= peers_of(position.shape, cell)
    return seen


def instance(cells: Iterable[CellName], digit: int, removes: Iterable[CellName]) -> Instance:
    struck = frozenset((cell, digit) for cell in removes)
    return Instance(frozenset(cells), frozenset({digit}), frozenset(), struck, None)


Ends = tuple[CellName, CellName]


def kinds_of_link(shape: Shape, one: Strong, other: Strong, near: Ends, far: Ends) -> set[str]:
    """What two strong links make, joined at their near ends: all the names that fit."""
    joined = houses_around(shape, near[0]) & houses_around(shape, near[1])
    kinds = set()
    for first in one.houses:
        for second in other.houses:
            sorts = {first.split()[0], second.split()[0]}
            for house in joined:
                kind = house.split()[0]
                if sorts == {"row", "column"} and kind == "box":
                    kinds.add("two-string-kite")
                elif len(sorts) == 1 and sorts | {kind} == {"row", "column"}:
                    kinds.add("x-wing" if _are_in_one(shape, far, kind) else "skyscraper")
                else:
                    kinds.add("turbot-fish")
    return kinds


def _are_in_one(shape: Shape, cells: Ends, kind: str) -> bool:
    shared = houses_around(shape, cells[0]) & houses_around(shape, cells[1])
    return any(house.startswith(kind) for house in shared)


def find_two_links(position: Plain, technique: str) -> Iterator[Instance]:
    """Two strong links of a digit, an end of one seeing an end of the other.

    One of the two far ends is true, so the digit goes where both are seen. A skyscraper has its
    strong links in parallel lines and is joined in a crossing one; a two-string kite has them in a
    row and a column and is joined in a box; all others are turbot fish. An X-wing, whose far ends
    are in one line too, is none of them. A victim that one of the links would strike by itself
    counts: the worked skyscraper of facts.md has one.
    """
    for digit in range(1, position.shape.size + 1):
        found: dict[tuple[frozenset[CellName], frozenset[CellName]], set[str]] = {}
        for one, other in combinations(strong_links(position, digit), 2):
            if one.cells & other.cells:
                continue
            for a, b in permutations(sorted(one.cells)):
                for c, d in permutations(sorted(other.cells)):
                    if c not in peers_of(position.shape, b):
                        continue
                    removes = seen_by_all(position, (a, d), digit) - one.cells - other.cells
                    if removes:
                        kinds = kinds_of_link(position.shape, one, other, (b, c), (a, d))
                        key = (one.cells | other.cells, removes)
                        found.setdefault(key, set()).update(kinds)
        for (cells, removes), kinds in found.items():
            if next((each for each in NAMES_OF_TWO_LINKS if each in kinds), "") == technique:
                yield instance(cells, digit, removes)


def find_empty_rectangles(position: Plain) -> Iterator[Instance]:
    """A box whose places for a digit lie in one row and one column of it, both needed, and a strong
    link in a line from what one of the two sees to what, with the other, sees the victim.
    """
    houses = houses_of(position.shape)
    for digit in range(1, position.shape.size + 1):
        strong = [
            (link, house)
            for link in strong_links(position, digit)
            for house in link.houses
            if not house.startswith("box")
        ]
        found = set()
        for box in (house for house in houses if house.startswith("box")):
            places = position.places(box, digit)
            crossing = [
                house
                for house in houses
                if not house.startswith("box") and 0 < len(houses[house] & places) < len(places)
            ]
            for row, column in permutations(crossing, 2):
                arm, rest = places & houses[row], places - houses[row]
                if len(places) < 3 or row.split()[0] == column.split()[0]:
                    continue
                if not rest <= houses[column]:
                    continue
                for link, house in strong:
                    if link.cells & places or house in (row, column):
                        continue
                    for near, far in permutations(sorted(link.cells)):
                        if near not in houses[row]:
                            continue
                        victims = position.places(column, digit) - places - link.cells
                        victims &= peers_of(position.shape, far)
                        if victims and arm:
                            found.add((places | link.cells, victims))
        for cells, victims in sorted(found, key=repr):
            yield instance(cells, digit, victims)


def colour_clusters(
    position: Plain, digit: int
) -> Iterator[tuple[frozenset[CellName], frozenset[CellName]]]:
    """Each set of places that strong links join, as its two colours.

    A cluster that cannot be coloured (an odd ring) does not occur: it has no solution.
    """
    graph = networkx.Graph(tuple(link.cells) for link in strong_links(position, digit))
    for cluster in networkx.connected_components(graph):
        colours = networkx.algorithms.bipartite.color(graph.subgraph(cluster))
        yield (
            frozenset(cell for cell, colour in colours.items() if colour == 0),
            frozenset(cell for cell, colour in colours.items() if colour == 1),
        )


def find_colourings(position: Plain) -> Iterator[Instance]:
    """A place that sees both colours goes, and a colour two of whose places see each other."""
    for digit in range(1, position.shape.size + 1):
        for colours in colour_clusters(position, digit):
            both = colours[0] | colours[1]
            if len(both) < 3:
                continue  # a single link is seen as pointing or claiming
            seeing_both = {
                cell
                for cell in places_of(position, digit) - both
                if all(peers_of(position.shape, cell) & colour for colour in colours)
            }
            meeting_own = [
                colour
                for colour in colours
                if any(b in peers_of(position.shape, a) for a, b in combinations(colour, 2))
            ]
            if seeing_both:
                yield instance(both, digit, seeing_both)
            for colour in meeting_own:
                yield instance(both, digit, colour)


def find_two_clusters(position: Plain) -> Iterator[Instance]:
    """Two clusters, neither of which settles anything of its own: if a colour of one and a colour
    of the other meet, one of the opposite colours is true, and what sees both goes; a colour that
    meets both colours of the other cluster goes itself.
    """
    shape = position.shape

    def seen(colour: frozenset[CellName]) -> frozenset[CellName]:
        return frozenset().union(*(peers_of(shape, cell) for cell in colour))

    for digit in range(1, shape.size + 1):
        clusters = [
            colours
            for colours in colour_clusters(position, digit)
            if not any(seen(colour) & colour for colour in colours)
        ]
        for first, second in combinations(clusters, 2):
            cells = first[0] | first[1] | second[0] | second[1]
            if len(cells) < 5:
                continue  # two single links are a two-link pattern
            false = set()
            for one, other in ((first, second), (second, first)):
                for colour in one:
                    met = [seen(colour) & each for each in other]
                    if met[0] and met[1]:
                        false.add(colour)
                        if not any(
                            all(peers_of(shape, cell) & each for each in other) for cell in colour
                        ):
                            yield instance(cells, digit, colour)
            alone = {
                cell
                for cell in places_of(position, digit)
                for colours in (first, second)
                if all(peers_of(shape, cell) & colour for colour in colours)
            }
            for a, b in product(first, second):
                if a in false or b in false or not seen(a) & b:
                    continue
                (one,), (other,) = (
                    (each for each in first if each is not a),
                    (each for each in second if each is not b),
                )
                removes = places_of(position, digit) & seen(one) & seen(other)
                removes -= cells | alone
                if removes:
                    yield instance(cells, digit, removes)


def shortest_chains(position: Plain, digit: int) -> dict[CellName, int]:
    """Victim -> number of links of its shortest chain that begins and ends with a strong link.

    Simple paths are tried, shortest first, alternating strong and weak. Since an end of a strong
    link is true whenever the other is false, one end of the chain is true.
    """
    places = places_of(position, digit)
    strong: dict[CellName, set[CellName]] = {cell: set() for cell in places}
    for link in strong_links(position, digit):
        a, b = sorted(link.cells)
        strong[a].add(b)
        strong[b].add(a)
    shortest: dict[CellName, int] = {}
    for start in sorted(places):
        paths = [(start, frozenset({start}))]
        reached: set[tuple[CellName, bool]] = set()
        for length in range(1, len(places) + 1):
            by_strong = length % 2 == 1
            longer = []
            for end, before in paths:
                nexts = strong[end] if by_strong else places & peers_of(position.shape, end)
                for cell in sorted(nexts - before):
                    if by_strong:
                        for victim in seen_by_all(position, (start, cell), digit) - before - {cell}:
                            shortest[victim] = min(length, shortest.get(victim, length))
                    if (cell, by_strong) not in reached:
                        longer.append((cell, before | {cell}))
            reached |= {(cell, by_strong) for cell, _ in longer}
            paths = longer
            if not paths:
                break
    return shortest
