"""XY-chain: cells with two candidates, each of which sees the next and passes one digit on to it.

If the first is not c, the last is: so what sees both is not c. The chain ends in the digit that it
starts with and meets no cell twice. A step strikes something that no shorter chain does, and with
it all that its two ends see; one of three cells is an XY-wing as well. Where the two ends see each
other it is a loop, which can be begun at any cell: all that two neighbours on it both see goes in
one step. How many cells there are to follow is part of how hard a chain is to see: those of more
than MOST_CELLS are a technique of their own. None has more than LONGEST.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

from engine.board.grid import Grid
from engine.board.layout import Cell, iterate_bits
from engine.board.step import LOOP, Constraint, HouseConstraint, Step
from engine.inference.candidate_index import cells_by_count, digits_by_cell, digits_of
from engine.inference.evidence import cell_has_one
from engine.inference.minimal_evidence import spare_constraints
from engine.inference.visibility import (
    houses_between,
    no_two_between,
    sight_constraints,
    tell_line,
)

FEWEST_CELLS = 3
MOST_CELLS = 6
"""Of a chain that is not called long."""
LONGEST = 12
"""More cells than that nobody follows with a finger."""
TRIALS = 2000
"""Bound on the cells tried for chains of one length between two ends."""


@dataclass(frozen=True, slots=True)
class _Web:
    """The two-candidate cells, and how they pass digits on.

    A state is a cell being one of its two digits, and a number: that of the other digit is `^ 1`.
    `after[state]` is the mask of the states that then follow. Chains can be walked backwards, by
    the states' opposites.
    """

    cells: tuple[Cell, ...]
    digits: tuple[int, ...]
    after: tuple[int, ...]
    within: tuple[list[int], ...]
    """For each state, at index k, the mask of the states that k cells more can lead to."""


@dataclass(frozen=True, slots=True)
class _Ends:
    """Where a chain can start and end: two states, and what goes from all that sees both."""

    start: int
    end: int
    removes: int


def find_xy_chains(grid: Grid) -> Iterator[Step]:
    """Yield the shortest chain for each set of candidates that can go, by length, then cells; the
    loops of a length after its other chains."""
    web = _web_of(grid, MOST_CELLS)
    for ring, removes in _find_paths(grid, web, MOST_CELLS):
        yield _step(grid, web, ring, removes, "xy-chain", 5)


def find_long_xy_chains(grid: Grid) -> Iterator[Step]:
    """Yield the same of more cells than that, for what no chain of fewer strikes."""
    web = _web_of(grid, LONGEST)
    for ring, removes in _find_paths(grid, web, LONGEST):
        if len(set(ring)) > MOST_CELLS:
            yield _step(grid, web, ring, removes, "long-xy-chain", 6)


def _find_paths(grid: Grid, web: _Web, most: int) -> Iterator[tuple[tuple[int, ...], int]]:
    """Yield (states, what they strike) of chains; a loop comes back to its first state."""
    waiting = _ends_by_length(grid, web, most)
    struck = 0
    for length in range(FEWEST_CELLS, most + 1):
        before = struck
        chains = []
        for ends in waiting[length]:
            later = 0
            for path, removes in _chains_between(grid, web, ends, ends.removes & ~before, length):
                if path:
                    chains.append((path, _without_own(grid, web, path, ends.removes)))
                    struck |= removes
                else:
                    later |= removes
            if later and length < most:
                waiting[length + 1].append(replace(ends, removes=later))
        chains.sort(key=lambda each: [web.cells[state >> 1] for state in each[0]])
        loops = _loops_among(grid, web, chains)
        known: set[int] = set()
        for path, removes in chains:
            if removes not in known and all(removes & ~goes for _, goes in loops):
                known.add(removes)
                yield path, removes
        yield from loops


def _loops_among(
    grid: Grid, web: _Web, chains: list[tuple[tuple[int, ...], int]]
) -> list[tuple[tuple[int, ...], int]]:
    """Return the chains whose ends see each other and that so strike more, those with most first.

    One that strikes nothing but what those before it do is left out.
    """
    layout, closed = grid.layout, []
    for path, removes in chains:
        cells = [web.cells[state >> 1] for state in path]
        if layout.peers[cells[0]] >> cells[-1] & 1:
            goes = 0
            for state, (one, other) in zip(path, pairwise((*cells, cells[0])), strict=True):
                digit = web.digits[state]
                seen = grid.plane(digit) & layout.peers[one] & layout.peers[other]
                goes |= layout.spread(seen, digit)
            goes = _without_own(grid, web, path, goes)
            if goes & ~removes:
                closed.append(((*path, path[0]), goes))
    closed.sort(key=lambda each: -each[1].bit_count())
    loops, known = [], 0
    for ring, goes in closed:
        if goes & ~known:
            known |= goes
            loops.append((ring, goes))
    return loops


def _web_of(grid: Grid, most: int) -> _Web:
    layout, held = grid.layout, digits_by_cell(grid)
    cells = layout.cells_in(cells_by_count(grid)[2])
    digits = tuple(digit for cell in cells for digit in digits_of(layout, held[cell]))
    holders: dict[int, list[int]] = {}
    for state, digit in enumerate(digits):
        holders.setdefault(digit, []).append(state)
    after = []
    for state, digit in enumerate(digits):
        near, mask = layout.peers[cells[state >> 1]], 0
        for other in holders[digit]:
            if near >> cells[other >> 1] & 1:
                mask |= 1 << (other ^ 1)
        after.append(mask)
    within = tuple(_reach(after, state, most) for state in range(len(digits)))
    return _Web(cells, digits, tuple(after), within)


def _reach(after: list[int], start: int, most: int) -> list[int]:
    """Return, at index k, the mask of the states to which up to k cells more lead from `start`."""
    frontier = reached = 1 << start
    masks = [reached]
    for _ in range(most - 1):
        fresh = 0
        while frontier:
            state = frontier.bit_length() - 1
            frontier ^= 1 << state
            fresh |= after[state]
        frontier = fresh & ~reached
        reached |= fresh
        masks.append(reached)
    return masks


def _ends_by_length(grid: Grid, web: _Web, most: int) -> list[list[_Ends]]:
    """Return at each index the ends between which no chain can have fewer cells than that."""
    layout = grid.layout
    waiting: list[list[_Ends]] = [[] for _ in range(most + 1)]
    for first, digit in enumerate(web.digits):
        cell, start = web.cells[first >> 1], first ^ 1
        victims = grid.plane(digit) & layout.peers[cell]
        if not victims:
            continue
        within = web.within[start]
        for end in range((first | 1) + 1, len(web.digits)):
            if web.digits[end] != digit or not within[-1] >> end & 1:
                continue
            seen = victims & layout.peers[web.cells[end >> 1]]
            if seen:
                more = next(k for k, mask in enumerate(within) if mask >> end & 1)
                ends = _Ends(start, end, layout.spread(seen, digit))
                waiting[max(more + 1, FEWEST_CELLS)].append(ends)
    return waiting


def _chains_between(
    grid: Grid, web: _Web, ends: _Ends, removes: int, length: int
) -> Iterator[tuple[tuple[int, ...], int]]:
    """Yield (chain, what it strikes of `removes`); an empty chain for what none of them strikes.

    What lies in a chain's own cells is left to another chain between the same ends.
    """
    layout = grid.layout
    avoided: Cell | None = None
    while removes:
        path = _path(web, ends, length, avoided)
        if path is None:
            struck = removes if avoided is None else removes & layout.cell_bits[avoided]
            yield (), struck
        else:
            struck = _without_own(grid, web, path, removes)
            if struck:
                yield path, struck
        removes &= ~struck
        if removes:
            avoided = layout.pairs(removes)[0][0]


def _without_own(grid: Grid, web: _Web, path: tuple[int, ...], removes: int) -> int:
    for state in path:
        removes &= ~grid.layout.cell_bits[web.cells[state >> 1]]
    return removes


def _path(
    web: _Web, ends: _Ends, length: int, avoided: Cell | None = None
) -> tuple[int, ...] | None:
    """Return the first chain of so many cells between the ends, in the order of cells, if any."""
    home = web.within[ends.end ^ 1]
    paths: list[tuple[int, ...]] = [(ends.start,)]
    for _ in range(TRIALS):
        if not paths:
            return None
        path = paths.pop()
        left = length - len(path)
        if not left:
            if path[-1] == ends.end:
                return path
            continue
        taken = {state >> 1 for state in path}
        if avoided is not None:
            taken |= {index for index, cell in enumerate(web.cells) if cell == avoided}
        following = [
            state
            for state in iterate_bits(web.after[path[-1]])
            if home[left - 1] >> (state ^ 1) & 1 and state >> 1 not in taken
        ]
        paths += [(*path, state) for state in reversed(following)]
    return None


def _step(
    grid: Grid, web: _Web, ring: tuple[int, ...], removes: int, technique: str, level: int
) -> Step:
    layout = grid.layout
    is_loop = ring[0] == ring[-1]
    path = ring[:-1] if is_loop else ring
    around = [web.cells[state >> 1] for state in ring]
    chain = around[: len(path)]
    digit = web.digits[path[-1]]
    hops = [
        (one, other, web.digits[state])
        for (one, other), state in zip(pairwise(around), path, strict=False)
    ]
    members = layout.mask_of(chain)
    pattern = 0
    for cell in chain:
        pattern |= grid.candidates & layout.cell_bits[cell]
    line: list[tuple[Cell, int]] = []
    for cell, state in zip(chain, path, strict=True):
        line += [(cell, web.digits[state ^ 1]), (cell, web.digits[state])]
    between = houses_between(layout)
    sights: list[Constraint] = []
    for one, other, goes in hops if is_loop else [(chain[0], chain[-1], digit)]:
        seen = layout.plane(removes, goes) & layout.peers[one] & layout.peers[other]
        sights += sight_constraints(layout, goes, iterate_bits(seen), (one, other))
    constraints = (
        *(cell_has_one(cell) for cell in layout.cells_in(members)),
        *dict.fromkeys((*(no_two_between(layout, *hop) for hop in hops), *sights)),
    )
    if is_loop or _overlaps(grid, chain, digit, constraints):
        constraints = spare_constraints(grid, constraints, removes)
    return Step(
        technique,
        level,
        tuple(dict.fromkeys(between[one][other][0] for one, other, _ in hops)),
        layout.cells_in(members),
        tuple(sorted({web.digits[state] for state in path})),
        pattern,
        removes=removes,
        constraints=constraints,
        chains=(tell_line((*line, line[0]) if is_loop else tuple(line)),),
        variant=LOOP if is_loop else "",
    )


def _overlaps(
    grid: Grid, chain: list[Cell], digit: int, constraints: tuple[Constraint, ...]
) -> bool:
    """Say whether a cited house joins more of the chain than the cells that it is cited for.

    Those are two that follow each other, or of the digit that goes the ends alone. Only otherwise
    can a part of the chain, such as a naked pair in it, be enough by itself.
    """
    layout = grid.layout
    members, inner = layout.mask_of(chain), layout.mask_of(chain[1:-1])
    for each in constraints:
        if isinstance(each, HouseConstraint):
            mask = layout.houses[each.house].mask & grid.plane(each.digit)
            if (mask & members).bit_count() > 2 or (each.digit == digit and mask & inner):
                return True
    return False
