"""Whether a step follows at another position than that at which it was found.

The exact answer is compared with a proof from the cited constraints by a SAT solver, on positions
with candidates brought back one by one.
"""

from __future__ import annotations

from collections import Counter

import pytest

from engine.board.grid import parse_grid
from engine.board.layout import CLASSIC, iterate_bits
from engine.board.step import Step
from engine.solving.paths import apply_step, find_path
from engine.techniques import LADDER, Technique
from engine.techniques.entailment import (
    BY_UNIQUENESS,
    follows,
    needed_absences,
    without_spare_steps,
)
from tests.corpus import samples_by_technique
from tests.independent.reading import plain_of
from tests.proof.proving import FORCING, is_proved

LINKED = [each for each in LADDER if each.level > 3 and not each.is_by_uniqueness]
MOST_BROUGHT_BACK = 12


@pytest.mark.parametrize("technique", LINKED, ids=lambda each: each.id)
def test_a_step_follows_just_where_it_can_be_proved(technique: Technique) -> None:
    verdicts: Counter[bool] = Counter()
    for sample in samples_by_technique()[technique.id][:3]:
        grid = sample.grid
        for step in list(technique.find(grid))[:2]:
            assert follows(grid, step)
            assert is_proved(CLASSIC, plain_of(grid), step)
            for index in list(iterate_bits(grid.removed_mask))[:MOST_BROUGHT_BACK]:
                wider = grid.with_candidates(1 << index)
                verdict = follows(wider, step)
                verdicts[verdict] += 1
                assert verdict == is_proved(CLASSIC, plain_of(wider), step), (sample, step)
    assert verdicts[True]
    if technique.id not in (*FORCING, "traced-contradiction"):
        assert sum(verdicts.values()) > 3


@pytest.mark.parametrize("technique", LINKED, ids=lambda each: each.id)
def test_what_has_to_be_gone_is_enough_and_none_of_it_can_come_back(technique: Technique) -> None:
    for sample in samples_by_technique()[technique.id][:2]:
        grid = sample.grid
        for step in list(technique.find(grid))[:2]:
            gone = grid.removed_mask
            needed = needed_absences(grid, step, gone)
            assert not needed & ~gone
            widest = grid.with_candidates(gone & ~needed)
            assert follows(widest, step)
            for index in iterate_bits(needed):
                assert not follows(widest.with_candidates(1 << index), step)


def test_an_elimination_that_nothing_rests_on_is_left_out() -> None:
    """A naked pair that helps nobody, before singles that come without it (built by hand)."""
    grid = parse_grid(
        "53..7....6..195....98....6.8...6...34..8.3..17...2...6.6....28....419..5....8..79"
    )
    singles = find_path(grid).steps
    idle = Step("pointing", 2, (0,), (), (), 0, removes=grid.candidates & -grid.candidates)
    useful = singles[0]
    assert without_spare_steps(grid, (idle, *singles)) == singles
    assert without_spare_steps(grid, (useful,)) == (useful,)


def test_a_step_that_uniqueness_gives_does_not_follow_where_a_corner_holds_more() -> None:
    """The unique rectangle of a computed worked example: its third corner with 1 back in it."""
    text = "548691732.1.384569936..21484.5.6932.329.458.6.61.23954....1.6..1....648.65..3.2.."
    grid = parse_grid(text)
    (technique,) = (each for each in LADDER if each.id == "unique-rectangle")
    step = next(each for each in technique.find(grid) if each.variant == "type-1")
    assert follows(grid, step)
    corner = next(cell for cell in step.cells if len(grid.candidates_at(cell)) == 2)
    assert not follows(grid.with_candidates(CLASSIC.bit(corner, 1)), step)
    assert apply_step(grid, step).candidates == grid.candidates & ~step.removes


def test_every_technique_by_uniqueness_is_known_to_be_looked_for_anew() -> None:
    assert set(BY_UNIQUENESS) == {each.id for each in LADDER if each.is_by_uniqueness}
