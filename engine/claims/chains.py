"""Checks finds of chains, given as candidates or groups in order: link by link, then the ends.

A chain starts and ends with a strong link, so one of its ends is true. A forcing chain has one line
for each case of a cell or a house, each from the case to the same candidate.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from engine.board.grid import Grid
from engine.board.layout import Cell
from engine.board.step import Node
from engine.claims.looking import candidates_of, is_strong, is_weak, seen_by_node
from engine.claims.verdict import Claim, Condition, Flaw, Way

Line = tuple[Node, ...]


def check_x_chain(grid: Grid, claim: Claim) -> Iterator[Way | Flaw]:
    """All candidates are of one digit, and none is a group."""
    for each in _check_chain(grid, claim):
        line = claim.chains[0] if claim.chains else ()
        flaw = _grouped(line)
        digits = {node.digit for node in line}
        if flaw is None and len(digits) > 1:
            flaw = Flaw(
                Condition.DIGIT_COUNT, digits=tuple(sorted(digits)), expected=1, found=len(digits)
            )
        yield flaw if flaw is not None and isinstance(each, Way) else each


def check_xy_chain(grid: Grid, claim: Claim) -> Iterator[Way | Flaw]:
    """Strong links lie in cells with two candidates, and both ends have the same digit."""
    for each in _check_chain(grid, claim):
        line = claim.chains[0] if claim.chains else ()
        flaw = _grouped(line)
        for one, other in tuple(pairwise(line))[::2]:
            if one.cells != other.cells and flaw is None:
                digits = grid.candidates_at(one.cells[0])
                flaw = Flaw(Condition.WRONG_CANDIDATES, one.cells, digits)
        if flaw is None and line and line[0].digit != line[-1].digit:
            flaw = _ends(line[0], line[-1])
        yield flaw if flaw is not None and isinstance(each, Way) else each


def check_inference_chain(grid: Grid, claim: Claim) -> Iterator[Way | Flaw]:
    """Check a chain that may change from one digit to another within a cell."""
    yield from _check_chain(grid, claim)


def _ends(*nodes: Node) -> Flaw:
    cells = tuple(cell for node in nodes for cell in node.cells)
    return Flaw(Condition.ENDS_APART, cells, tuple(node.digit for node in nodes))


def _grouped(line: Line) -> Flaw | None:
    for node in line:
        if len(node.cells) != 1:
            return Flaw(Condition.CELL_COUNT, node.cells, expected=1, found=len(node.cells))
    return None


def _check_chain(grid: Grid, claim: Claim) -> Iterator[Way | Flaw]:
    if len(claim.chains) != 1:
        yield Flaw(Condition.NO_CHAIN, expected=1, found=len(claim.chains))
        return
    (line,) = claim.chains
    if len(line) < 2 or len(line) % 2:
        even = max(2, len(line) + len(line) % 2)
        yield Flaw(Condition.CELL_COUNT, expected=even, found=len(line))
        return
    flaw = find_broken_link(grid, line, is_first_strong=True)
    if flaw is not None:
        yield flaw
        return
    yield Way(seen_by_node(grid, line[0]) & seen_by_node(grid, line[-1]))
    if len(line) > 2 and is_weak(grid, line[-1], line[0]):
        yield Way(_seen_by_neighbours(grid, line), variant="continuous-loop")


def _seen_by_neighbours(grid: Grid, line: Line) -> int:
    """Return what goes by a loop: all that two neighbours on it both see."""
    removes = 0
    for one, other in pairwise((*line, line[0])):
        removes |= seen_by_node(grid, one) & seen_by_node(grid, other)
    for node in line:
        removes &= ~candidates_of(grid, node)
    return removes


def find_broken_link(grid: Grid, line: Line, *, is_first_strong: bool) -> Flaw | None:
    """Return what is wrong with a line whose links are strong and weak in turn."""
    for node in line:
        lacking = candidates_of(grid, node) & ~grid.candidates
        if lacking or not node.cells:
            cells = tuple(cell for cell, _ in grid.layout.pairs(lacking))
            return Flaw(Condition.LACKS, cells, (node.digit,))
    for place, (one, other) in enumerate(pairwise(line)):
        is_to_be_strong = (place % 2 == 0) is is_first_strong
        if not (is_strong if is_to_be_strong else is_weak)(grid, one, other):
            condition = Condition.NOT_LINKED if is_to_be_strong else Condition.NOT_SEEN
            return Flaw(condition, (*one.cells, *other.cells), (one.digit, other.digit))
    return None


def check_cell_forcing_chain(grid: Grid, claim: Claim) -> Iterator[Way | Flaw]:
    """The cases are all digits of a cell."""
    first = _first_case(claim)
    if isinstance(first, Flaw):
        yield first
        return
    cell = first.cells[0]
    cases = {(cell, digit) for digit in grid.candidates_at(cell)}
    yield _check_cases(grid, claim, cases)


def check_house_forcing_chain(grid: Grid, claim: Claim) -> Iterator[Way | Flaw]:
    """The cases are all places of a digit in a house."""
    first = _first_case(claim)
    if isinstance(first, Flaw):
        yield first
        return
    layout = grid.layout
    for house in layout.houses_of[first.cells[0]]:
        places = layout.cells_in(grid.plane(first.digit) & house.mask)
        yield _check_cases(grid, claim, {(cell, first.digit) for cell in places}, (house.index,))


def _first_case(claim: Claim) -> Node | Flaw:
    if len(claim.chains) < 2 or any(len(line) < 2 for line in claim.chains):
        return Flaw(Condition.NO_CHAIN, found=len(claim.chains))
    if len(claim.chains[0][0].cells) != 1:
        return Flaw(Condition.CELL_COUNT, claim.chains[0][0].cells, expected=1)
    return claim.chains[0][0]


def _check_cases(
    grid: Grid, claim: Claim, cases: set[tuple[Cell, int]], houses: tuple[int, ...] = ()
) -> Way | Flaw:
    for line in claim.chains:
        flaw = _grouped((line[0], line[-1])) or find_broken_link(grid, line, is_first_strong=False)
        if flaw is not None:
            return flaw
        if len(line) % 2:
            return Flaw(Condition.CELL_COUNT, expected=len(line) + 1, found=len(line))
    told = {(line[0].cells[0], line[0].digit) for line in claim.chains}
    wrong = sorted(told ^ cases)
    if wrong:
        cells, digits = zip(*wrong, strict=True)
        return Flaw(Condition.NOT_ALL_CASES, tuple(cells), tuple(digits), houses)
    ends = {line[-1] for line in claim.chains}
    if len(ends) > 1:
        return _ends(*sorted(ends, key=lambda node: (node.cells, node.digit)))
    return Way(candidates_of(grid, ends.pop()), houses=houses)
