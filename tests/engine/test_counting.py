"""Counting all constraints of a family at once, against counting them one by one."""

from __future__ import annotations

from random import Random

import pytest

from engine.board.counting import fold, shape_of
from engine.board.layout import CLASSIC, MIDDLE, SMALL, Layout
from engine.techniques.singles import hidden_single_masks, naked_single_mask

LAYOUTS = (SMALL, MIDDLE, CLASSIC)


def test_fold_tells_none_one_and_several_apart() -> None:
    ones, twos = fold(0b1011_0001_0000, 0, (1, 2, 3))
    found = [(ones >> place & 1, twos >> place & 1) for place in (0, 4, 8)]
    assert found == [(0, 0), (1, 0), (1, 1)]


def test_fold_keeps_what_was_several_before() -> None:
    ones, twos = fold(0b10, 0b10, (1,))
    assert (ones & 1, twos & 1) == (1, 1)


@pytest.mark.parametrize("layout", LAYOUTS, ids=repr)
def test_singles_of_all_cells_and_houses_are_those_found_one_by_one(layout: Layout) -> None:
    random = Random(7)
    for _ in range(50):
        candidates = layout.all_candidates
        for _ in range(random.choice((1, 2, 3))):
            candidates &= random.getrandbits(layout.cell_count * layout.size)
        naked = sum(
            candidates & bits for bits in layout.cell_bits if (candidates & bits).bit_count() == 1
        )
        assert naked_single_mask(layout, candidates) == naked
        kinds = zip(
            hidden_single_masks(layout, candidates),
            (layout.rows, layout.columns, layout.boxes),
            strict=True,
        )
        for mask, houses in kinds:
            spreads = [
                candidates & layout.spread(house.mask, digit)
                for house in houses
                for digit in layout.digits
            ]
            assert mask == sum(spread for spread in spreads if spread.bit_count() == 1)


@pytest.mark.parametrize("layout", LAYOUTS, ids=repr)
def test_spreading_the_origins_covers_every_candidate_once(layout: Layout) -> None:
    shape = shape_of(layout)
    for origins, spread in (
        (layout.all_cells, shape.cell_spread),
        (shape.row_origins, shape.row_spread),
        (shape.column_origins, shape.column_spread),
        (shape.box_origins, shape.box_spread),
    ):
        assert origins * spread == layout.all_candidates
