"""Exact search: the solutions of a position, whatever its difficulty, without any technique.

It places singles (see `propagation`); where none is left it strikes what boxes and lines confine
(see `bulk_locked_candidates`), which saves half of the branches; then it branches. Where that leads
nowhere for long it begins again, and probes every candidate before it branches (see `probing`). It
takes the position as it stands: a candidate that has been struck is not tried.
"""

from __future__ import annotations

from collections.abc import Iterator

from engine.board.grid import Grid, as_grid
from engine.board.layout import iterate_bits
from engine.errors import StoppedError
from engine.limits import StopAsker, count_work
from engine.search.probing import probe
from engine.search.propagation import Tables, propagate, settle, tables_of

BRANCHES_BETWEEN_ASKING = 64

FRUITLESS_BRANCHES = 256
"""So many in a row without a solution, and the search begins again with probing. The hardest
puzzles known to us take fewer than 40 in all."""

MOST_REMEMBERED = 1000
"""Where more solutions than these were found it goes on as it was: they would all come again."""


def solve(grid: Grid | str, *, should_stop: StopAsker | None = None) -> Grid | None:
    """Return one solution, or None where there is none.

    >>> from engine import solve
    >>> print(solve("1... ..3. .4.. ...2"))
    13|24
    42|31
    --+--
    24|13
    31|42
    """
    grid = as_grid(grid)
    for solution in _find_complete(grid, should_stop):
        return grid.with_written(solution, 0)
    return None


def count_solutions(
    grid: Grid | str, limit: int = 2, *, should_stop: StopAsker | None = None
) -> int:
    """Return the number of solutions, counting no further than `limit`.

    >>> from engine import count_solutions
    >>> count_solutions("1... .... .... ...2", limit=100)
    18
    """
    grid, count = as_grid(grid), 0
    if limit > 0:
        for _ in _find_complete(grid, should_stop):
            count += 1
            if count == limit:
                break
    return count


def find_solutions(
    grid: Grid | str, limit: int = 2, *, should_stop: StopAsker | None = None
) -> tuple[Grid, ...]:
    """Return up to `limit` solutions.

    >>> from engine import find_solutions, format_grid
    >>> [format_grid(solution) for solution in find_solutions("12.. 34.. 2143 4321")]
    ['1234341221434321']
    """
    grid = as_grid(grid)
    found: list[Grid] = []
    if limit > 0:
        for solution in _find_complete(grid, should_stop):
            found.append(grid.with_written(solution, 0))
            if len(found) == limit:
                break
    return tuple(found)


def settle_singles(grid: Grid) -> Grid | None:
    """Return the position after placing singles as long as there are any; None where that comes to
    a contradiction. No digit may stand twice in a house."""
    tables = tables_of(grid.layout)
    candidates, done = propagate(tables, grid.candidates | grid.placed, grid.placed)
    return grid.with_written(done, candidates ^ done) if candidates else None


def _start(grid: Grid) -> tuple[int, int]:
    """Return all candidates, placed ones included, and the placed ones; (0, 0) where a digit
    stands twice in a house."""
    tables = tables_of(grid.layout)
    candidates, rest = grid.candidates | grid.placed, grid.placed
    while rest:
        index = rest.bit_length() - 1
        candidates &= tables.keeps[index]
        rest ^= tables.bits[index]
    return (0, 0) if grid.placed & ~candidates else (candidates, grid.placed)


def _find_complete(grid: Grid, should_stop: StopAsker | None) -> Iterator[int]:
    """Yield the candidate mask of every solution, once each, depth first."""
    tables, layout = tables_of(grid.layout), grid.layout
    start = _start(grid)
    waiting = [start] if start[0] else []
    branches = fruitless = 0
    known: set[int] = set()
    is_probing = False
    while waiting:
        candidates, done = settle(tables, layout, *waiting.pop())
        if not candidates:
            continue
        if candidates == done:
            fruitless = 0
            if candidates not in known:
                if not is_probing and len(known) <= MOST_REMEMBERED:
                    known.add(candidates)
                yield candidates
            continue
        branches, fruitless = branches + 1, fruitless + 1
        count_work()
        is_asked = is_probing or branches % BRANCHES_BETWEEN_ASKING == 0
        if should_stop is not None and is_asked and should_stop():
            raise StoppedError(branches)
        if is_probing:
            candidates, done, choices = probe(tables, layout, candidates, done)
            if candidates and not choices:
                waiting.append((candidates, done))
        elif fruitless > FRUITLESS_BRANCHES and len(known) <= MOST_REMEMBERED:
            is_probing, waiting = True, [start]
            continue
        else:
            choices = _choices(tables, candidates)
        while choices:
            index = choices.bit_length() - 1
            bit = tables.bits[index]
            choices ^= bit
            waiting.append((candidates & tables.keeps[index], done | bit))


def _choices(tables: Tables, candidates: int) -> int:
    """Return the candidates of the cell to branch on, as a mask.

    A cell with two candidates if there is one, and of those one whose two digits both stand in many
    others of the kind that it sees, since it settles most. Otherwise a cell with the fewest
    candidates.
    """
    all_cells, bits, peers = tables.all_cells, tables.bits, tables.peers
    planes = [candidates >> shift & all_cells for shift in tables.planes]
    ones = twos = threes = 0
    for plane in planes:
        threes |= twos & plane
        twos |= ones & plane
        ones |= plane
    pairs = twos ^ threes
    if not pairs:
        spread = tables.cell_spread
        fewest = min(
            (bits[cell] for cell in iterate_bits(twos)),
            key=lambda bit: (candidates & bit * spread).bit_count(),
        )
        return candidates & fewest * spread
    firsts: dict[int, int] = {}
    most, pick = 0, 0
    for plane in planes:
        rest = plane = plane & pairs
        while rest:
            index = rest.bit_length() - 1
            rest ^= bits[index]
            settled = 1 + (plane & peers[index]).bit_count()
            first = firsts.get(index)
            if first is None:
                firsts[index] = settled
            elif first * settled > most:
                most, pick = first * settled, bits[index]
    return candidates & pick * tables.cell_spread
