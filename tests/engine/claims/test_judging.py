"""What somebody says, in part and in full: right, another find, or the condition that fails.

Each verdict was checked by hand against the candidates that the grid shows.
"""

from __future__ import annotations

import pytest

from engine.board.grid import parse_grid
from engine.board.layout import CLASSIC
from engine.claims import Condition, Judgement, Said, judge
from engine.techniques import PLAIN, technique_with
from tests.corpus import samples_by_technique
from tests.engine.claims.claims import cells_of, pairs_mask
from tests.engine.claims.test_finds import BOXES, PIVOTED, WINGED


def said(cells: str = "", digits: str = "", removes: str = "", technique: str = "") -> Said:
    marks = tuple(map(int, digits))
    return Said(technique, cells_of(cells), marks, removes=pairs_mask(removes))


@pytest.mark.parametrize(
    ("text", "claim", "expected"),
    [
        (BOXES, said("r9c6 r7c6 r9c4", "156", "r7c5=56"), Judgement.RIGHT_AND_MORE),
        (BOXES, said("r9c6 r7c6 r9c4", "156", "r7c5=56 r8c4=15 r8c5=5"), Judgement.RIGHT),
        (BOXES, said("r9c6 r7c6 r9c4", removes="r7c5=56 r8c4=15 r8c5=5"), Judgement.RIGHT),
        (BOXES, said(removes="r7c5=5"), Judgement.RIGHT),
        (BOXES, said("r9c6 r7c6 r9c4", "156", "r7c5=2"), Judgement.FAILS),
        (BOXES, said(removes="r7c5=2"), Judgement.NOT_SHOWN),
        (BOXES, said("r9c6 r7c6 r9c4", technique="naked-triple"), Judgement.RIGHT_AND_MORE),
        (PIVOTED, said("r9c6 r7c5 r8c6", "269", "r8c5=9"), Judgement.RIGHT),
        (WINGED, said(digits="7", technique="x-wing"), Judgement.RIGHT_AND_MORE),
    ],
)
def test_a_claim_is_judged_in_part_and_in_full(text: str, claim: Said, expected: Judgement) -> None:
    assert judge(parse_grid(text), claim).judgement is expected


def test_a_cell_that_can_hold_more_is_named_with_what_it_holds() -> None:
    judged = judge(parse_grid(BOXES), said("r9c6 r7c6 r8c5", "156"))
    assert judged.flaw is not None
    assert judged.flaw.condition is Condition.HOLDS_MORE
    assert judged.flaw.cells == cells_of("r8c5")


def test_what_is_true_and_does_not_follow_reads_as_what_is_false_and_does_not_follow() -> None:
    """With the same candidates no judgement can tell the two apart: the solution is not asked."""
    sample = samples_by_technique()["naked-triple"][0]
    step = next(technique_with("naked-triple").find(sample.grid))
    for cell in CLASSIC.cells_in(sample.grid.open_cells & ~CLASSIC.mask_of(step.cells)):
        judgements = {
            digit: judge(
                sample.grid, Said(places=((cell, digit),)), marked=step.cells, ladder=PLAIN
            ).judgement
            for digit in sample.grid.candidates_at(cell)
        }
        confirmed = [d for d, each in judgements.items() if each is Judgement.RIGHT]
        if not confirmed:
            assert set(judgements.values()) == {Judgement.FAILS}
