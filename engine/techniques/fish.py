"""Basic fish: n parallel lines whose places for a digit all lie in n crossing lines.

The n base lines take all n of the digit that the cover lines have room for, so it goes from the
rest of the cover lines. Base lines are rows and cover lines columns, or the reverse; n is 2 for an
X-wing, 3 for a swordfish, 4 for a jellyfish. Each base line has 2 to n places. A fish that only
strikes in cover lines that smaller fish among its base lines take up is no instance of its own.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import lru_cache

from engine.board.grid import Grid
from engine.board.layout import House, Layout, union_of
from engine.board.step import Step
from engine.inference.candidate_index import PLANES_KEPT
from engine.inference.closed_groups import find_closed_groups
from engine.inference.one_digit import Sight, crossings, finder, lines_in

LEVEL = 4
NAMES = {2: "x-wing", 3: "swordfish", 4: "jellyfish"}


def fish_finder(size: int) -> Callable[[Grid], Iterator[Step]]:
    """Return the `find` of the fish of `size` base lines."""

    @lru_cache(maxsize=PLANES_KEPT)
    def find_sights(layout: Layout, plane: int) -> tuple[Sight, ...]:
        return tuple(_find_fish(layout, plane, size))

    return finder(NAMES[size], LEVEL, find_sights)


def _find_fish(layout: Layout, plane: int, size: int) -> Iterator[Sight]:
    by_row, by_column = crossings(layout, plane)
    if sum(map(bool, by_row)) <= size:
        return
    for bases, covers, crossing in (
        (layout.rows, layout.columns, by_row),
        (layout.columns, layout.rows, by_column),
    ):
        members = [
            (number, places)
            for number, places in enumerate(crossing)
            if 2 <= places.bit_count() <= size
        ]
        for numbers, taken, fresh in find_closed_groups(members, size):
            base_lines = tuple(bases[number] for number in numbers)
            sight = _sight(plane, base_lines, lines_in(covers, taken), lines_in(covers, fresh))
            if sight is not None:
                yield sight


def _sight(
    plane: int, bases: tuple[House, ...], covers: tuple[House, ...], fresh: tuple[House, ...]
) -> Sight | None:
    """Return the fish, or None where nothing goes that a smaller one inside would not strike."""
    base = union_of(house.mask for house in bases)
    if not plane & union_of(house.mask for house in fresh) & ~base:
        return None
    base_indices = tuple(house.index for house in bases)
    cover_indices = tuple(house.index for house in covers)
    return Sight(
        base_indices,
        plane & base,
        plane & union_of(house.mask for house in covers) & ~base,
        base_indices,
        cover_indices,
        covers=cover_indices,
    )
