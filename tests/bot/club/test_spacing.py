"""When a technique comes again, and that practice finds what a member is weak at.

The club is simulated: each member has three techniques that they rarely find alone, and practises
most days; nothing but how their positions went is told. Chances are drawn from a given Random.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from random import Random
from typing import Any

import pytest

from bot.club.practised import Practised, with_needs
from bot.club.spacing import (
    MOST_WEAK,
    Grade,
    Skill,
    choose_technique,
    grade_of,
    graded,
    weakest_first,
)
from engine import LADDER, technique_with
from tests.bot.club.stories import DAY, MINUTE, NOON
from tests.sizes import Size, either_size

OFFERED = tuple(each.id for each in LADDER if each.level <= 4 and not each.is_shortcut)


@pytest.mark.parametrize(
    ("how", "grade"),
    [
        ({"tries": 1, "seconds": 30}, Grade.EASY),
        ({"tries": 1, "seconds": 300}, Grade.GOOD),
        ({"tries": 2, "seconds": 30}, Grade.HARD),
        ({"tries": 1, "rungs": 1}, Grade.HARD),
        ({"tries": 4}, Grade.AGAIN),
        ({"tries": 1, "rungs": 2}, Grade.AGAIN),
        ({"tries": 0, "is_found": False}, Grade.AGAIN),
    ],
)
def test_tries_help_and_time_are_graded(how: dict[str, Any], grade: Grade) -> None:
    facts = {"tries": 1, "rungs": 0, "is_found": True, "seconds": 100, "level": 3, **how}
    assert grade_of(**facts) is grade


def _after(*grades: Grade) -> Skill:
    skill: Skill | None = None
    for number, grade in enumerate(grades):
        skill = graded(skill, "x-wing", grade, NOON + number * DAY, is_alone=grade > Grade.AGAIN)
    assert skill is not None
    return skill


def test_what_went_wrong_comes_soon_and_what_went_well_later_and_later() -> None:
    assert _after(Grade.AGAIN).due_at == NOON + 10 * MINUTE
    waits = [
        (skill.due_at - skill.seen_at).days
        for skill in (_after(*[Grade.GOOD] * count) for count in (1, 2, 4, 8))
    ]
    assert waits == sorted(set(waits))
    assert waits[0] >= 1
    assert _after(Grade.GOOD, Grade.AGAIN).is_weak
    assert not _after(Grade.AGAIN, Grade.GOOD).is_weak
    assert (_after(Grade.GOOD, Grade.AGAIN).met, _after(Grade.GOOD, Grade.AGAIN).alone) == (2, 1)


def test_what_reaches_us_late_is_graded_as_of_the_newest_before_it() -> None:
    skill = _after(Grade.GOOD, Grade.GOOD)
    late = graded(skill, "x-wing", Grade.AGAIN, NOON, is_alone=False)
    assert late.seen_at == skill.seen_at


def test_the_weakest_that_is_due_comes_first_and_new_ones_in_between() -> None:
    assert choose_technique((), OFFERED, NOON) == OFFERED[0]
    weak = graded(None, "x-wing", Grade.AGAIN, NOON, is_alone=False)
    fine = graded(None, "pointing", Grade.GOOD, NOON, is_alone=True)
    later = NOON + 30 * DAY
    assert choose_technique((fine, weak), OFFERED, NOON + 11 * MINUTE) == OFFERED[0]
    three = graded(fine, "pointing", Grade.GOOD, NOON + DAY, is_alone=True)
    assert choose_technique((three, weak), OFFERED, later) == "x-wing"
    assert choose_technique((fine, three), ("pointing",), NOON) == "pointing"


def test_who_needs_help_with_many_gets_no_new_ones() -> None:
    weak = tuple(
        graded(None, technique, Grade.AGAIN, NOON, is_alone=False)
        for technique in OFFERED[:MOST_WEAK]
    )
    assert len(weak) % 3 == 2
    assert choose_technique(weak, OFFERED, NOON + DAY) in OFFERED[:MOST_WEAK]


@dataclass(frozen=True)
class Learner:
    """`weak` are found alone one time in four, slowly and with more tries; the others as often as
    `strength` says, four times in five at least."""

    weak: frozenset[str]
    strength: float

    def is_alone(self, random: Random, technique: str) -> bool:
        """Draw whether it is found without help."""
        return random.random() < (0.25 if technique in self.weak else self.strength)

    def answer(self, random: Random, technique: str) -> tuple[Grade, bool]:
        """Draw how a position goes, and whether it is found without help."""
        level, is_weak = technique_with(technique).level, technique in self.weak
        is_alone = self.is_alone(random, technique)
        if is_alone:
            tries, rungs, is_found = (
                random.choice((1, 2, 2, 3) if is_weak else (1, 1, 1, 2)),
                0,
                True,
            )
        else:
            tries, rungs = random.choice((1, 3, 4)), random.choice((1, 2, 2))
            is_found = rungs == 1 and random.random() < 0.5
        seconds = random.expovariate(1 / ((90 if is_weak else 30) * level))
        grade = grade_of(tries=tries, rungs=rungs, is_found=is_found, seconds=seconds, level=level)
        return grade, is_alone


POSITIONS_A_DAY, DAYS, DAYS_OFF, NEEDED_A_DAY = 10, 14, 3, 2


def practise_two_weeks(learner: Learner, random: Random, *, hints: bool) -> tuple[Skill, ...]:
    """Return how a member stands after two weeks of some ten positions on eleven of the days.
    `hints`: a day's puzzle needs two techniques, and a hint tells what is not found alone."""
    skills: dict[str, Skill] = {}
    off = random.sample(range(DAYS), DAYS_OFF)
    for day in (day for day in range(DAYS) if day not in off):
        at = NOON + day * DAY + timedelta(minutes=random.randrange(400))
        needed = random.sample(OFFERED, NEEDED_A_DAY) if hints else []
        told = tuple((each, at) for each in needed if not learner.is_alone(random, each))
        practised = with_needs(Practised(skills=tuple(skills.values()), needed=told))
        skills = {skill.technique: skill for skill in practised.skills}
        for _ in range(random.randint(POSITIONS_A_DAY - 2, POSITIONS_A_DAY + 2)):
            technique = choose_technique(skills.values(), OFFERED, at)
            grade, is_alone = learner.answer(random, technique)
            at += timedelta(minutes=random.randint(1, 4))
            before = skills.get(technique)
            skills[technique] = graded(before, technique, grade, at, is_alone=is_alone)
    return tuple(skills.values())


