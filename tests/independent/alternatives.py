"""What a hint could have been instead: every single step at a position, and how hard a single is.

Techniques of levels 1 to 5 are found by their plain definitions; chains and almost-locked pairs by
searches of their own, with all that an instance strikes, so that a shorter one cannot be missed.
What strikes only what smaller ones of its kind do is none, as the design says: for each candidate
the smallest count.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import cache
from itertools import combinations

from tests.independent.definitions import DEFINITIONS, find_hidden_singles
from tests.independent.forcing import Node, strong_links
from tests.independent.higher import EXACT
from tests.independent.one_digit import seen_by_all
from tests.independent.one_digit import strong_links as strong_links_of
from tests.independent.plain import Candidate, CellName, Plain, Shape, cells_of, houses_of, peers_of
from tests.independent.two_candidates import pairs_in

Strike = tuple[int, frozenset[Candidate]]
"""(size in cells or links, all that goes)"""

Finder = Callable[[Plain, int], Iterator[Strike]]
"""Yields what instances of at most so many cells or links strike."""


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


# --- singles ---


def bars_of(position: Plain, house: str, cell: CellName, digit: int) -> tuple[int, int]:
    """(cells of the house in which the digit was only struck, fewest lines that bar the rest).

    A line is a row, a column or a box in which the digit stands.
    """
    rest = position.open_in(house) - {cell}
    standing = [
        cells & rest
        for cells in houses_of(position.shape).values()
        if any(position.digits.get(other) == digit for other in cells)
    ]
    seen = frozenset[CellName]().union(*standing)
    for count in range(len(rest) + 1):
        for chosen in combinations({each for each in standing if each}, count):
            if seen <= frozenset[CellName]().union(*chosen):
                return len(rest - seen), count
    raise AssertionError("the lines that bar the rest bar it")


def easiest_bars(position: Plain) -> tuple[int, int] | None:
    """The least that it takes to see any hidden single; None where there is none."""
    return min(
        (
            bars_of(position, house, cell, digit)
            for each in find_hidden_singles(position)
            for cell, digit in each.places
            for house in each.houses or ()
        ),
        default=None,
    )


def has_hidden_single_in_a_box(position: Plain) -> bool:
    return any(
        house.startswith("box")
        for each in find_hidden_singles(position)
        for house in each.houses or ()
    )


# --- chains and pairs, shortest first ---


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


@cache
def _peer_masks(shape: Shape) -> Mapping[CellName, int]:
    number = {cell: place for place, cell in enumerate(cells_of(shape))}
    return {cell: sum(1 << number[each] for each in peers_of(shape, cell)) for cell in number}


Places = dict[int, tuple[int, int]]
"""digit -> (its cells in a set, the cells that see all of these), as masks by cell number."""


def _holds_naked_subset(position: Plain, cells: Iterable[CellName]) -> bool:
    every = tuple(cells)
    return any(
        len(frozenset[int]().union(*(position.candidates[cell] for cell in part))) <= len(part)
        for size in range(2, len(every))
        for part in combinations(every, size)
    )


def _almost_locked_sets(position: Plain, largest: int) -> Iterator[tuple[int, int, Places]]:
    """(cells, their number, places) of all sets of cells of a house with one digit more, but those
    that hold a naked subset. Such a set is two ideas, of which the lower is told first: once the
    subset has struck, a smaller set does the same."""
    number = {cell: place for place, cell in enumerate(cells_of(position.shape))}
    peers, known = _peer_masks(position.shape), set()
    for house in houses_of(position.shape):
        for size in range(1, largest + 1):
            for cells in combinations(sorted(position.open_in(house)), size):
                digits = frozenset[int]().union(*(position.candidates[cell] for cell in cells))
                if len(digits) != size + 1 or cells in known:
                    continue
                known.add(cells)
                if _holds_naked_subset(position, cells):
                    continue
                places: Places = {}
                for digit in digits:
                    own = [cell for cell in cells if digit in position.candidates[cell]]
                    common = -1
                    for cell in own:
                        common &= peers[cell]
                    places[digit] = (sum(1 << number[cell] for cell in own), common)
                yield sum(1 << number[cell] for cell in cells), size, places


def find_almost_locked(position: Plain, most: int) -> Iterator[Strike]:
    """Two sets apart, all places of x in the one seeing all in the other: z goes from what sees
    all its places in both. Sets have five cells at most, as the engine says too."""
    cells = cells_of(position.shape)
    planes = {
        digit: sum(
            1 << place
            for place, cell in enumerate(cells)
            if digit in position.candidates.get(cell, ())
        )
        for digit in range(1, position.shape.size + 1)
    }
    sets = list(_almost_locked_sets(position, min(5, most - 1)))
    for (one, size, first), (other, other_size, second) in combinations(sets, 2):
        if one & other or size + other_size > most:
            continue
        shared = first.keys() & second.keys()
        if len(shared) < 2:
            continue
        for x in shared:
            if second[x][0] & ~first[x][1]:
                continue
            for z in shared - {x}:
                seen = planes[z] & first[z][1] & second[z][1] & ~(one | other)
                if seen:
                    names = (cells[place] for place in range(len(cells)) if seen >> place & 1)
                    yield size + other_size, frozenset((cell, z) for cell in names)


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


# --- by technique ---


def _by_definition(technique: str) -> Finder:
    find = {**DEFINITIONS, **EXACT}[technique]

    def strikes(position: Plain, _: int) -> Iterator[Strike]:
        for each in find(position):
            yield len(each.cells), each.removes or each.places

    return strikes


FINDERS: Mapping[str, Finder] = {
    **{technique: _by_definition(technique) for technique in (*DEFINITIONS, *EXACT)},
    "remote-pair": find_remote_pairs,
    "x-chain": find_x_chains,
    "xy-chain": find_xy_chains,
    "als-xz": find_almost_locked,
    "long-xy-chain": find_xy_chains,
    "large-als-xz": find_almost_locked,
    "alternating-inference-chain": find_inference_chains,
}
"""Technique id -> the search for what its instances strike, up to a size."""

LONGEST = {
    "remote-pair": 12,
    "x-chain": 13,
    "xy-chain": 6,
    "als-xz": 5,
    "long-xy-chain": 12,
    "large-als-xz": 10,
    "alternating-inference-chain": 15,
}
"""How far is looked: the whole technique but for the longest chains of level 6."""
PLACES = "bug-plus-one"
"""It settles a cell, and needs to strike nothing for it."""


def opening_sizes(technique: str, position: Plain, longest: int) -> Iterator[int]:
    """Yield the size of each instance of at most that size that opens a placement by itself."""
    if technique not in LONGEST:
        for size, struck in FINDERS[technique](position, longest):
            if technique == PLACES or opens(position, struck):
                yield size
        return
    by_size: dict[int, list[frozenset[Candidate]]] = {}
    for size, struck in FINDERS[technique](position, longest):
        by_size.setdefault(size, []).append(struck)
    smaller = frozenset[Candidate]()
    for size, strikes in sorted(by_size.items()):
        if any(struck - smaller and opens(position, struck) for struck in strikes):
            yield size
        smaller = smaller.union(*strikes)
