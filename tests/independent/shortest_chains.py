"""Chains of one digit or of two-candidate cells, shortest first: what some instance strikes, with
all that it strikes. Each is walked by a search of its own, so that a shorter one cannot be missed.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from tests.independent.one_digit import seen_by_all
from tests.independent.one_digit import strong_links as strong_links_of
from tests.independent.plain import Candidate, CellName, Plain, houses_of, peers_of
from tests.independent.two_candidates import pairs_in

Strike = tuple[int, frozenset[Candidate]]
"""(size in cells or links, all that goes)"""


def opens(position: Plain, removes: Iterable[Candidate]) -> bool:
    """Say whether striking these leaves a digit one place, or a cell one digit, that had more."""
    gone = {each for each in removes if position.has(each)}
    for cell in {cell for cell, _ in gone}:
        before = position.candidates[cell]
        if len(before) > 1 and sum((cell, digit) not in gone for digit in before) == 1:
            return True
    for house, cells in houses_of(position.shape).items():
        for digit in {digit for cell, digit in gone if cell in cells}:
            places = position.places(house, digit)
            if len(places) > 1 and sum((cell, digit) not in gone for cell in places) == 1:
                return True
    return False


def _seen_by_neighbours(
    position: Plain, ring: tuple[CellName, ...], digits: Iterable[int]
) -> frozenset[Candidate]:
    """What two cells that follow each other on a ring both see of the digit that links them."""
    return frozenset(
        (cell, digit)
        for one, other, digit in zip(ring, (*ring[1:], ring[0]), digits, strict=True)
        for cell in seen_by_all(position, (one, other), digit) - set(ring)
    )


XyState = tuple[CellName, int]
"""A cell of two candidates, and which of them is left to it."""


class XyWeb:
    """The cells of two candidates: what is left to each neighbour that loses what a cell has."""

    def __init__(self, position: Plain) -> None:
        pairs = pairs_in(position)
        self.onward = {
            (cell, digit): frozenset(
                (other, min(pairs[other] - {digit}))
                for other in peers_of(position.shape, cell) & pairs.keys()
                if digit in pairs[other]
            )
            for cell, digits in pairs.items()
            for digit in digits
        }
        self.other = {
            (cell, digit): (cell, min(digits - {digit}))
            for cell, digits in pairs.items()
            for digit in digits
        }
        self._distances: dict[XyState, dict[XyState, int]] = {}

    def distances(self, start: XyState) -> Mapping[XyState, int]:
        """How many cells more it takes at least from a state to each other, none being barred."""
        if start not in self._distances:
            found, frontier = {start: 0}, {start}
            while frontier:
                fresh = set().union(*(self.onward[state] for state in frontier)) - found.keys()
                found |= dict.fromkeys(fresh, found[min(frontier)] + 1)
                frontier = fresh
            self._distances[start] = found
        return self._distances[start]

    def paths(self, start: XyState, end: XyState, length: int) -> Iterator[tuple[XyState, ...]]:
        """Yield the ways of so many cells between two states that meet no cell twice."""
        home = self.distances(self.other[end])  # the same links walked back
        waiting: list[tuple[XyState, ...]] = [(start,)]
        while waiting:
            path = waiting.pop()
            left = length - len(path)
            if not left:
                if path[-1] == end:
                    yield path
                continue
            passed = {cell for cell, _ in path}
            waiting += [
                (*path, state)
                for state in self.onward[path[-1]]
                if state[0] not in passed and home.get(self.other[state], length) <= left - 1
            ]


def find_xy_chains(position: Plain, longest: int) -> Iterator[Strike]:
    """Cells of two candidates, each seeing the next and passing a digit on to it: back to the start
    where the two ends see each other. Walked where something would open."""
    web = XyWeb(position)
    ends = []
    for first in web.onward:
        start, digit = web.other[first], first[1]
        for end, more in web.distances(start).items():
            seen = seen_by_all(position, (first[0], end[0]), digit)
            if end[1] == digit and end[0] > first[0] and more < longest and seen:
                both = frozenset((cell, digit) for cell in seen)
                ends.append((start, end, max(more + 1, 3), both))

    def goes_by_less(victim: Candidate, length: int) -> bool:
        return any(
            victim in both and any(victim[0] not in dict(path) for path in web.paths(start, end, n))
            for start, end, fewest, both in ends
            for n in range(fewest, length)
        )

    for start, end, fewest, both in ends:
        is_ring = end[0] in peers_of(position.shape, start[0])
        if not is_ring and not opens(position, both):
            continue
        for length in range(fewest, longest + 1):
            strikes = set()
            for path in web.paths(start, end, length):
                cells, digits = zip(*path, strict=True)
                strikes.add(frozenset(each for each in both if each[0] not in cells))
                if is_ring:
                    strikes.add(_seen_by_neighbours(position, cells, digits))
            for struck in strikes:
                if opens(position, struck) and not all(goes_by_less(v, length) for v in struck):
                    yield length, struck
            if strikes:
                break


def find_remote_pairs(position: Plain, longest: int) -> Iterator[Strike]:
    """Even paths of cells with the same two candidates: both go from what sees the two ends."""
    pairs = pairs_in(position)
    for start, digits in pairs.items():
        alike = {cell for cell in pairs if pairs[cell] == digits}
        paths: list[tuple[CellName, ...]] = [(start,)]
        for length in range(2, longest + 1):
            paths = [
                (*path, cell)
                for path in paths
                for cell in (peers_of(position.shape, path[-1]) & alike) - set(path)
            ]
            if length % 2 or length < 4:
                continue
            for path in paths:
                seen = {
                    (cell, digit)
                    for digit in digits
                    for cell in seen_by_all(position, (path[0], path[-1]), digit) - set(path)
                }
                if seen:
                    yield length, frozenset(seen)


def find_x_chains(position: Plain, longest: int) -> Iterator[Strike]:
    """Conjugate pairs of a digit, each linked to the next by two ends that see each other."""
    for digit in range(1, position.shape.size + 1):
        partners: dict[CellName, set[CellName]] = {}
        for link in strong_links_of(position, digit):
            one, other = link.cells
            partners.setdefault(one, set()).add(other)
            partners.setdefault(other, set()).add(one)
        for start in partners:
            paths: list[tuple[CellName, ...]] = [(start, end) for end in partners[start]]
            for links in range(3, longest + 1, 2):
                paths = [
                    (*path, near, far)
                    for path in paths
                    for near in (peers_of(position.shape, path[-1]) & partners.keys()) - set(path)
                    for far in partners[near] - set(path) - {near}
                ]
                for path in paths:
                    seen = seen_by_all(position, (path[0], path[-1]), digit) - set(path)
                    if seen and links >= 5:
                        yield links, frozenset((cell, digit) for cell in seen)
                        if path[-1] in peers_of(position.shape, start):
                            yield links, _seen_by_neighbours(position, path, [digit] * len(path))
