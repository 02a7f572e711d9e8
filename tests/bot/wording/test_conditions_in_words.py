"""Why a find does not hold reads well of one cell and of several."""

from __future__ import annotations

import pytest

from bot.club.asking import FindJudged
from bot.wording.asking import tell_reason
from engine import claims

TOLD = {
    claims.Condition.FILLED: (
        "R2c6 already has a digit.",
        "R2c6 and r9c6 already have a digit.",
    ),
    claims.Condition.GIVEN: ("R2c6 is a given.", "R2c6 and r9c6 are givens."),
    claims.Condition.LACKS: (
        "R2c6 cannot be 4 as it is.",
        "R2c6 and r9c6 cannot be 4 as they are.",
    ),
}


@pytest.mark.parametrize("condition", TOLD)
def test_a_condition_is_told_of_one_cell_and_of_two(condition: claims.Condition) -> None:
    told = tuple(
        tell_reason(
            FindJudged(
                judgement=claims.Judgement.FAILS, condition=condition, cells=cells, digits=(4,)
            )
        )
        for cells in (("r2c6",), ("r2c6", "r9c6"))
    )
    assert told == TOLD[condition]
