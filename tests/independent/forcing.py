"""Forcing chains by their definition: from every case single links lead to one candidate's fall.

A node is a candidate, or one digit in two or three cells that two houses have in common. All that
follows from a node is what can be reached from it in a graph of two vertices a node, one for its
being true and one for its being false; networkx walks it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import combinations

import networkx

from tests.independent.plain import Candidate, CellName, Plain, houses_of

Node = tuple[frozenset[CellName], int]
LEAST_CASES = 3


def halves_of(position: Plain, house: str, digit: int) -> Iterator[tuple[Node, Node]]:
    """Two nodes that between them hold all places of the digit in the house, at least two."""
    places = position.places(house, digit)
    shared = [
        places & cells
        for other, cells in houses_of(position.shape).items()
        if other != house and len(cells & houses_of(position.shape)[house]) > 1
    ]
    for one in {frozenset({cell}) for cell in places} | {each for each in shared if each}:
        other = places - one
        if len(other) == 1 or (other and any(other <= each for each in shared)):
            yield (one, digit), (other, digit)


def strong_links(position: Plain) -> Iterator[tuple[Node, Node]]:
    for cell, digits in position.candidates.items():
        if len(digits) == 2:
            one, other = digits
            yield (frozenset({cell}), one), (frozenset({cell}), other)
    for house in houses_of(position.shape):
        for digit in range(1, position.shape.size + 1):
            yield from halves_of(position, house, digit)


def exclude(position: Plain, one: Node, other: Node) -> bool:
    """Say whether not both nodes can be true, for the sake of one cell or one house."""
    if one[1] != other[1]:
        return len(one[0] | other[0]) == 1
    both = one[0] | other[0]
    if one[0] & other[0]:
        return False
    return any(both <= cells for cells in houses_of(position.shape).values())


def graph_of(position: Plain) -> networkx.DiGraph[tuple[Node, bool]]:
    strong = list(strong_links(position))
    singles = {
        (frozenset({cell}), digit)
        for cell, digits in position.candidates.items()
        for digit in digits
    }
    nodes = singles | {node for link in strong for node in link}
    graph: networkx.DiGraph[tuple[Node, bool]] = networkx.DiGraph()
    graph.add_nodes_from((node, is_true) for node in nodes for is_true in (True, False))
    for one, other in strong:
        graph.add_edge((one, False), (other, True))
        graph.add_edge((other, False), (one, True))
    for one, other in combinations(nodes, 2):
        if exclude(position, one, other):
            graph.add_edge((one, True), (other, False))
            graph.add_edge((other, True), (one, False))
    return graph


def find_forced(position: Plain, sources: Iterable[frozenset[Candidate]]) -> set[Candidate]:
    """All candidates that fall from each case of some source."""
    graph = graph_of(position)
    found: set[Candidate] = set()
    for cases in sources:
        falls = []
        for cell, digit in cases:
            reached = networkx.descendants(graph, ((frozenset({cell}), digit), True))
            falls.append({node for node, is_true in reached if not is_true and len(node[0]) == 1})
        found |= {(cell, digit) for (cell,), digit in set.intersection(*falls)} - cases
    return found


def find_by_cells(position: Plain) -> set[Candidate]:
    return find_forced(
        position,
        [
            frozenset((cell, digit) for digit in digits)
            for cell, digits in position.candidates.items()
            if len(digits) >= LEAST_CASES
        ],
    )


def find_by_houses(position: Plain) -> set[Candidate]:
    return find_forced(
        position,
        [
            frozenset((cell, digit) for cell in places)
            for house in houses_of(position.shape)
            for digit in range(1, position.shape.size + 1)
            if len(places := position.places(house, digit)) >= LEAST_CASES
        ],
    )


FORCED = {"cell-forcing-chain": find_by_cells, "house-forcing-chain": find_by_houses}
