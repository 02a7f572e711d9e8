"""What some acts need beyond the scene of their event; the service loads just what the act does."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime

from bot.club.choosing import NOTHING, Coming, Supply
from bot.club.facts_planning import TurningReport
from bot.club.judging import Judged
from bot.club.replies import InputRefused
from bot.club.state import Day, Member, MemberSolve, Puzzle, Result


@dataclass(frozen=True, slots=True)
class Wider:
    """Everything is empty where the act does not ask for it.

    - `named`, `named_entry`: the posted day of the date that the act names, and the member's entry.
    - `results`: all the club's finished results; `dates`: of its posted puzzles, oldest first.
    - `own_entries`: the member's on all days; `days`: those that are open, or all (post-now,
      withdraw).
    - `supply`: what may come next, and what the club had; `coming`: what the days asked about get.
    - `puzzle`: the one to post; `judged`: those to queue; `turning`: where one turns.
    - `leaders`: whom the club or the host names, told of what waits for them.
    - `members`: those of the name in a ruling; `candidates`: days with the one member's entry.
    - `entries`: all of the day that is reported, ruled on or to be withdrawn, or on which an act
      reached us after the answer that it came before.
    - `edition`: of the puzzle to post. `believed`: the moment of the act, or the latest that it can
      have been, where its stamp is hard to believe.
    """

    named: Day | None = None
    named_entry: MemberSolve | None = None
    results: tuple[Result, ...] = ()
    dates: tuple[date, ...] = ()
    own_entries: tuple[MemberSolve, ...] = ()
    days: tuple[Day, ...] = ()
    supply: Supply = NOTHING
    coming: tuple[Coming | None, ...] = ()
    puzzle: Puzzle | None = None
    judged: tuple[Judged | InputRefused, ...] = ()
    turning: TurningReport | None = None
    leaders: tuple[str, ...] = ()
    members: tuple[Member, ...] = ()
    candidates: tuple[tuple[Day, MemberSolve], ...] = ()
    entries: tuple[tuple[Member, MemberSolve], ...] = ()
    edition: int = 1
    believed: datetime | None = None
    kept: Mapping[str, object] = field(default_factory=dict)

    def results_on(self, day: Day) -> tuple[Result, ...]:
        return tuple(result for result in self.results if result.date == day.date)

    def results_of(self, member: Member | None) -> tuple[Result, ...]:
        if member is None:
            return ()
        return tuple(result for result in self.results if result.member_id == member.id)


NOTHING_WIDER = Wider()
