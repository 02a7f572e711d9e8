"""Hidden subsets: k digits of a house that k cells alone can hold; those cells lose all else.

The same digits and cells in a line and in a box are one instance with both houses, and the first
house is proof enough, since all that goes lies in the cells themselves.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from engine.board.grid import Grid
from engine.board.layout import House
from engine.board.step import Step
from engine.inference.candidate_index import digits_spread, places_by_house
from engine.inference.closed_groups import find_closed_groups
from engine.inference.evidence import cell_has_no_two, house_has_one
from engine.inference.prefilter import tight_houses

LEVEL = 3
NAMES = {2: "pair", 3: "triple", 4: "quad"}


def hidden_finder(size: int) -> Callable[[Grid], Iterator[Step]]:
    """Return the `find` of the hidden subset of `size` digits."""

    def find_hidden(grid: Grid) -> Iterator[Step]:
        for group in _find_groups(grid, size):
            step = _step(f"hidden-{NAMES[size]}", grid, group)
            if step is not None:
                yield step

    return find_hidden


@dataclass(frozen=True, slots=True)
class _Group:
    """Digits with as many places as they are; `fresh` cells belong to no smaller such group."""

    digits: tuple[int, ...]
    cells: int
    fresh: int
    houses: tuple[House, ...]


def _find_groups(grid: Grid, size: int) -> list[_Group]:
    """Return each hidden subset, lowest cells first, with all the houses that confine it.

    Of those that strike nothing some are left out.
    """
    tight = tight_houses(grid)
    if not tight:
        return []
    layout, places = grid.layout, places_by_house(grid)
    found: dict[tuple[int, tuple[int, ...]], _Group] = {}
    for house in tight:
        if len(places[house.index]) <= size:
            continue
        members = [(digit, cells) for digit, cells, n in places[house.index] if 2 <= n <= size]
        for digits, cells, fresh in find_closed_groups(members, size):
            before = found.get((cells, digits))
            houses = (house,) if before is None else (*before.houses, house)
            found[cells, digits] = _Group(digits, cells, fresh, houses)
    return sorted(found.values(), key=lambda group: (layout.cells_in(group.cells), group.digits))


def _step(technique: str, grid: Grid, group: _Group) -> Step | None:
    """Return the step, or None where nothing goes that a smaller group inside would not strike."""
    layout, cells, digits = grid.layout, group.cells, group.digits
    every_digit = digits_spread(layout, (1 << layout.size) - 1)
    own_digits = digits_spread(layout, sum([1 << digit - 1 for digit in digits]))
    pattern = grid.candidates & cells * own_digits
    removes = grid.candidates & cells * every_digit & ~pattern
    if not removes & group.fresh * every_digit:
        return None
    members = layout.cells_in(cells)
    return Step(
        technique,
        LEVEL,
        tuple(house.index for house in group.houses),
        members,
        digits,
        pattern,
        removes=removes,
        constraints=(
            *(house_has_one(group.houses[0].index, digit) for digit in digits),
            *(cell_has_no_two(cell) for cell in members),
        ),
    )
