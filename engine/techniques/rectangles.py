"""Unique and hidden rectangles: four open cells that must not come down to the same two digits.

The corners lie in two rows and two columns, and every house holds none of them or two side by
side, so that a, b in turn round the rectangle could be exchanged for a second solution. The premise
besides what is cited (`is_by_uniqueness`): the four corners are not filled with the two digits in
turn, in neither of the two ways. All four corners can hold both digits. `houses` are the two rows,
then the two columns, and so tell the corners where a step of type 3 has more cells; of its
`digits` the rectangle's two are those that all corners can hold.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from itertools import combinations, pairwise

from engine.board.grid import Grid
from engine.board.layout import Cell, Layout, iterate_bits
from engine.board.step import Constraint, Step
from engine.inference.candidate_index import (
    cells_by_count,
    digits_by_cell,
    digits_of,
    digits_spread,
)
from engine.inference.evidence import cell_has_no_two, cell_has_one, house_has_one
from engine.inference.roof_groups import find_roof_groups
from engine.inference.visibility import (
    houses_between,
    no_two_between,
    seen_by_all,
    sight_constraints,
)

LEVEL = 5
Corners = tuple[Cell, Cell, Cell, Cell]
"""In turn round the rectangle."""


@dataclass(frozen=True, slots=True)
class _Rectangle:
    """Corners whose first one can hold just the two digits (a digit mask)."""

    corners: Corners
    pair: int


@cache
def rectangles_by_cell(layout: Layout) -> tuple[tuple[Corners, ...], ...]:
    """Return for each cell the corners, itself leading, of the rectangles that it can belong to."""
    found: list[list[Corners]] = [[] for _ in range(layout.cell_count)]
    for top, bottom in combinations(layout.rows, 2):
        for left, right in combinations(layout.columns, 2):
            ring = tuple(
                layout.cells_in(row.mask & column.mask)[0]
                for row, column in ((top, left), (top, right), (bottom, right), (bottom, left))
            )
            evens, odds = layout.mask_of(ring[::2]), layout.mask_of(ring[1::2])
            if all(
                (house.mask & evens).bit_count() == (house.mask & odds).bit_count() <= 1
                for house in layout.houses
            ):
                for place in range(4):
                    a, b, c, d = (*ring[place:], *ring[:place])
                    found[a].append((a, b, c, d))
    return tuple(tuple(each) for each in found)


def lines_of(layout: Layout, corners: int) -> tuple[int, ...]:
    """Return the indices of a rectangle's two rows, then of its two columns."""
    lines = (*layout.rows, *layout.columns)
    return tuple(house.index for house in lines if house.mask & corners)


def find_unique_rectangles(grid: Grid) -> Iterator[Step]:
    """Yield each unique rectangle of types 1 to 4 and 6 that strikes, by cells, then type."""
    steps = []
    seen: set[tuple[int, int]] = set()
    held = digits_by_cell(grid)
    for rectangle in _rectangles(grid):
        marker = grid.layout.mask_of(rectangle.corners), rectangle.pair
        if marker in seen:
            continue
        seen.add(marker)
        roof = [cell for cell in rectangle.corners if held[cell] != rectangle.pair]
        if len(roof) == 1:
            steps.append(_type_1(grid, rectangle, roof[0]))
        elif roof:
            steps += _type_2(grid, rectangle, roof)
            if len(roof) == 2 and houses_between(grid.layout)[roof[0]][roof[1]]:
                steps += _type_3(grid, rectangle, roof)
                steps += _type_4(grid, rectangle, roof)
            elif len(roof) == 2:
                steps += _type_6(grid, rectangle, roof)
    steps.sort(key=lambda step: (step.cells, step.digits, step.variant, step.removes))
    yield from steps


def find_hidden_rectangles(grid: Grid) -> Iterator[Step]:
    """Yield each candidate that a hidden rectangle strikes, by cells, then candidate.

    The corner across from one that can hold just a, b is not b, if in its row and its column only
    corners can hold a: else a would stand beside it both ways, and b across.
    """
    steps = []
    for rectangle in _rectangles(grid):
        for digit in digits_of(grid.layout, rectangle.pair):
            step = _hidden(grid, rectangle, digit)
            if step is not None:
                steps.append(step)
    steps.sort(key=lambda step: (step.cells, step.digits, step.removes))
    yield from steps


