"""What a member asks a hint to be about."""

from __future__ import annotations

from dataclasses import dataclass

from engine.board.layout import Cell, House, Layout
from engine.board.step import Step, victim_cells


@dataclass(frozen=True, slots=True)
class Narrowing:
    """What a member asks a hint to be about: a house, a digit, a cell, or some of them.

    `starts_there`: the house to look at first is the one asked for, or one of the cell's.
    """

    house: House | None = None
    digit: int | None = None
    cell: Cell | None = None
    starts_there: bool = False

    def admits(self, layout: Layout, step: Step) -> bool:
        """Say whether the step meets the house and the cell and is about the digit."""
        cells = victim_cells(layout, step) | layout.mask_of(step.cells)
        first = layout.houses[step.houses[0]] if step.houses else None
        if self.house is not None and not cells & self.house.mask:
            return False
        if self.cell is not None and not cells >> self.cell & 1:
            return False
        if self.starts_there and not self._is_asked_for(first):
            return False
        if self.digit is None or self.digit in step.digits:
            return True
        return bool(layout.plane(step.removes, self.digit))

    def _is_asked_for(self, first: House | None) -> bool:
        is_the_house = self.house is None or first == self.house
        return is_the_house and (
            self.cell is None or (first is not None and bool(first.mask >> self.cell & 1))
        )
