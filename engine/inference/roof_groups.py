"""The roof of a rectangle as one cell of a naked subset: what type 3 of two techniques shares.

The roof is the two corners side by side that can hold more than a rectangle may come down to. One
of them holds one of those extra digits; with the cells of a house that hold just these and a few
more, each of the digits has its place there. How the roof comes to need an extra digit is not told
here, nor cited.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from engine.board.grid import Grid
from engine.board.layout import Cell, House, Layout
from engine.board.step import Constraint
from engine.inference.candidate_index import digits_by_cell, digits_of, digits_spread
from engine.inference.closed_groups import find_closed_groups
from engine.inference.evidence import cell_has_one, house_has_no_two
from engine.inference.visibility import houses_between

GROUP_SIZES = (2, 3, 4)
"""The roof counts as one cell of the group."""
ROOF = -1
"""Stands for the roof among the cells of a group."""


@dataclass(frozen=True, slots=True)
class RoofGroup:
    """The cells beside a roof, the digits (a mask) that they and it hold, the houses of all of
    them, and what these lose (a candidate mask)."""

    cells: tuple[Cell, ...]
    digits: int
    houses: tuple[House, ...]
    removes: int

    @property
    def covers(self) -> tuple[int, ...]:
        """Return the indices of the houses."""
        return tuple(house.index for house in self.houses)

    def constraints(self, layout: Layout) -> tuple[Constraint, ...]:
        """Cite the group's cells, and the houses in which each digit is needed.

        A digit without a victim of its own still stands at most once in the group.
        """
        needed: dict[int, list[House]] = {}
        for digit in digits_of(layout, self.digits):
            victims = layout.plane(self.removes, digit)
            needed[digit] = [
                house
                for house in self.houses
                if victims
                & house.mask
                & ~sum(each.mask for each in self.houses if each is not house)
            ]
        cited = [h for h in self.houses if any(h in each for each in needed.values())]
        fallback = (cited or self.houses)[0]
        return (
            *(cell_has_one(cell) for cell in self.cells),
            *(
                house_has_no_two(house.index, digit)
                for digit, own in needed.items()
                for house in own or [fallback]
            ),
        )


def find_roof_groups(
    grid: Grid, corners: Sequence[Cell], roof: Sequence[Cell], extras: int, pair: int
) -> Iterator[RoofGroup]:
    """Yield each group that strikes; `extras` and the rectangle's own `pair` are digit masks.

    A group with one of the rectangle's own digits is left out: a corner alone can belong to it.
    """
    layout, held = grid.layout, digits_by_cell(grid)
    ends = layout.mask_of(corners)
    found: dict[tuple[Cell, ...], tuple[int, int, list[House]]] = {}
    for index in houses_between(layout)[roof[0]][roof[1]]:
        house = layout.houses[index]
        open_cells = layout.cells_in(house.mask & grid.open_cells & ~ends)
        for size in GROUP_SIZES:
            if not 2 <= extras.bit_count() <= size:
                continue
            members = [(ROOF, extras)]
            members += [(c, held[c]) for c in open_cells if 2 <= held[c].bit_count() <= size]
            for keys, digits, fresh in find_closed_groups(members, size):
                if keys[0] == ROOF and not digits & pair:
                    cells = layout.cells_in(layout.mask_of(Cell(key) for key in keys[1:]))
                    found.setdefault(cells, (digits, fresh, []))[2].append(house)
    for cells, (digits, fresh, houses) in found.items():
        outside = 0
        for house in houses:
            outside |= house.mask
        outside &= ~(ends | layout.mask_of(cells))
        if grid.candidates & outside * digits_spread(layout, fresh):
            removes = grid.candidates & outside * digits_spread(layout, digits)
            yield RoofGroup(cells, digits, tuple(houses), removes)