def _rectangles(grid: Grid) -> Iterator[_Rectangle]:
    """Yield each rectangle whose corners can all hold two digits, the first one just these.

    It comes once for every corner that can hold just these. One without an extra candidate is
    none: the puzzle has no solution, or not one only.
    """
    layout, held = grid.layout, digits_by_cell(grid)
    around = rectangles_by_cell(layout)
    for cell in layout.cells_in(cells_by_count(grid)[2]):
        pair = held[cell]
        for corners in around[cell]:
            _, one, across, other = corners
            if held[one] & pair != pair or held[other] & pair != pair:
                continue
            if held[across] & pair == pair and held[one] | held[across] | held[other] != pair:
                yield _Rectangle(corners, pair)


def _step(
    grid: Grid,
    rectangle: _Rectangle,
    variant: str,
    removes: int,
    constraints: tuple[Constraint, ...],
    *,
    more: tuple[tuple[Cell, ...], int] = ((), 0),
    covers: tuple[int, ...] = (),
) -> Step:
    """Return the step. `more` holds cells and digits of the pattern beyond the rectangle's own."""
    layout = grid.layout
    corners = layout.mask_of(rectangle.corners)
    cells, digits = corners | layout.mask_of(more[0]), rectangle.pair | more[1]
    return Step(
        "unique-rectangle" if variant else "hidden-rectangle",
        LEVEL,
        lines_of(layout, corners),
        layout.cells_in(cells),
        digits_of(layout, digits),
        grid.candidates & cells * digits_spread(layout, digits) & ~removes,
        removes=removes,
        constraints=tuple(dict.fromkeys(constraints)),
        covers=covers,
        is_by_uniqueness=True,
        variant=variant,
    )


def _type_1(grid: Grid, rectangle: _Rectangle, roof: Cell) -> Step:
    """One corner alone can hold more: it is neither of the two digits."""
    layout = grid.layout
    place = rectangle.corners.index(roof)
    one, across, other = (rectangle.corners[(place + turn) % 4] for turn in (1, 2, 3))
    constraints = [cell_has_one(cell) for cell in sorted((one, across, other))]
    links: list[Constraint] = []
    for digit in digits_of(layout, rectangle.pair):
        links.append(no_two_between(layout, roof, one, digit))
        links.append(no_two_between(layout, roof, other, digit))
        links.append(no_two_between(layout, one, across, digit))
    removes = layout.bit(roof, 1) * digits_spread(layout, rectangle.pair)
    return _step(grid, rectangle, "type-1", removes, (*constraints, *links))


def _in_turn(grid: Grid, corners: Corners, pair: int) -> tuple[Constraint, ...]:
    """Return what makes the two digits stand in turn, if the corners hold nothing else."""
    layout = grid.layout
    return (
        *(cell_has_one(cell) for cell in sorted(corners)),
        *(
            no_two_between(layout, one, other, digit)
            for digit in digits_of(layout, pair)
            for one, other in pairwise(corners)
        ),
    )


def _type_2(grid: Grid, rectangle: _Rectangle, roof: list[Cell]) -> Iterator[Step]:
    """Two corners or three can hold the same one digit more: it goes from what sees them all."""
    layout, held = grid.layout, digits_by_cell(grid)
    extra = held[roof[0]] & ~rectangle.pair
    if extra & extra - 1 or any(held[cell] != rectangle.pair | extra for cell in roof):
        return
    digit = extra.bit_length()
    victims = grid.plane(digit) & seen_by_all(layout, layout.mask_of(roof))
    if victims:
        yield _step(
            grid,
            rectangle,
            "type-2",
            layout.spread(victims, digit),
            (
                *_in_turn(grid, rectangle.corners, rectangle.pair),
                *sight_constraints(layout, digit, iterate_bits(victims), roof),
            ),
            more=((), extra),
        )


