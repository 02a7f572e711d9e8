"""Alternating inference chains: strong and weak links in turn, so that one of the ends is true.

Whatever both ends see goes. Where the two ends see each other as well the chain is a continuous
loop: it can be begun at any of its weak links, so of every two neighbours one is true, and all that
two neighbours both see goes in one step. A chain strikes something that no shorter one does, and
with it all that its own ends both see; of one length there is one for each set of eliminations, so
that what is found depends on neither the order of cells nor of digits. A chain never passes the
same candidate twice, nor one that it strikes.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice, pairwise

from engine.board.grid import Grid
from engine.board.layout import iterate_bits
from engine.board.step import LOOP, CellConstraint, Constraint, LinkKind, Step
from engine.inference.evidence import houses_by_cell
from engine.inference.links import (
    Links,
    candidates_of,
    links_of,
    strong_constraint,
    tell_chain,
    walk_from_false,
    weak_constraints,
)
from engine.inference.minimal_evidence import guesses_along, spare_constraints

TECHNIQUE = "alternating-inference-chain"
LEVEL = 6

LONGEST_DETOUR = 15
"""Up to how many links longer ways are walked where the shortest between two ends pass a candidate
twice: what is beyond is hardly ever there, and takes long to rule out."""

Ends = tuple[int, int]

_Walked = tuple[int, "_Walked | None"]
"""A node, and what was walked on from it towards the end."""


def find_inference_chains(grid: Grid) -> Iterator[Step]:
    """Yield the chains, shortest first, then those that strike most; loops after the others."""
    links = links_of(grid)
    struck_by_shorter = 0
    repeating: list[tuple[int, list[Ends]]] = []
    for length, pairs in _ends_by_length(links):
        fresh: dict[int, list[Ends]] = {}
        for victims, ends in *pairs.items(), *repeating:
            if victims & ~struck_by_shorter:
                fresh.setdefault(victims, []).extend(ends)
        loops = _find_loops(links, fresh, length)
        taken, waiting = [victims for _, victims in loops], []
        for victims in sorted(fresh, key=lambda mask: (-mask.bit_count(), mask)):
            if any(not victims & ~wider for wider in taken):
                continue
            nodes = _shortest_chain(links, sorted(fresh[victims]), length)
            if nodes is None:
                waiting.append((victims, fresh[victims]))
            else:
                taken.append(victims)
                yield _step(grid, links, nodes, _not_passed(links, nodes, victims))
        for nodes, victims in loops:
            yield _step(grid, links, [*nodes, nodes[0]], victims)
        repeating = waiting if length < LONGEST_DETOUR else []
        for victims in taken:
            struck_by_shorter |= victims


def _find_loops(
    links: Links, fresh: dict[int, list[Ends]], length: int
) -> list[tuple[list[int], int]]:
    """Return (nodes, all that it strikes) of loops that strike more than one chain of theirs does.

    One that strikes nothing but what those before it do is left out.
    """
    found: list[tuple[list[int], int]] = []
    known = 0
    for victims in sorted(fresh, key=lambda mask: (-mask.bit_count(), mask)):
        if not victims & ~known:
            continue
        closed = sorted(ends for ends in fresh[victims] if links.weak[ends[0]] >> ends[1] & 1)
        nodes = _shortest_chain(links, closed, length) if length > 1 else None
        if nodes is None:
            continue
        every = 0
        for one, other in pairwise([*nodes, nodes[0]]):
            every |= links.sees[one] & links.sees[other]
        every = _not_passed(links, nodes, every)
        if every & ~victims:
            known |= every
            found.append((nodes, every))
    return found


def _not_passed(links: Links, nodes: list[int], victims: int) -> int:
    for index in nodes:
        victims &= ~candidates_of(links, index)
    return victims


def _ends_by_length(links: Links) -> Iterator[tuple[int, dict[int, list[Ends]]]]:
    """Yield for each number of links, ascending, what goes by which pairs of ends."""
    sees, strong, leaps = links.sees, links.strong, _leaps(links)
    walks = [(start, strong[start], strong[start]) for start in iterate_bits(links.linked)]
    length = 1
    while walks:
        found: dict[int, list[Ends]] = {}
        further = []
        for start, fresh, true_seen in walks:
            seen, ends = sees[start], fresh & -1 << start  # each pair once, from its lower end
            while ends:
                end = ends.bit_length() - 1
                ends ^= 1 << end
                victims = seen & sees[end]
                if victims:
                    found.setdefault(victims, []).append((start, end))
            reached = 0
            while fresh:
                index = fresh.bit_length() - 1
                fresh ^= 1 << index
                reached |= leaps[index]
            fresh = reached & ~true_seen
            if fresh:
                further.append((start, fresh, true_seen | fresh))
        yield length, found
        walks = further
        length += 2
    for detour in range(length, LONGEST_DETOUR + 1, 2):
        yield detour, {}


def _leaps(links: Links) -> dict[int, int]:
    """Return for each node with a strong link what turns true two links on from it, if it is true:
    what a walk from false comes to next, without what turns false in between."""
    strong, leaps = links.strong, {}
    for index in strong:
        between, reached = links.weak[index] & links.linked, 0
        while between:
            low = between & -between
            between ^= low
            reached |= strong[low.bit_length() - 1]
        leaps[index] = reached
    return leaps


def _shortest_chain(links: Links, pairs: list[Ends], length: int) -> list[int] | None:
    """Return the nodes of a chain of `length` links between one of the pairs; None if all that
    there are pass a candidate twice."""
    for start, end in pairs:
        layers = [1 << start, *islice(walk_from_false(links, start), length)]
        if len(layers) <= length or not layers[length] >> end & 1:
            layers = _with_detours(layers, length)
        found = _walk_back(links, layers, end)
        if found is not None:
            return found
    return None


def _with_detours(layers: list[int], length: int) -> list[int]:
    """Return what a walk of so many links can have come to after each, by whatever way."""
    layers = layers + [0] * (length + 1 - len(layers))
    for depth in range(2, length):
        layers[depth] |= layers[depth - 2]
    return layers


def _walk_back(links: Links, layers: list[int], end: int) -> list[int] | None:
    """Return nodes, one a layer, from the first to `end`; no candidate twice but the ends."""
    if _must_repeat(links, layers, end):
        return None
    own, first_group = candidates_of(links, end), links.layout.all_candidates.bit_length()
    waiting: list[tuple[_Walked, int, int]] = [((end, None), len(layers) - 2, 0)]
    while waiting:
        walked, depth, between = waiting.pop()
        if depth < 0:
            return _nodes_of(walked)
        towards = links.strong if depth % 2 == 0 else links.weak
        passed = between | own if depth else between
        # A node of one candidate has that candidate's number.
        rest = towards[walked[0]] & layers[depth] & ~passed
        while rest:
            low = rest & -rest
            rest ^= low
            index = low.bit_length() - 1
            candidates = low if index < first_group else candidates_of(links, index)
            if not candidates & passed:
                waiting.append(((index, walked), depth - 1, between | candidates))
    return None


def _must_repeat(links: Links, layers: list[int], end: int) -> bool:
    """Say whether all ways to `end` pass a candidate twice, since some of the layers leave but one
    node each. Most of those that do repeat one are known by this without trying."""
    ends = candidates_of(links, end) | candidates_of(links, layers[0].bit_length() - 1)
    passed, nodes = 0, 1 << end
    for depth in range(len(layers) - 2, 0, -1):
        towards = links.strong if depth % 2 == 0 else links.weak
        before = 0
        while nodes:
            index = nodes.bit_length() - 1
            nodes ^= 1 << index
            before |= towards[index]
        nodes = before & layers[depth]
        if not nodes & nodes - 1:
            candidates = candidates_of(links, nodes.bit_length() - 1)
            if candidates & (passed | ends):
                return True
            passed |= candidates
    return False


def _nodes_of(walked: _Walked) -> list[int]:
    nodes = [walked[0]]
    while walked[1] is not None:
        walked = walked[1]
        nodes.append(walked[0])
    return nodes


def _step(grid: Grid, links: Links, nodes: list[int], victims: int) -> Step:
    layout = grid.layout
    constraints: list[Constraint] = []
    pattern = 0
    for index in nodes:
        pattern |= candidates_of(links, index)
    for place, (one, other) in enumerate(pairwise(nodes)):
        if place % 2 == 0:
            constraints.append(strong_constraint(grid, links, one, other))
        else:
            constraints.append(_cited(constraints, weak_constraints(links, one, other)))
    # A chain can come back to its own start by a strong link as well: that one is no loop.
    is_loop = nodes[0] == nodes[-1] and len(nodes) % 2 == 1
    for one, other in pairwise(nodes) if is_loop else ((nodes[0], nodes[-1]),):
        for victim in iterate_bits(victims & links.sees[one] & links.sees[other]):
            for end in (one, other):
                constraints.append(_cited(constraints, weak_constraints(links, victim, end)))
    walked = [candidates_of(links, index) for index in nodes]
    guesses = () if is_loop else guesses_along(walked, victims)
    kept = spare_constraints(grid, tuple(dict.fromkeys(constraints)), victims, guesses)
    first = constraints[0]
    cells = 0
    for index in nodes:
        cells |= links.shapes[index][1]
    members = layout.cells_in(cells)
    start = layout.cells_in(links.shapes[nodes[0]][1])[0]
    return Step(
        TECHNIQUE,
        LEVEL,
        (
            houses_by_cell(layout)[start][0].index
            if isinstance(first, CellConstraint)
            else first.house,
        ),
        members,
        tuple(sorted({links.shapes[index][0] for index in nodes})),
        pattern,
        removes=victims,
        constraints=kept,
        chains=(tell_chain(links, nodes, first=LinkKind.STRONG),),
        variant=LOOP if is_loop else "",
    )


def _cited(cited: list[Constraint], choice: list[Constraint]) -> Constraint:
    """Return one of the choice that is cited already, or else the first."""
    return next((each for each in choice if each in cited), choice[0])
