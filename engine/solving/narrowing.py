"""What a member asks a hint to be about."""

from __future__ import annotations

from dataclasses import dataclass

from engine.board.layout import House, Layout
from engine.board.step import Step, victim_cells


@dataclass(frozen=True, slots=True)
class Narrowing:
    """What a member asks a hint to be about: one house, one digit, both or neither."""

    house: House | None = None
    digit: int | None = None

    def admits(self, layout: Layout, step: Step) -> bool:
        """Say whether the step meets the house and is about the digit."""
        if self.house is not None:
            cells = victim_cells(layout, step) | layout.mask_of(step.cells)
            if not cells & self.house.mask:
                return False
        if self.digit is None or self.digit in step.digits:
            return True
        return bool(layout.plane(step.removes, self.digit))
