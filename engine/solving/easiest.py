"""The singles of a position in the order in which they are easy to see: a hint takes the first.

The last digit of a house comes first, a cell with one candidate last. Of hidden singles one is the
easier, the less it takes to bar its digit from the rest of the house. Three cells settled at once
come where no box has a hidden single, before those of lines.
"""

from __future__ import annotations

from collections.abc import Iterator

from engine.board.grid import Grid
from engine.board.layout import Layout
from engine.board.step import Step
from engine.inference.barring import bars_of
from engine.solving.narrowing import Narrowing
from engine.techniques import LADDER, technique_with

SINGLES = tuple(technique for technique in LADDER if technique.level == 1)


def find_easiest_single(grid: Grid, narrowing: Narrowing | None = None) -> Step | None:
    """Return the easiest single that the narrowing admits, None where there is none."""
    return next(find_singles(grid, narrowing), None)


def find_singles(grid: Grid, narrowing: Narrowing | None = None) -> Iterator[Step]:
    """Yield the steps of level 1 that the narrowing admits, the easiest to see first."""

    def admitted(technique: str) -> list[Step]:
        steps = technique_with(technique).find(grid)
        return [step for step in steps if narrowing is None or narrowing.admits(layout, step)]

    layout = grid.layout
    yield from admitted("last-digit")
    hidden = admitted("hidden-single")
    hidden.sort(key=lambda step: bars_of(grid, layout.houses[step.houses[0]], *step.places[0]))
    if any(_is_in_a_box(layout, step) for step in hidden):
        yield from hidden
        yield from admitted("last-three")
    else:
        yield from admitted("last-three")
        yield from hidden
    yield from admitted("naked-single")


def _is_in_a_box(layout: Layout, step: Step) -> bool:
    return any(not layout.houses[house].is_line for house in step.houses)
