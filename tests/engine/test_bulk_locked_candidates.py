"""What boxes and lines confine, found at once, against looking at each crossing by itself."""

from __future__ import annotations

from random import Random

import pytest

from engine.board.layout import CLASSIC, MIDDLE, SMALL, Layout
from engine.search.bulk_locked_candidates import crossings_of, find_confined


def confined_one_by_one(layout: Layout, candidates: int) -> int:
    """Return what pointing and claiming strike, by their definition: a house whose places for a
    digit all lie in a second house leaves no other place for it there."""
    gone = 0
    for digit in layout.digits:
        places = layout.plane(candidates, digit)
        for box in layout.boxes:
            for line in (*layout.rows, *layout.columns):
                for house, other in ((box, line), (line, box)):
                    held = places & house.mask
                    if held and not held & ~other.mask:
                        gone |= layout.spread(places & other.mask & ~house.mask, digit)
    return gone


@pytest.mark.parametrize("layout", [SMALL, MIDDLE, CLASSIC], ids=repr)
def test_what_is_confined_is_what_pointing_and_claiming_strike(layout: Layout) -> None:
    random, struck = Random(5), 0
    bits = layout.cell_count * layout.size
    for number in range(300):
        candidates = layout.all_candidates
        for _ in range(number % 4):
            candidates &= random.getrandbits(bits)
        found = find_confined(crossings_of(layout), candidates)
        assert found == confined_one_by_one(layout, candidates)
        struck += found.bit_count()
    assert struck > 300
