"""When a technique should be seen again: a library of spaced repetition decides, from grades.

What it keeps of a member and a technique is a `Skill`, a row like others. It is told the moment and
adds no chance of its own, so the same answers lead to the same days.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from enum import IntEnum

from fsrs import Card, Rating, Scheduler, State

_SCHEDULER = Scheduler(
    learning_steps=(timedelta(minutes=10),),
    relearning_steps=(timedelta(minutes=10),),
    maximum_interval=365,
    enable_fuzzing=False,
)
"""What went wrong comes again in the same sitting; what went well, after days."""

MOST_TRIES = 3
"""So many tries are still a find of one's own."""

QUICK_SECONDS = {1: 20, 2: 40, 3: 60, 4: 90}
"""A find within so many seconds is an easy one, by the technique's level."""
QUICK_AT_MOST = 120

MOST_WEAK = 5
"""Somebody who needs help with so many techniques is shown no new one while any of these is due."""


class Grade(IntEnum):
    """How it went, as the library counts."""

    AGAIN = Rating.Again
    HARD = Rating.Hard
    GOOD = Rating.Good
    EASY = Rating.Easy


@dataclass(frozen=True, slots=True)
class Skill:
    """How a member stands with a technique: positions `met`, those found alone, those with help.

    The rest is the library's: `phase` and `step` of its learning, how many days it is remembered
    (`stability`), from 1 to 10 how hard it is, and the moments. Nobody has it before a first grade.
    `gained_at`: when it went well at last for somebody alone, as long as it still does.
    """

    technique: str
    met: int
    alone: int
    helped: int
    phase: int
    step: int | None
    stability: float
    difficulty: float
    due_at: datetime
    seen_at: datetime
    gained_at: datetime | None = None

    @property
    def is_weak(self) -> bool:
        """Whether it went wrong last, and has not gone well since."""
        return self.phase != State.Review


def grade_of(*, tries: int, rungs: int, is_found: bool, seconds: float, level: int) -> Grade:
    """Return the grade of a position: `tries` wrong and right, `rungs` of help before the find."""
    if not is_found or rungs > 1 or tries > MOST_TRIES:
        return Grade.AGAIN
    if rungs or tries > 1:
        return Grade.HARD
    is_quick = seconds <= QUICK_SECONDS.get(level, QUICK_AT_MOST)
    return Grade.EASY if is_quick else Grade.GOOD


def graded(
    skill: Skill | None, technique: str, grade: Grade, at: datetime, *, is_alone: bool
) -> Skill:
    """Return how somebody stands after one more position. What comes late is graded as of the
    newest before it."""
    at = at.astimezone(UTC) if skill is None else max(at.astimezone(UTC), skill.seen_at)
    card = Card(card_id=0, due=at) if skill is None else _card_of(skill)
    card, _ = _SCHEDULER.review_card(card, Rating(grade), at)
    before = skill or Skill(technique, 0, 0, 0, 0, None, 0.0, 0.0, at, at)
    gained_at = at if before.met and before.is_weak and is_alone else before.gained_at
    return replace(
        before,
        met=before.met + 1,
        alone=before.alone + is_alone,
        helped=before.helped + (not is_alone),
        phase=int(card.state),
        step=card.step,
        stability=float(card.stability or 0.0),
        difficulty=float(card.difficulty or 0.0),
        due_at=card.due,
        seen_at=at,
        gained_at=gained_at if card.state == State.Review else None,
    )


def _card_of(skill: Skill) -> Card:
    return Card(
        card_id=0,
        state=State(skill.phase),
        step=skill.step,
        stability=skill.stability,
        difficulty=skill.difficulty,
        due=skill.due_at,
        last_review=skill.seen_at,
    )


def weakest_first(skills: Iterable[Skill]) -> tuple[Skill, ...]:
    """Return skills by how well they go, then by how soon they are forgotten."""
    return tuple(sorted(skills, key=lambda skill: (_strength(skill), skill.stability)))


def needing_most(skills: Iterable[Skill]) -> tuple[str, ...]:
    """Return up to three techniques that somebody needed help with, the weakest first."""
    return tuple(skill.technique for skill in weakest_first(skills)[:3] if skill.helped)


def _strength(skill: Skill) -> float:
    """Return the share found alone, less for how hard that was.

    It is as if two and a half positions more had been met and two of them found: one slip is no
    weakness yet, and one find no strength.
    """
    return (skill.alone + 2) / (skill.met + 2.5) - skill.difficulty / 20


def choose_technique(skills: Iterable[Skill], offered: Iterable[str], now: datetime) -> str:
    """Return what to practise now, of what is `offered`, which is in teaching order.

    That is what is due, the weakest first; each third position is the next technique not met yet,
    and so is what comes where nothing is due. Then it is what was not seen for longest.
    """
    names = tuple(offered)
    known = {skill.technique: skill for skill in skills if skill.technique in names}
    fresh = next((name for name in names if name not in known), None)
    due = weakest_first(skill for skill in known.values() if skill.due_at <= now)
    is_turn = sum(skill.met for skill in known.values()) % 3 == 2
    can_take_more = sum(skill.is_weak for skill in known.values()) < MOST_WEAK
    if fresh is not None and ((is_turn and can_take_more) or not due):
        return fresh
    if due:
        return due[0].technique
    return min(known.values(), key=lambda skill: (skill.seen_at, names.index(skill.technique))
               ).technique  # fmt: skip
