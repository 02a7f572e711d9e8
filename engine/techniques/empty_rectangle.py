"""Empty rectangle: a box whose places for a digit form a cross or a corner, and a conjugate pair.

The box's places, three or more, lie in one line of it and one crossing line, neither of which
holds them all (a box with just two places is a conjugate pair, and makes a turbot fish). A
conjugate pair in another line has its near end in the first of the two lines, outside the box. If
the near end is true the box's digit is in the second line; if not, the far end is true: so the
digit goes where the second line, outside the box, is seen by the far end.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache, lru_cache

from engine.board.layout import House, Layout
from engine.board.step import LinkKind
from engine.inference.candidate_index import PLANES_KEPT
from engine.inference.one_digit import (
    Pair,
    Sight,
    conjugate_pairs,
    finder,
    sighting_houses,
    without_spares,
)

LEVEL = 4


@lru_cache(maxsize=PLANES_KEPT)
def _find_sights(layout: Layout, plane: int) -> tuple[Sight, ...]:
    pairs = [
        (pair, house)
        for pair in conjugate_pairs(layout, plane)
        if (house := next((each for each in pair.houses if each.is_line), None)) is not None
    ]
    if not pairs:
        return ()
    found: dict[tuple[int, int], Sight] = {}
    for box in layout.boxes:
        places = plane & box.mask
        if places.bit_count() < 3:
            continue
        for near_line, far_line in _arms(layout, box, places):
            for pair, line in pairs:
                if not pair.mask & places and pair.mask & near_line.mask:
                    for sight in _sights(layout, plane, (box, near_line, far_line), pair, line):
                        found.setdefault((sight.cells, sight.victims), sight)
    return tuple(found.values())


find_empty_rectangles = finder("empty-rectangle", LEVEL, _find_sights)


def _arms(layout: Layout, box: House, places: int) -> Iterator[tuple[House, House]]:
    """Yield (line, crossing line) of all that the places of a box lie in, both needed."""
    for line, others in _lines_through(layout)[box.number - 1]:
        rest = places & ~line.mask
        if rest == places or not rest:
            continue
        for other in others:
            if not rest & ~other.mask and places & ~other.mask:
                yield line, other


@cache
def _lines_through(layout: Layout) -> tuple[tuple[tuple[House, tuple[House, ...]], ...], ...]:
    """Return for each box the lines through it, each with those through it of other kinds."""
    lines = (*layout.rows, *layout.columns, *layout.diagonals)
    around = ([line for line in lines if line.mask & box.mask] for box in layout.boxes)
    return tuple(
        tuple(
            (line, tuple(other for other in near if other.kind is not line.kind)) for line in near
        )
        for near in around
    )


def _sights(
    layout: Layout, plane: int, arms: tuple[House, House, House], pair: Pair, line: House
) -> Iterator[Sight]:
    """Yield what a pair strikes whose near end lies in the first arm of the box."""
    box, near_line, far_line = arms
    places = plane & box.mask
    near_arm, far_arm = places & near_line.mask, places & ~near_line.mask
    for near, far in pair.ways:
        if not near_line.mask >> near & 1 or near_line.mask >> far & 1:
            continue
        victims = plane & far_line.mask & layout.peers[far]
        victims &= ~(places | pair.mask)
        if not victims:
            continue
        most = [near_line.index, far_line.index]
        most += sighting_houses(layout, far, victims, most)
        houses = (box.index, line.index)
        least, needed = without_spares(layout, plane, houses, most, victims)
        yield Sight(
            houses,
            places | pair.mask,
            victims,
            least,
            needed,
            chains=(
                (
                    (1 << far, 1 << near, LinkKind.STRONG),
                    (1 << near, near_arm, LinkKind.WEAK),
                    (near_arm, far_arm, LinkKind.STRONG),
                ),
            ),
        )