def count_found(members: int, *, hints: bool) -> int:
    """Return of how many members practice finds the three weakest techniques."""
    found = 0
    for number in range(members):
        random = Random(f"member {number}")
        learner = Learner(frozenset(random.sample(OFFERED, 3)), random.uniform(0.8, 0.95))
        skills = practise_two_weeks(learner, random, hints=hints)
        found += {skill.technique for skill in weakest_first(skills)[:3]} == learner.weak
    return found


@either_size
def test_practice_finds_the_three_weakest_of_nine_members_in_ten(size: Size) -> None:
    members = 500 if size.share == 1 else 50
    found = {hints: count_found(members, hints=hints) for hints in (False, True)}
    told = f"the three weakest of {found[False]} members of {members}; with hints {found[True]}"
    print(told)  # noqa: T201 - the figures
    assert min(found.values()) >= 0.9 * members, told


def test_what_a_hint_told_the_cells_of_is_practised_next() -> None:
    fine = graded(None, "pointing", Grade.GOOD, NOON - 2 * DAY, is_alone=True)
    fine = graded(fine, "pointing", Grade.GOOD, NOON - DAY, is_alone=True)
    kept = Practised(skills=(fine,), needed=(("hidden-pair", NOON), ("pointing", NOON - DAY)))
    practised = with_needs(kept)
    assert [skill.technique for skill in practised.unsaved] == ["hidden-pair"]
    assert practised.skill_in("pointing") == fine
    assert choose_technique(practised.skills, OFFERED, NOON + 11 * MINUTE) == "hidden-pair"
    again = with_needs(Practised(skills=practised.skills, needed=kept.needed))
    assert again.unsaved == ()
