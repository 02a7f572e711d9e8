"""No told sentence is false: every clause of a reason is held to the position.

At thousands of steps of every technique of levels 1 to 4 and of chains in a long run, some hundreds
in every run.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import chain, islice

import pytest

from bot.wording.steps import explain
from bot.wording.steps.conclusions import WORDS
from bot.wording.techniques import kind_name
from engine import Step
from engine.board.grid import Grid
from engine.techniques import LADDER, Technique
from tests.bot.wording.told import find_untrue
from tests.corpus import samples_by_technique

CHAINS = (
    "x-chain", "xy-chain", "long-xy-chain", "alternating-inference-chain", "cell-forcing-chain",
    "house-forcing-chain",
)  # fmt: skip
BRIEF = 4
"""Up to this level a step is told in few words."""
TOLD = tuple(each for each in LADDER if each.level <= BRIEF or each.id in CHAINS)


def steps_of(technique: Technique, each: int) -> Iterator[tuple[Step, Grid]]:
    """Yield so many steps of a technique: of its own positions first, then of any technique's."""
    samples = samples_by_technique()
    others = (sample for several in zip(*samples.values(), strict=False) for sample in several)
    found = (
        (step, sample.grid)
        for sample in chain(samples[technique.id], others)
        for step in islice(technique.find(sample.grid), 8)
    )
    return islice(found, each)


@pytest.mark.parametrize("each", [16, pytest.param(900, marks=pytest.mark.long)])
def test_no_sentence_of_a_reason_is_false_and_none_has_an_unknown_form(
    each: int, fired: Counter[str]
) -> None:
    for technique in TOLD:
        for step, grid in steps_of(technique, each):
            told = explain(step, grid)
            assert find_untrue(told, step, grid) is None, (step.technique, told)
            if technique.level <= BRIEF:
                name = kind_name(step.technique, step.variant)
                assert len(f"{name} {told}".split()) <= WORDS, told
            fired[technique.id] += 1
    assert all(fired[technique.id] >= min(each, 100) for technique in TOLD)
