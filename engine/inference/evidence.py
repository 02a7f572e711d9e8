"""What steps cite: constraints, each made once since steps are made in plenty, and their houses."""

from __future__ import annotations

from functools import cache

from engine.board.layout import Cell, House, Layout
from engine.board.step import Bound, CellConstraint, HouseConstraint


@cache
def cell_has_one(cell: Cell) -> CellConstraint:
    """Cite that a cell holds at least one digit."""
    return CellConstraint(Bound.AT_LEAST_ONE, cell)


@cache
def cell_has_no_two(cell: Cell) -> CellConstraint:
    """Cite that a cell holds at most one digit."""
    return CellConstraint(Bound.AT_MOST_ONE, cell)


@cache
def house_has_one(house: int, digit: int) -> HouseConstraint:
    """Cite that a house has a place for a digit."""
    return HouseConstraint(Bound.AT_LEAST_ONE, house, digit)


@cache
def house_has_no_two(house: int, digit: int) -> HouseConstraint:
    """Cite that a house has no two places for a digit."""
    return HouseConstraint(Bound.AT_MOST_ONE, house, digit)


@cache
def houses_in_order(layout: Layout) -> tuple[House, ...]:
    """Return all houses as people look at them: boxes, rows, columns, then diagonals."""
    return (*layout.boxes, *layout.rows, *layout.columns, *layout.diagonals)


@cache
def houses_by_cell(layout: Layout) -> tuple[tuple[House, ...], ...]:
    """Return for each cell its box, its row and its column, then the diagonals that it lies on."""
    return tuple(
        (box, row, column, *diagonals) for row, column, box, *diagonals in layout.houses_of
    )
