"""The parts of a pattern that words and pictures both name: fins, colours, sets, a trace's end.

They are read from a step's evidence and the position at which it was found, so that both name the
same ones. Nothing here finds a step.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import combinations

from engine.board.grid import Grid
from engine.board.layout import Cell, House
from engine.board.step import Bound, CellConstraint, HouseConstraint, Link, LinkKind, Node, Step
from engine.inference.visibility import seen_by_all

WALKED = frozenset(
    {
        "remote-pair",
        "x-chain",
        "xy-chain",
        "long-xy-chain",
        "alternating-inference-chain",
        "cell-forcing-chain",
        "house-forcing-chain",
    }
)
"""The techniques whose cells are followed one after another; no house holds them together."""


def cited_cells(step: Step) -> tuple[Cell, ...]:
    """Return the cells that must hold something, lowest first."""
    return tuple(
        sorted(
            each.cell
            for each in step.constraints
            if isinstance(each, CellConstraint) and each.bound is Bound.AT_LEAST_ONE
        )
    )


def cited_houses(step: Step, grid: Grid, bound: Bound) -> tuple[tuple[House, int], ...]:
    """Return the (house, digit) pairs that are cited with a bound, in the order of houses."""
    found = (
        (each.house, each.digit)
        for each in step.constraints
        if isinstance(each, HouseConstraint) and each.bound is bound
    )
    return tuple((grid.layout.houses[index], digit) for index, digit in sorted(found))


def base_lines(step: Step, grid: Grid) -> tuple[House, ...]:
    """Return the lines of a fish in which its digit must go somewhere."""
    return tuple(house for house, _ in cited_houses(step, grid, Bound.AT_LEAST_ONE))


def cover_lines(step: Step, grid: Grid) -> tuple[House, ...]:
    """Return the lines of a fish that take its digit once each; the house of a fin is none."""
    return tuple(grid.layout.houses[index] for index in sorted(step.covers))


def fin_cells(step: Step, grid: Grid) -> int:
    """Return the cell mask of the base lines' places for the digit that no cover line takes."""
    base = covered = 0
    for house in base_lines(step, grid):
        base |= house.mask
    for house in cover_lines(step, grid):
        covered |= house.mask
    return grid.plane(step.digits[0]) & base & ~covered


def find_colours(step: Step) -> tuple[tuple[Cell, ...], tuple[Cell, ...]]:
    """Return the cells of either colour of a cluster that strong links join, lowest first.

    The colour of the step's lowest linked cell is the first one.
    """
    near: dict[Cell, set[Cell]] = {}
    for line in step.chains:
        for link in line:
            if link.kind is LinkKind.WEAK:
                continue
            one, other = link.first.cells[0], link.second.cells[0]
            near.setdefault(one, set()).add(other)
            near.setdefault(other, set()).add(one)
    sides: dict[Cell, bool] = {}
    for start in sorted(near):
        waiting = [] if start in sides else [start]
        sides.setdefault(start, True)
        while waiting:
            cell = waiting.pop()
            for other in sorted(near[cell]):
                if other not in sides:
                    sides[other] = not sides[cell]
                    waiting.append(other)
    return (
        tuple(cell for cell in sorted(sides) if sides[cell]),
        tuple(cell for cell in sorted(sides) if not sides[cell]),
    )


@dataclass(frozen=True, slots=True)
class ClusterOfTwo:
    """One of two clusters: the colour that meets the other cluster, its other colour, and by which
    links the two meet."""

    met: tuple[Cell, ...]
    others: tuple[Cell, ...]
    met_by: tuple[Link, ...]


def find_clusters(step: Step) -> tuple[ClusterOfTwo, ClusterOfTwo]:
    """Return the two clusters of a step, each by its colours; the first begins the weak links."""
    meetings = tuple(link for line in step.chains for link in line if link.kind is LinkKind.WEAK)
    clusters = []
    for cell in (meetings[0].first.cells[0], meetings[0].second.cells[0]):
        lines, cells = [], {cell}
        left = [line for line in step.chains if line[0].kind is LinkKind.STRONG]
        while near := [line for line in left if cells & _cells_of(line)]:
            left = [line for line in left if line not in near]
            lines += near
            cells = cells.union(*map(_cells_of, near))
        first, second = find_colours(replace(step, chains=tuple(lines)))
        met, others = (first, second) if cell in first else (second, first)
        clusters.append(ClusterOfTwo(met, others, meetings))
    return clusters[0], clusters[1]


def _cells_of(line: tuple[Link, ...]) -> set[Cell]:
    return {cell for link in line for node in (link.first, link.second) for cell in node.cells}


