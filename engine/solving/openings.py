"""What striking candidates opens: placements that were not there before.

One candidate opens a placement where it has just one other beside it, in its cell or of its digit
in a house. Several that go at once can do so together.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache

from engine.board.grid import Grid
from engine.board.layout import Layout, iterate_bits
from engine.board.step import Step
from engine.techniques import RANKS
from engine.techniques.singles import hidden_single_masks, naked_single_mask

Opening = tuple[int, int, int]
"""(rank of the technique that sees the placement, cell, digit): what is easier to see first."""


def single_masks(layout: Layout, candidates: int) -> tuple[int, ...]:
    """Return the candidates that are singles: hidden ones by sort of house, then naked ones."""
    return (*hidden_single_masks(layout, candidates), naked_single_mask(layout, candidates))


def find_opened(
    layout: Layout, before: tuple[int, ...], now: tuple[int, ...]
) -> Iterator[tuple[Opening, int]]:
    """Yield (opening, the candidates that it rests on and the placed one) of each new single.

    Both are what `single_masks` returns.
    """
    for way, (old, new) in enumerate(zip(before, now, strict=True)):
        technique = "naked-single" if way == len(now) - 1 else "hidden-single"
        for index in iterate_bits(new & ~old):
            cell, digit = layout.split(index)
            if technique == "naked-single":
                reach = layout.cell_bits[cell]
            else:
                house = layout.house_by_sort[way][cell]
                reach = layout.spread(house.mask, digit) if house else 0
            yield (RANKS[technique], cell, digit), reach


@cache
def _families(layout: Layout) -> tuple[tuple[tuple[int, ...], int, int], ...]:
    """Return (shifts, origins, spread) of cells, and of the digits in the houses of each sort."""
    by_digit = tuple(layout.cell_count * (digit - 1) for digit in layout.digits)
    families = [(by_digit, layout.all_cells)]
    families += [(each.shifts, each.origins) for sort in layout.families for each in sort]
    return tuple(
        (shifts, origins, sum(1 << shift for shift in shifts)) for shifts, origins in families
    )


def pair_mask(layout: Layout, candidates: int) -> int:
    """Return the candidates that have just one other beside them in some such place."""
    pairs = 0
    for shifts, origins, spread in _families(layout):
        ones = twos = threes = 0
        for shift in shifts:
            moved = candidates >> shift
            threes |= twos & moved
            twos |= ones & moved
            ones |= moved
        pairs |= (twos & ~threes & origins) * spread
    return pairs & candidates


@dataclass(slots=True)
class Openings:
    """What single steps at one position open. `pairs` are the candidates that have just one other
    beside them."""

    grid: Grid
    singles: tuple[int, ...] = field(init=False)
    pairs: int = field(init=False)

    def __post_init__(self) -> None:
        self.singles = single_masks(self.grid.layout, self.grid.candidates)
        self.pairs = pair_mask(self.grid.layout, self.grid.candidates)

    def easiest(self, step: Step) -> Opening | None:
        """Return the placement that the step alone makes or opens, if any."""
        if step.places:
            cell, digit = step.places[0]
            return RANKS[step.technique], cell, digit
        removes = step.removes
        if not removes & self.pairs and not removes & removes - 1:
            return None
        layout = self.grid.layout
        now = single_masks(layout, self.grid.candidates & ~removes)
        return min((opening for opening, _ in find_opened(layout, self.singles, now)), default=None)
