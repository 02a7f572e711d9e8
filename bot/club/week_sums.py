"""How many of a club can do now what they could not when its technique week began.

It goes by what is seen of each: practice, hints that told them the cells, the week's question, and
puzzles that need the technique, solved without such a hint. Nobody is told of by name, and what
fewer than three share is not told at all.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from bot.club.practised import needs_of
from bot.club.report import GROUP
from bot.club.state import Day, Member, MemberSolve
from bot.club.weeks_kept import KeptWeek, Learner

Days = Sequence[tuple[Day, Sequence[tuple[Member, MemberSolve]]]]

_BEFORE = timedelta(microseconds=1)


@dataclass(frozen=True, slots=True)
class Sums:
    """So many members; 0 where they are too few to be told of."""

    tried: int = 0
    gained: int = 0


def sums_of(
    week: KeptWeek, learners: Iterable[Learner], days: Days, *, with_question: bool
) -> Sums:
    """Return the sums of a week. `days`: those of the week and of some weeks before it;
    `with_question`: the tries that are known are of the week's own question."""
    seen = _seen_on_days(week.technique, days)
    tried = gained = 0
    for learner in learners:
        skill = learner.skill
        is_asked = with_question and learner.tried
        tried += is_asked or (skill is not None and skill.seen_at >= week.begun_at)
        signs = [*seen[learner.member_id], *_signs_of(learner)]
        if with_question and learner.saw and week.asked_at is not None:
            signs.append((week.asked_at, True))
        gained += _has_gained(signs, week.begun_at)
    return Sums(_told(tried), _told(gained))


def _told(count: int) -> int:
    return count if count >= GROUP else 0


Sign = tuple[datetime, bool]
"""When something was seen of a member, and whether it went well."""


def _seen_on_days(technique: str, days: Days) -> defaultdict[int, list[Sign]]:
    """Return what puzzles tell of members, by their ids."""
    seen: defaultdict[int, list[Sign]] = defaultdict(list)
    for day, entries in days:
        for member, entry in entries:
            needed = [at for each, at in needs_of(entry.charges) if each == technique]
            seen[member.id] += [(at, False) for at in needed]
            if technique in day.puzzle.needs and entry.finished_at is not None and not needed:
                seen[member.id].append((entry.finished_at, True))
    return seen


def _signs_of(learner: Learner) -> list[Sign]:
    """Return what practice tells of a member."""
    skill = learner.skill
    if skill is None:
        return []
    signs = [(skill.seen_at, not skill.is_weak)]
    if skill.gained_at is not None:
        signs += [(skill.gained_at - _BEFORE, False), (skill.gained_at, True)]
    return signs


def _has_gained(signs: list[Sign], begun_at: datetime) -> bool:
    """Say whether all has gone well since the week began, after it had not: what went wrong last is
    followed by what went well in the week."""
    ordered = sorted(signs)
    wrong = [place for place, (_, is_well) in enumerate(ordered) if not is_well]
    if not wrong or wrong[-1] == len(ordered) - 1:
        return False
    return ordered[wrong[-1] + 1][0] >= begun_at
