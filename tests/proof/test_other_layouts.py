"""Diagonal and irregular layouts: every step on the way is proved from what it cites there too."""

from __future__ import annotations

from collections import Counter

import pytest

from engine.board.grid import parse_grid
from engine.board.layout import Layout
from engine.techniques import technique_with
from tests.corpus.other_layouts import OTHER_LAYOUTS, steps_on_the_way
from tests.independent.reading import plain_of
from tests.proof.proving import find_step_faults

each_layout = pytest.mark.parametrize("layout", OTHER_LAYOUTS.values(), ids=OTHER_LAYOUTS)


def prove(layout: Layout, seed: int, most: int, fired: Counter[str]) -> None:
    for _, position, step in steps_on_the_way(layout, seed, most=most):
        faults = list(find_step_faults(layout, plain_of(position), step))
        assert not faults, (repr(position), step, faults)
        fired[step.technique] += 1


@each_layout
def test_steps_of_other_layouts_are_proved(layout: Layout, fired: Counter[str]) -> None:
    prove(layout, 0, 1, fired)
    assert sum(fired.values()) >= 20


def test_a_remote_pair_along_a_diagonal_cites_no_house_that_can_be_spared() -> None:
    """Houses by which its cells see each other serve the victims too."""
    text = "3.45..6.5.3.43.1..15...32436515613.."
    grid = parse_grid(text, layout=OTHER_LAYOUTS["diagonal 6x6"])
    steps = list(technique_with("remote-pair").find(grid))
    assert steps
    for step in steps:
        assert not list(find_step_faults(grid.layout, plain_of(grid), step))


@pytest.mark.long
@each_layout
def test_many_steps_of_other_layouts_are_proved(layout: Layout, fired: Counter[str]) -> None:
    for seed in range(12):
        prove(layout, seed, 4, fired)
    assert sum(fired.values()) >= 20 * 12
