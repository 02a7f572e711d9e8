"""What the checks of finds ask of a position: sizes, houses, links. Nothing knows a technique."""

from __future__ import annotations

from collections.abc import Iterable

from engine.board.grid import Grid
from engine.board.layout import House, Layout
from engine.board.step import Node
from engine.claims.verdict import Claim, Condition, Flaw


def wrong_size(claim: Claim, cells: int, digits: int) -> Flaw | None:
    """Return what is wrong with the number of cells or digits."""
    if len(claim.cells) != cells:
        return Flaw(Condition.CELL_COUNT, expected=cells, found=len(claim.cells))
    if len(claim.digits) != digits:
        return Flaw(Condition.DIGIT_COUNT, expected=digits, found=len(claim.digits))
    return None


def not_held_everywhere(grid: Grid, claim: Claim) -> Flaw | None:
    """Return the cells that cannot hold one of the digits, of which each should hold every one."""
    for digit in claim.digits:
        lacking = grid.layout.mask_of(claim.cells) & ~grid.plane(digit)
        if lacking:
            return Flaw(Condition.LACKS, grid.layout.cells_in(lacking), (digit,))
    return None


def not_held_anywhere(grid: Grid, claim: Claim) -> Flaw | None:
    """Return a digit that none of the cells can hold, or a cell that can hold none of them."""
    cells = grid.layout.mask_of(claim.cells)
    for digit in claim.digits:
        if not grid.plane(digit) & cells:
            return Flaw(Condition.LACKS, claim.cells, (digit,))
    for cell in claim.cells:
        if not set(grid.candidates_at(cell)) & set(claim.digits):
            return Flaw(Condition.LACKS, (cell,), claim.digits)
    return None


def more_held(grid: Grid, claim: Claim) -> Flaw | None:
    """Return the cells that can hold digits beyond those claimed."""
    more = {cell: set(grid.candidates_at(cell)) - set(claim.digits) for cell in claim.cells}
    cells = tuple(cell for cell in claim.cells if more[cell])
    if cells:
        digits = tuple(sorted(set().union(*more.values())))
        return Flaw(Condition.HOLDS_MORE, cells, digits)
    return None


def houses_with(layout: Layout, cells: int) -> tuple[House, ...]:
    """Return the houses that hold all of a cell mask."""
    return tuple(house for house in layout.houses if not cells & ~house.mask)


def seen_by_all(layout: Layout, cells: Iterable[int]) -> int:
    """Return the cells that see every one of these."""
    seen = layout.all_cells
    for cell in cells:
        seen &= layout.peers[cell]
    return seen


def linking_houses(grid: Grid, cells: int, digit: int) -> tuple[House, ...]:
    """Return the houses in which the digit has just these places, two cells or more."""
    plane = grid.plane(digit)
    if cells & ~plane:
        return ()
    return tuple(house for house in grid.layout.houses if plane & house.mask == cells)


def is_strong(grid: Grid, one: Node, other: Node) -> bool:
    """Say whether one of two nodes must be true."""
    if one.digit != other.digit:
        held = set(grid.candidates_at(one.cells[0]))
        is_same = one.cells == other.cells and len(one.cells) == 1
        return is_same and held == {one.digit, other.digit}
    cells = grid.layout.mask_of(one.cells), grid.layout.mask_of(other.cells)
    return not cells[0] & cells[1] and bool(linking_houses(grid, cells[0] | cells[1], one.digit))


def is_weak(grid: Grid, one: Node, other: Node) -> bool:
    """Say whether not both of two nodes can be true."""
    if one.digit != other.digit:
        return one.cells == other.cells and len(one.cells) == 1
    cells = grid.layout.mask_of(one.cells), grid.layout.mask_of(other.cells)
    return not cells[0] & cells[1] and bool(houses_with(grid.layout, cells[0] | cells[1]))


def candidates_of(grid: Grid, node: Node) -> int:
    """Return the candidate mask of a node."""
    return grid.layout.spread(grid.layout.mask_of(node.cells), node.digit)


def seen_by_node(grid: Grid, node: Node) -> int:
    """Return the candidates that are false if the node is true, itself not counted."""
    layout = grid.layout
    if len(node.cells) == 1:
        struck = layout.strikes[node.digit - 1][node.cells[0]]
    else:
        houses = houses_with(layout, layout.mask_of(node.cells))
        struck = layout.spread(layout.mask_of(cell for h in houses for cell in h.cells), node.digit)
    return grid.candidates & struck & ~candidates_of(grid, node)
