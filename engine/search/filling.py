"""Whether a layout can be filled at all, and one way to: the empty grid's own search.

An empty grid of irregular boxes gives exact search nothing to hold on to. Which digits are which
does not matter there, so any one house may be filled in order first, and from some houses all else
falls into place at once, or comes to a contradiction. Which ones cannot be told beforehand: each
gets a little work, then all of them more, until one has the answer.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import count

from engine.board.grid import Grid
from engine.board.layout import Layout
from engine.errors import StoppedError
from engine.limits import limited
from engine.search.exact import solve

FIRST_WORK = 64
"""How much each house gets at first; twice as much in every round after that."""


@lru_cache(maxsize=64)
def find_full_grid(layout: Layout) -> Grid | None:
    """Return a full grid of the layout, always the same one, or None where there is none."""
    starts = [_with_house_filled(layout, house.cells) for house in layout.houses]
    for doublings in count():
        for start in starts:
            with limited(FIRST_WORK << doublings) as meter:
                try:
                    return solve(start)
                except StoppedError:
                    if not meter.is_used_up:
                        raise  # who asks has had enough
    raise AssertionError  # counting has no end


def _with_house_filled(layout: Layout, cells: tuple[int, ...]) -> Grid:
    grid = Grid.empty(layout)
    for cell, digit in zip(cells, layout.digits, strict=True):
        grid = grid.place(cell, digit)
    return grid
