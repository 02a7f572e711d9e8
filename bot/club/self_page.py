"""A member's own page: what they solved, their streaks and bests, and what they asked help with."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from datetime import date

from bot.club.replies import PersonalPage
from bot.club.self_export import WHAT
from bot.club.state import MemberSolve, Result
from bot.club.table import BEFORE, WITHIN, average, personal_bests, streaks_of

RECENT = 7


def page_of(
    name: str,
    own: Sequence[Result],
    entries: Iterable[MemberSolve],
    puzzle_dates: Sequence[date],
    *,
    still_open: Collection[date],
    open_day_id: int | None = None,
) -> PersonalPage:
    """Return the page; `own` are the member's results of all time, by date."""
    ranked = [result for result in own if result.is_ranked]
    run, best = streaks_of(puzzle_dates, (result.date for result in ranked), still_open=still_open)
    now, before = ranked[-WITHIN:], ranked[:-WITHIN][-BEFORE:]
    has_enough = len(before) == BEFORE
    why = Counter(result.why_unranked for result in own)
    recent = own[::-1][:RECENT]
    return PersonalPage(
        name=name,
        solved=len(ranked),
        late=why["late"],
        streak=run,
        best_streak=best,
        bests=personal_bests(own),
        recent=tuple(
            (result.date, result.level, result.adjusted, result.hints) for result in recent
        ),
        asked=count_techniques(entries, open_day_id),
        average_before=average(before) if has_enough else None,
        average_now=average(now) if has_enough else None,
        unranked=why["unranked"],
        held=why["flagged"],
        marks=tuple((result.date, result.why_unranked) for result in recent if result.why_unranked),
    )


def count_techniques(
    entries: Iterable[MemberSolve], open_day_id: int | None = None
) -> tuple[tuple[str, int], ...]:
    """Return (technique, steps that a hint was asked for), most first, then by name.

    On the open day a technique counts once the member was told its name: the page is free.
    """
    counts: Counter[str] = Counter()
    for entry in entries:
        is_open = entry.day_id == open_day_id and entry.finished_at is None
        told = WHAT if is_open else 1
        counts.update(
            charge.technique for charge in entry.charges if charge.rung == told and charge.technique
        )
    return tuple(sorted(counts.items(), key=lambda item: (-item[1], item[0])))
