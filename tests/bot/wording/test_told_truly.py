"""No told sentence is false: every clause of a reason is held to the position.

At 20,000 steps of all techniques in a long run, some hundreds in every run.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from itertools import chain, islice
from random import Random

import pytest

from bot.wording.steps import explain
from bot.wording.steps.conclusions import WORDS
from bot.wording.techniques import kind_name
from engine import Step
from engine.board.grid import Grid
from engine.techniques import LADDER, Technique
from tests.bot.wording.told import find_untrue
from tests.corpus import samples_by_technique

BRIEF = 4
"""Up to this level a step is told in few words."""


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


@pytest.mark.parametrize("each", [10, pytest.param(720, marks=pytest.mark.long)])
def test_no_sentence_of_a_reason_is_false_and_none_has_an_unknown_form(
    each: int, fired: Counter[str]
) -> None:
    for technique in LADDER:
        for step, grid in steps_of(technique, each):
            told = explain(step, grid)
            assert find_untrue(told, step, grid) is None, (step.technique, told)
            if technique.level <= BRIEF:
                name = kind_name(step.technique, step.variant)
                assert len(f"{name} {told}".split()) <= WORDS, told
            fired[technique.id] += 1
    assert all(fired[technique.id] >= min(each, 50) for technique in LADDER)
    assert fired.total() >= min(20_000, len(LADDER) * each)


_NAMED = re.compile(r"(?<=r)[1-9](?=c)|(?<=c)[1-9]\b|(?<![rc0-9.])[1-9]\b(?![.0-9]*[.] )")


def changed(told: str, random: Random) -> str:
    """Return a reason with one number of it changed: of a cell, a house or a digit."""
    at = random.choice([found.start() for found in _NAMED.finditer(told)])
    other = random.choice([digit for digit in "123456789" if digit != told[at]])
    return f"{told[:at]}{other}{told[at + 1 :]}"


def is_refused(told: str, step: Step, grid: Grid) -> bool:
    try:
        return find_untrue(told, step, grid) is not None
    except (AssertionError, IndexError, KeyError, ValueError):
        return True


@pytest.mark.parametrize("each", [4, pytest.param(60, marks=pytest.mark.long)])
def test_a_reason_with_one_number_changed_is_caught(each: int, fired: Counter[str]) -> None:
    """All but the few that are true as well: the digit stands in another house, too."""
    random, missed = Random(17), Counter[str]()
    for technique in LADDER:
        for step, grid in steps_of(technique, each):
            told = explain(step, grid)
            for _ in range(3):
                fired[technique.id] += 1
                missed[technique.id] += not is_refused(changed(told, random), step, grid)
    fired["missed"] = missed.total()
    assert missed.total() * 20 < fired.total(), missed
    assert all(missed[each.id] * 4 <= fired[each.id] for each in LADDER), missed
