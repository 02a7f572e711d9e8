"""Who has gained a technique in its week, by what is seen of them and when."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from msgspec import structs

from bot.club.spacing import Grade, Skill, graded
from bot.club.state import Board, Charge, Day, Member, MemberSolve
from bot.club.under_way import WHICH, WHY
from bot.club.week_sums import Sums, sums_of
from bot.club.weeks_kept import KeptWeek, Learner
from tests.bot.club.stories import CROOK, DAY, MONDAY, NOON, crook_puzzle, day_with, easy_puzzle

T = "naked-pair"
WEEK = KeptWeek(MONDAY, T, NOON, question=1, asked_at=NOON + 2 * DAY)

AGAIN, GOOD = (Grade.AGAIN, False), (Grade.GOOD, True)


def practised(*graded_on: tuple[float, tuple[Grade, bool]]) -> Skill:
    """Return how somebody stands after positions on some days of the week, Monday noon being 0."""
    skill = None
    for day, (grade, is_alone) in graded_on:
        skill = graded(skill, T, grade, NOON + day * DAY, is_alone=is_alone)
    assert skill is not None
    return skill


PRACTISED = (
    ([(0.5, AGAIN), (2, GOOD)], True),  # missed on Monday, found on Wednesday
    ([(-9, AGAIN), (2, GOOD)], True),  # missed weeks ago
    ([(-9, AGAIN), (-8, GOOD), (2, GOOD)], False),  # learned before
    ([(-9, AGAIN), (-8, GOOD)], False),
    ([(2, GOOD)], False),  # it was never hard
    ([(0.5, AGAIN), (2, GOOD), (3, AGAIN)], False),  # and gone again
    ([(0.5, AGAIN), (2, GOOD), (3, AGAIN), (4, GOOD)], True),
    ([(0.5, AGAIN)], False),
    ([(-9, AGAIN), (-8, GOOD), (1, AGAIN), (2, GOOD)], True),  # it was lost, and came back
)


Seen = tuple[Day, list[tuple[Member, MemberSolve]]]


def gained(learners: list[Learner], *days: Seen) -> int:
    return sums_of(WEEK, learners, days, with_question=True).gained


@pytest.mark.parametrize(("positions", "has_gained"), PRACTISED)
def test_practice_tells_who_can_do_now_what_they_could_not(
    positions: list[tuple[float, tuple[Grade, bool]]], has_gained: bool
) -> None:
    learner = Learner(1, practised(*positions))
    alike = [replace(learner, member_id=number) for number in range(3)]
    assert gained(alike) == (3 if has_gained else 0)


def solved(on: float, *needed: float, known: bool = False) -> tuple[Day, MemberSolve]:
    """Return a day that needs the technique, solved, with a hint of its cells on some days."""
    rungs = (WHICH, WHY) if known else (WHICH,)
    charges = tuple(
        Charge("step", rung, 10, technique=T, at=NOON + at * DAY) for at in needed for rung in rungs
    )
    day = day_with(crook_puzzle(), MONDAY + timedelta(days=int(on)))
    entry = MemberSolve(0, day.id, 0, Board(CROOK), finished_at=NOON + on * DAY, charges=charges)
    return day, entry


SOLVED = (
    ([solved(0.1, 0.05), solved(3)], True),  # helped on Monday, not on Thursday
    ([solved(-7, -7), solved(3)], True),
    ([solved(-7, -7), solved(-3), solved(3)], False),  # could already
    ([solved(0.1), solved(3)], False),
    ([solved(0.1), solved(3, 2.9)], False),
    ([solved(0.1, 0.05, known=True), solved(3)], False),  # knew the step: no help
)


def by_three(kept: list[tuple[Day, MemberSolve]]) -> list[Seen]:
    members = [Member(number, 1, f"user {number}", "") for number in range(3)]
    return [(day, [(member, entry) for member in members]) for day, entry in kept]


@pytest.mark.parametrize(("kept", "has_gained"), SOLVED)
def test_puzzles_and_hints_tell_it_too(
    kept: list[tuple[Day, MemberSolve]], has_gained: bool
) -> None:
    learners = [Learner(number) for number in range(3)]
    assert gained(learners, *by_three(kept)) == (3 if has_gained else 0)


def test_who_saw_the_question_after_a_hint_has_gained_it() -> None:
    learners = [Learner(number, tried=True, saw=True) for number in range(3)]
    before, after = by_three([solved(0.1, 0.05)]), by_three([solved(4, 3.5)])
    assert sums_of(WEEK, learners, before, with_question=True) == Sums(tried=3, gained=3)
    assert sums_of(WEEK, learners, after, with_question=True) == Sums(tried=3, gained=0)
    assert sums_of(WEEK, learners, before, with_question=False) == Sums()
    assert sums_of(WEEK, learners[:2], before, with_question=True) == Sums()


def test_a_puzzle_that_does_not_need_the_technique_tells_nothing() -> None:
    day, entry = solved(3)
    easy = structs.replace(day, puzzle=easy_puzzle())
    learners = [Learner(number) for number in range(3)]
    days = by_three([solved(0.1, 0.05), (easy, entry)])
    assert gained(learners, *days) == 0
