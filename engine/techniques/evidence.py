"""Makes the constraints that steps cite. Each exists once, since steps are made in plenty."""

from __future__ import annotations

from functools import cache

from engine.layout import Cell, House
from engine.step import Bound, CellConstraint, HouseConstraint


@cache
def cell_has_one(cell: Cell) -> CellConstraint:
    return CellConstraint(Bound.AT_LEAST_ONE, cell)


@cache
def cell_has_no_two(cell: Cell) -> CellConstraint:
    return CellConstraint(Bound.AT_MOST_ONE, cell)


@cache
def house_has_one(house: int, digit: int) -> HouseConstraint:
    return HouseConstraint(Bound.AT_LEAST_ONE, house, digit)


@cache
def house_has_no_two(house: int, digit: int) -> HouseConstraint:
    return HouseConstraint(Bound.AT_MOST_ONE, house, digit)


def looked_at_first(houses: tuple[House, ...]) -> tuple[House, ...]:
    """Return the houses in the order in which people look at them: box, row, column."""
    return tuple(sorted(houses, key=lambda house: (house.is_line, house.index)))