@dataclass(frozen=True, slots=True)
class SetPair:
    """Two sets of cells with one digit more than cells each, and the digit that links them, or the
    two that do."""

    first: tuple[Cell, ...]
    second: tuple[Cell, ...]
    shared: tuple[int, ...]


def find_sets(step: Step, grid: Grid) -> SetPair | None:
    """Return how the cited cells of a pair of almost locked sets fall into two, and strike all that
    the step does; None if they do not."""
    struck = step.removes & grid.candidates
    return next((sets for sets in _pairs(step, grid) if not struck & ~struck_by(grid, sets)), None)


def _pairs(step: Step, grid: Grid) -> Iterator[SetPair]:
    """Yield each way in which the cited cells are two linked sets in the step's houses."""
    cells = cited_cells(step)
    for size in range(1, len(cells)):
        for rest in combinations(cells[1:], size - 1):
            first = (cells[0], *rest)
            second = tuple(cell for cell in cells if cell not in first)
            shared = _shared_digits(grid, first, second)
            if shared and _lie_in(grid, step, first, second):
                for linking in (*combinations(shared, 1), *combinations(shared, 2)):
                    yield SetPair(first, second, linking)


def struck_by(grid: Grid, sets: SetPair) -> int:
    """Return what two sets strike that are linked so, outside their cells.

    Linked by one digit they strike what sees all places of another in both; linked by two what
    sees all places of either in both, and all places of any other digit in one of them.
    """
    first, second = (digits_of(grid, cells) for cells in (sets.first, sets.second))
    both = (*sets.first, *sets.second)
    if len(sets.shared) == 1:
        goes = [(both, digit) for digit in first if digit in second and digit not in sets.shared]
    else:
        goes = [(both, digit) for digit in sets.shared]
        for cells, digits in ((sets.first, first), (sets.second, second)):
            goes += [(cells, digit) for digit in digits if digit not in sets.shared]
    layout, struck = grid.layout, 0
    for cells, digit in goes:
        plane = grid.plane(digit)
        seen = seen_by_all(layout, layout.mask_of(cells) & plane) & ~layout.mask_of(both)
        struck |= layout.spread(plane & seen, digit)
    return struck


def _lie_in(grid: Grid, step: Step, first: tuple[Cell, ...], second: tuple[Cell, ...]) -> bool:
    """Say whether the sets lie in the step's houses, one in the first and one in the last."""
    ends = grid.layout.houses[step.houses[0]].mask, grid.layout.houses[step.houses[-1]].mask
    one, other = (sum(1 << cell for cell in cells) for cells in (first, second))
    return any(one & ~near == 0 and other & ~far == 0 for near, far in (ends, (ends[1], ends[0])))


def digits_of(grid: Grid, cells: tuple[Cell, ...]) -> tuple[int, ...]:
    """Return the digits that the cells can hold between them."""
    return tuple(sorted({digit for cell in cells for digit in grid.candidates_at(cell)}))


def _shared_digits(
    grid: Grid, first: tuple[Cell, ...], second: tuple[Cell, ...]
) -> tuple[int, ...]:
    """Return the digits of which all places in one set see all in the other; none if not sets."""
    for cells in (first, second):
        if len(digits_of(grid, cells)) != len(cells) + 1:
            return ()
    one, other = (sum(1 << cell for cell in cells) for cells in (first, second))
    return tuple(
        digit
        for digit in digits_of(grid, first)
        if other & grid.plane(digit)
        and _all_see(grid, one & grid.plane(digit), other & grid.plane(digit))
    )


def _all_see(grid: Grid, one: int, other: int) -> bool:
    peers = grid.layout.peers
    return all(peers[cell] & other == other for cell in grid.layout.cells_in(one))


def rectangle_corners(step: Step, grid: Grid) -> tuple[Cell, ...]:
    """Return the corners of a rectangle: where its two rows and its two columns cross."""
    rows, columns = (
        grid.layout.houses[one].mask | grid.layout.houses[other].mask
        for one, other in (step.houses[:2], step.houses[2:4])
    )
    return grid.layout.cells_in(rows & columns)


def follow_trace(grid: Grid, step: Step) -> Iterator[tuple[Step, Grid]]:
    """Yield each plain step of a trace with the position at which it is taken."""
    at = _start_of_trace(grid, step)
    for each in step.trace:
        yield each, at
        at = _taken(at, each)


def end_of_trace(grid: Grid, step: Step) -> Grid:
    """Return the position to which the assumed candidate and the plain steps lead."""
    at = _start_of_trace(grid, step)
    for each in step.trace:
        at = _taken(at, each)
    return at


