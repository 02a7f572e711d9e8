"""Hidden subsets: k digits of a house that k cells alone can hold; those cells lose all else.

The same digits and cells in a line and in a box are one instance with both houses, and the first
house is proof enough, since all that goes lies in the cells themselves.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from engine.grid import Grid
from engine.layout import House
from engine.step import Step
from engine.techniques.closed_groups import find_closed_groups
from engine.techniques.evidence import cell_has_no_two, house_has_one, looked_at_first
from engine.techniques.holdings import places_by_house

LEVEL = 3
NAMES = {2: "pair", 3: "triple", 4: "quad"}


def hidden_finder(size: int) -> Callable[[Grid], Iterator[Step]]:
    """Return the `find` of the hidden subset of `size` digits."""

    def find_hidden(grid: Grid) -> Iterator[Step]:
        for cells, digits, houses in _find_groups(grid, size):
            step = _step(f"hidden-{NAMES[size]}", grid, cells, digits, houses)
            if step is not None:
                yield step

    return find_hidden


def _find_groups(
    grid: Grid, size: int
) -> list[tuple[int, tuple[int, ...], tuple[House, ...]]]:
    """Return (cell mask, digits, houses) of each hidden subset, lowest cells first."""
    layout = grid.layout
    found: dict[tuple[int, tuple[int, ...]], list[House]] = {}
    for house, members in zip(layout.houses, places_by_house(grid), strict=True):
        if len(members) <= size:
            continue
        for digits, cells in find_closed_groups(members, size):
            found.setdefault((cells, digits), []).append(house)
    return [
        (cells, digits, looked_at_first(tuple(houses)))
        for (cells, digits), houses in sorted(
            found.items(), key=lambda item: (layout.cells_in(item[0][0]), item[0][1])
        )
    ]


def _step(
    technique: str, grid: Grid, cells: int, digits: tuple[int, ...], houses: tuple[House, ...]
) -> Step | None:
    layout = grid.layout
    in_cells = pattern = 0
    for cell in layout.cells_in(cells):
        in_cells |= layout.cell_bits[cell]
    for digit in digits:
        pattern |= grid.candidates & layout.spread(cells, digit)
    removes = grid.candidates & in_cells & ~pattern
    if not removes:
        return None
    members = layout.cells_in(cells)
    return Step(
        technique,
        LEVEL,
        tuple(house.index for house in houses),
        members,
        digits,
        pattern,
        removes=removes,
        constraints=(
            *(house_has_one(houses[0].index, digit) for digit in digits),
            *(cell_has_no_two(cell) for cell in members),
        ),
    )