def _type_3(grid: Grid, rectangle: _Rectangle, roof: list[Cell]) -> Iterator[Step]:
    """One of the roof's extra digits must be there: with other cells it makes a naked subset."""
    held = digits_by_cell(grid)
    extras = (held[roof[0]] | held[roof[1]]) & ~rectangle.pair
    in_turn = _in_turn(grid, rectangle.corners, rectangle.pair)
    for group in find_roof_groups(grid, rectangle.corners, roof, extras, rectangle.pair):
        yield _step(
            grid,
            rectangle,
            "type-3",
            group.removes,
            (*in_turn, *group.constraints(grid.layout)),
            more=(group.cells, group.digits),
            covers=group.covers,
        )


def _type_4(grid: Grid, rectangle: _Rectangle, roof: list[Cell]) -> Iterator[Step]:
    """A house of the roof holds one of the digits nowhere else: the roof is not the other one."""
    layout, corners = grid.layout, rectangle.corners
    below = {
        cell: next(c for c in corners if c not in roof and houses_between(layout)[cell][c])
        for cell in roof
    }
    ends = layout.mask_of(roof)
    houses = [layout.houses[index] for index in houses_between(layout)[roof[0]][roof[1]]]
    for digit in digits_of(layout, rectangle.pair):
        house = next((h for h in houses if grid.plane(digit) & h.mask == ends), None)
        if house is not None:
            goes = (rectangle.pair ^ 1 << digit - 1).bit_length()
            constraints: list[Constraint] = [cell_has_one(cell) for cell in sorted(below.values())]
            constraints.append(house_has_one(house.index, digit))
            for cell in roof:
                for each in (digit, goes):
                    constraints.append(no_two_between(layout, cell, below[cell], each))
            removes = layout.spread(ends, goes)
            yield _step(grid, rectangle, "type-4", removes, tuple(constraints))


def _type_6(grid: Grid, rectangle: _Rectangle, roof: list[Cell]) -> Iterator[Step]:
    """Two corners across from each other can hold more, and two parallel lines hold one of the
    digits in corners alone: it is in the other two. In the roof it would leave just the rectangle.
    """
    layout, corners = grid.layout, rectangle.corners
    ends = layout.mask_of(corners)
    floor = [cell for cell in corners if cell not in roof]
    for digit in digits_of(layout, rectangle.pair):
        plane = grid.plane(digit)
        for sort in (layout.rows, layout.columns):
            lines = [house for house in sort if house.mask & ends]
            if any(plane & house.mask & ~ends for house in lines):
                continue
            constraints: list[Constraint] = [cell_has_one(cell) for cell in sorted(floor)]
            constraints += [house_has_one(house.index, digit) for house in lines]
            for one, other in pairwise((*corners, corners[0])):
                if not any(house.mask >> one & house.mask >> other & 1 for house in lines):
                    constraints.append(no_two_between(layout, one, other, digit))
            removes = layout.spread(layout.mask_of(roof), digit)
            yield _step(grid, rectangle, "type-6", removes, tuple(constraints))
            break


def _hidden(grid: Grid, rectangle: _Rectangle, digit: int) -> Step | None:
    """Return what follows if the corner across can share the digit with corners alone."""
    layout = grid.layout
    floor, one, across, _ = rectangle.corners
    ends = layout.mask_of(rectangle.corners)
    plane = grid.plane(digit)
    lines = [house for house in layout.houses_of[across] if house.is_line and house.mask & ends]
    lines = [house for house in lines if (house.mask & ends).bit_count() == 2]
    if any(plane & house.mask & ~ends for house in lines):
        return None
    goes = (rectangle.pair ^ 1 << digit - 1).bit_length()
    constraints = (
        cell_has_one(floor),
        *(house_has_one(house.index, digit) for house in lines),
        cell_has_no_two(across),
        no_two_between(layout, floor, one, digit),
    )
    return _step(grid, rectangle, "", layout.bit(across, goes), constraints)