def _start_of_trace(grid: Grid, step: Step) -> Grid:
    return grid.place(*step.assumed) if step.assumed is not None else grid


def _taken(grid: Grid, step: Step) -> Grid:
    for cell, digit in step.places:
        grid = grid.place(cell, digit)
    return grid.eliminate(step.removes)


@dataclass(frozen=True, slots=True)
class Break:
    """What cannot be: a cell with nothing left, a digit without a place in a house, or twice."""

    cells: tuple[Cell, ...] = ()
    house: House | None = None
    digit: int | None = None


def find_break(grid: Grid) -> Break | None:
    """Return what is impossible at a position, a bare cell before a house; None if nothing is."""
    layout, open_cells = grid.layout, grid.open_cells
    for cell in layout.cells_in(open_cells):
        if not grid.candidates & layout.cell_bits[cell]:
            return Break((cell,))
    for house in layout.houses:
        for digit in layout.digits:
            standing = layout.plane(grid.placed, digit) & house.mask
            if standing & standing - 1:
                return Break(layout.cells_in(standing), house, digit)
            if not standing and not grid.plane(digit) & house.mask:
                return Break((), house, digit)
    return None


def second_marks(step: Step, grid: Grid) -> int:
    """Return the candidates of the pattern that have its second mark, as a candidate mask.

    Fins, the second of two colours, the second of two sets that the cells part into in one way
    alone, the group beside a rectangle's roof; none where all are alike.
    """
    layout, cells = grid.layout, 0
    if step.technique.startswith("finned-") and step.digits:
        cells = fin_cells(step, grid)
    elif step.technique == "simple-colouring":
        cells = sum(1 << cell for cell in find_colours(step)[1])
    elif step.technique == "two-cluster-colouring" and step.chains:
        one, other = find_clusters(step)
        cells = sum(1 << cell for cell in (*one.others, *other.others))
    elif step.technique in ("als-xz", "large-als-xz"):
        # Where the cells part in several ways, to mark the one that strikes would tell what goes.
        ways = {sets.second for sets in _pairs(step, grid)}
        cells = sum(1 << cell for cell in ways.pop()) if len(ways) == 1 else 0
    elif step.variant == "type-3":
        cells = sum(1 << cell for cell in step.cells if cell not in rectangle_corners(step, grid))
    return step.pattern & grid.candidates & sum(layout.spread(cells, d) for d in step.digits)


def placed_by_trace(step: Step, grid: Grid) -> int:
    """Return the candidates of the position that a trace places, as a candidate mask."""
    mask = 0
    for each in step.trace:
        for cell, digit in each.places:
            mask |= grid.layout.bit(cell, digit)
    return mask & grid.candidates


def links_within(step: Step, grid: Grid, candidates: int) -> tuple[tuple[Link, ...], ...]:
    """Return the step's chains with only those links whose ends lie among the candidates."""
    return tuple(
        tuple(
            link
            for link in line
            if (_mask_of(grid, link.first) | _mask_of(grid, link.second)) & ~candidates == 0
        )
        for line in step.chains
    )


def number_links(step: Step) -> dict[Link, int]:
    """Return the numbers of a walked pattern's links from cell to cell.

    A chain's are counted from its start. Of a forcing chain the first that no other case shares has
    the number of its case.
    """
    if step.technique not in WALKED:
        return {}
    hops = [
        [link for link in line if link.first.cells != link.second.cells] for line in step.chains
    ]
    if len(hops) == 1:
        return {link: number for number, link in enumerate(hops[0], start=1)}
    times = Counter(link for line in hops for link in dict.fromkeys(line))
    numbers: dict[Link, int] = {}
    for number, line in enumerate(hops, start=1):
        own = next((link for link in line if times[link] == 1), None)
        if own is not None:
            numbers[own] = number
    return numbers


def ends_of_walk(step: Step) -> tuple[Node, ...]:
    """Return the start and the end of a chain of which one at least holds; none of other steps."""
    if step.technique not in WALKED or len(step.chains) != 1:
        return ()
    start, end = step.chains[0][0].first, step.chains[0][-1].second
    return () if start == end else (start, end)


def _mask_of(grid: Grid, node: Node) -> int:
    return grid.layout.spread(grid.layout.mask_of(node.cells), node.digit)


def is_told_by_candidates(step: Step) -> bool:
    """Say whether the candidates of the pattern alone tell what goes where: of three cells that
    are settled at once one has a single candidate, and nobody need look for the reason."""
    return step.technique == "last-three"
