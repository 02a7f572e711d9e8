"""A member's own page: what they solved, their streaks and bests, and what they asked help with."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field

from bot.club.replies import PersonalPage
from bot.club.self_export import WHAT
from bot.club.state import MemberSolve, Result
from bot.club.table import BEFORE, WITHIN, Bests, average

RECENT = 7


@dataclass(frozen=True, slots=True)
class OwnRecord:
    """What is known of one member: all `results`, by date; the running and the best streak; `bests`
    of each level; `asked`, how many steps of each technique a hint was asked for."""

    results: tuple[Result, ...] = ()
    streak: int = 0
    best_streak: int = 0
    bests: Bests = ()
    asked: Mapping[str, int] = field(default_factory=dict)


def page_of(name: str, record: OwnRecord, unfinished: MemberSolve | None) -> PersonalPage:
    """Return the page. `unfinished`: the member's entry on the open day, if it is not solved."""
    own = record.results
    ranked = [result for result in own if result.is_ranked]
    now, before = ranked[-WITHIN:], ranked[:-WITHIN][-BEFORE:]
    has_enough = len(before) == BEFORE
    why = Counter(result.why_unranked for result in own)
    recent = own[::-1][:RECENT]
    return PersonalPage(
        name=name,
        solved=len(ranked),
        late=why["late"],
        streak=record.streak,
        best_streak=record.best_streak,
        bests=record.bests,
        recent=tuple(
            (result.date, result.level, result.adjusted, result.hints) for result in recent
        ),
        asked=_most_first(Counter(record.asked) + told_techniques(unfinished)),
        average_before=average(before) if has_enough else None,
        average_now=average(now) if has_enough else None,
        unranked=why["unranked"],
        held=why["flagged"],
        marks=tuple((result.date, result.why_unranked) for result in recent if result.why_unranked),
    )


def _most_first(counts: Mapping[str, int]) -> tuple[tuple[str, int], ...]:
    return tuple(sorted(counts.items(), key=lambda item: (-item[1], item[0])))


def asked_techniques(entry: MemberSolve) -> Counter[str]:
    """Count the steps of each technique that a hint was asked for."""
    return _techniques(entry, rung=1)


def told_techniques(entry: MemberSolve | None) -> Counter[str]:
    """Count the steps of each technique that was told by name: the page is free, so of the open
    day's it says no more."""
    return Counter() if entry is None else _techniques(entry, rung=WHAT)


def _techniques(entry: MemberSolve, rung: int) -> Counter[str]:
    return Counter(
        charge.technique for charge in entry.charges if charge.rung == rung and charge.technique
    )
