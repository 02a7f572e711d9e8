"""Chains of strong and weak links between candidates and groups, shortest first, and what follows
from every case of a source."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import combinations

from tests.independent.forcing import Node, strong_links
from tests.independent.plain import Candidate, CellName, Plain, houses_of
from tests.independent.shortest_chains import Strike, opens


class Graph:
    """Candidates and groups of a position, and what excludes or forces what."""

    def __init__(self, position: Plain) -> None:
        self.strong: dict[Node, set[Node]] = {}
        for one, other in strong_links(position):
            self.strong.setdefault(one, set()).add(other)
            self.strong.setdefault(other, set()).add(one)
        singles = {
            (frozenset({cell}), digit)
            for cell, digits in position.candidates.items()
            for digit in digits
        }
        in_house: dict[tuple[str, int], set[Node]] = {}
        in_cell: dict[CellName, set[Node]] = {}
        nodes = singles | self.strong.keys()
        for node in nodes:
            for house, cells in houses_of(position.shape).items():
                if node[0] <= cells:
                    in_house.setdefault((house, node[1]), set()).add(node)
            if len(node[0]) == 1:
                in_cell.setdefault(min(node[0]), set()).add(node)
        self.weak: dict[Node, set[Node]] = {node: set() for node in nodes}
        for together in in_house.values():
            for one, other in combinations(together, 2):
                if not one[0] & other[0]:
                    self.weak[one].add(other)
                    self.weak[other].add(one)
        for together in in_cell.values():
            for node in together:
                self.weak[node] |= together - {node}
        self.singles = singles
        self._walks: dict[Node, tuple[Mapping[Node, int], Mapping[Node, int]]] = {}

    def false_after(self, start: Node) -> dict[Node, int]:
        """Each node that falls if the start is true -> the fewest links to it."""
        found: dict[Node, int] = {}
        true, frontier, links = {start}, {start}, 1
        while frontier:
            falls = set().union(*(self.weak[node] for node in frontier)) - found.keys()
            found |= dict.fromkeys(falls, links)
            frontier = set().union(*(self.strong.get(node, ()) for node in falls)) - true
            true |= frontier
            links += 2
        return found

    def true_after(self, start: Node) -> Mapping[Node, int]:
        """Each node that is true if the start is false -> the fewest links to it."""
        return self._after_false(start)[0]

    def _after_false(self, start: Node) -> tuple[Mapping[Node, int], Mapping[Node, int]]:
        """Return what turns true, and what turns false, with the fewest links to each."""
        if start not in self._walks:
            true: dict[Node, int] = {}
            false, frontier, links = {start: 0}, {start}, 1
            while frontier:
                rises = set().union(*(self.strong.get(node, ()) for node in frontier)) - true.keys()
                true |= dict.fromkeys(rises, links)
                frontier = set().union(*(self.weak[node] for node in rises)) - false.keys()
                false |= dict.fromkeys(frontier, links + 1)
                links += 2
            self._walks[start] = true, false
        return self._walks[start]

    def has_chain(self, start: Node, end: Node, links: int, aside: frozenset[Candidate]) -> bool:
        """Say whether strong and weak links in turn lead there with no candidate passed twice, and
        none of those aside."""
        own = {(cell, end[1]) for cell in end[0]} | aside
        home = self._after_false(end)  # the same links walked back
        waiting = [(start, 0, frozenset[Candidate]())]
        while waiting:
            node, walked, passed = waiting.pop()
            towards = self.weak[node] if walked % 2 else self.strong.get(node, set())
            if walked == links - 1:
                if end in towards:
                    return True
                continue
            for other in towards:
                if home[walked % 2 == 0].get(other, links) > links - walked - 1:
                    continue
                candidates = {(cell, other[1]) for cell in other[0]}
                ends = own | ({(cell, start[1]) for cell in start[0]} if walked else set())
                if not candidates & (passed | ends):
                    waiting.append((other, walked + 1, passed | candidates))
        return False


def find_inference_chains(position: Plain, longest: int) -> Iterator[Strike]:
    """Chains of which one end is true, walked where what both exclude would open something."""
    graph = Graph(position)
    ends = [
        (start, end, fewest, frozenset((min(cells), digit) for cells, digit in both))
        for start in graph.strong
        for end, fewest in graph.true_after(start).items()
        if fewest <= longest
        and end != start
        and (both := graph.weak[start] & graph.weak[end] & graph.singles)
    ]

    def goes_by_less(victim: Candidate, links: int) -> bool:
        return any(
            victim in both and graph.has_chain(start, end, fewer, frozenset())
            for start, end, fewest, both in ends
            for fewer in range(fewest, links, 2)
        )

    for start, end, fewest, both in ends:
        if not opens(position, both):
            continue
        for links in range(fewest, longest + 1, 2):
            if graph.has_chain(start, end, links, both):
                if not all(goes_by_less(victim, links) for victim in both):
                    yield links, both
                break


def find_forced(position: Plain, sources: Iterable[frozenset[Candidate]]) -> Iterator[Strike]:
    """Whatever falls from each case of a source, with the fewest links in all."""
    graph = Graph(position)
    for cases in sources:
        falls = [graph.false_after((frozenset({cell}), digit)) for cell, digit in cases]
        for node in set.intersection(*(set(each) for each in falls)) & graph.singles:
            candidate = (min(node[0]), node[1])
            if candidate not in cases:
                yield sum(each[node] for each in falls), frozenset({candidate})
