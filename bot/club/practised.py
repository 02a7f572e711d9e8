"""What is kept of a member's practice: how they stand with techniques, and the position shown last.

Of each position only a fingerprint is kept, the same however it is turned, with when it was shown:
so that none comes again before the others have.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Protocol

from bot.club.exercises import Sighting
from bot.club.spacing import Grade, Skill, graded
from bot.club.state import Charge
from bot.club.under_way import WHICH, WHY


@dataclass(frozen=True, slots=True)
class Exercise:
    """A position that a member was shown, as the encoded reply; `rung`: what help they have had;
    `fingerprint` and `base` as `bot.club.exercises` has them.

    `is_over`: it was found or shown, and what is said of it counts no more.
    """

    technique: str
    reply: bytes
    fingerprint: str
    base: str
    shown_at: datetime
    tries: int = 0
    rung: int = 0
    is_over: bool = False


@dataclass(frozen=True, slots=True)
class SaveSkill:
    """Note how a member of the club, who is known, stands with a technique."""

    club_id: int
    user_id: str
    skill: Skill


@dataclass(frozen=True, slots=True)
class SaveExercise:
    """Note the position that a member, who is known, was shown last, and that they have seen it."""

    club_id: int
    user_id: str
    exercise: Exercise


@dataclass(frozen=True, slots=True)
class Practised:
    """What is kept of a member, but for the positions that they have seen.

    `needed`: the techniques that hints of their latest puzzles told them the cells of, and when.
    `unsaved`: skills that stand otherwise by these than they were kept.
    """

    exercise: Exercise | None = None
    skills: tuple[Skill, ...] = ()
    needed: tuple[tuple[str, datetime], ...] = ()
    unsaved: tuple[Skill, ...] = ()

    def skill_in(self, technique: str) -> Skill | None:
        """Return how the member stands with a technique, None where they never met it."""
        return next((each for each in self.skills if each.technique == technique), None)


def with_needs(practised: Practised) -> Practised:
    """Return it with what hints told since a technique was seen last counted as help needed."""
    skills = {skill.technique: skill for skill in practised.skills}
    changed: dict[str, Skill] = {}
    for technique, at in sorted(practised.needed, key=lambda need: need[1]):
        before = skills.get(technique)
        if before is None or at > before.seen_at:
            after = graded(before, technique, Grade.AGAIN, at, is_alone=False)
            skills[technique] = changed[technique] = after
    return replace(
        practised, skills=tuple(skills.values()), needed=(), unsaved=tuple(changed.values())
    )


def needs_of(charges: Iterable[Charge]) -> Iterator[tuple[str, datetime]]:
    """Yield the techniques that hints told the cells of, and when, of what was charged for.

    Who knows a step already pays for all that is left of it at once, and needed no help.
    """
    charges = tuple(charges)
    at_once = {(charge.key, charge.at) for charge in charges if charge.rung == WHY}
    for charge in charges:
        is_told = charge.rung == WHICH and (charge.key, charge.at) not in at_once
        if charge.technique and is_told and charge.at is not None:
            yield charge.technique, charge.at


YEAR = timedelta(days=365)
"""So long a position is known to have been shown."""

ENTRIES_LOOKED_AT = 14
"""Of so many of a member's latest puzzles it is looked at what hints told."""


def as_exported(skill: Skill) -> dict[str, object]:
    """Return a skill as JSON values, for the member to take away."""
    return {
        "technique": skill.technique,
        "met": skill.met,
        "alone": skill.alone,
        "helped": skill.helped,
        "due_at": skill.due_at.isoformat(),
    }


class PracticeStore(Protocol):
    """The part of the store that keeps practice."""

    async def load_practice(self, club_id: int, user_id: str) -> Practised:
        """Return what is kept of a member's practice."""

    async def load_seen(self, club_id: int, user_id: str, technique: str) -> tuple[Sighting, ...]:
        """Return the positions of a technique that a member was shown, as far back as a YEAR
        before the last of them."""

    async def load_skills(self, club_id: int) -> tuple[Skill, ...]:
        """Return how the club's members stand, all techniques of all of them, without names."""
