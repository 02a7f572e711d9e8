"""Decisions on taking back a day that went up before its time, by hand or by a wrong clock."""

from __future__ import annotations

from dataclasses import dataclass

from bot.club import notices
from bot.club.acts import Event, WithdrawDay
from bot.club.course import Course, Decision
from bot.club.due import days_ahead, next_post_of
from bot.club.loading import Loading
from bot.club.problems import Problem
from bot.club.refusal import refuse
from bot.club.replies import DayWithdrawn, WithdrawalAsked
from bot.club.state import Club, Day, Member, MemberSolve, Scene


@dataclass(frozen=True, slots=True)
class ToWithdraw:
    """All the club's `days`; all `entries` of the one that is meant."""

    days: tuple[Day, ...]
    entries: tuple[tuple[Member, MemberSolve], ...]


async def load_to_withdraw(
    loading: Loading, scene: Scene, event: Event, act: WithdrawDay
) -> ToWithdraw:
    """Load the day that is meant, and who took part on it."""
    days = await loading.store.load_days(scene.club.id)
    day = day_to_withdraw(scene.club, event, act, days)
    return ToWithdraw(days, await loading.store.load_entries(day.id))


def day_to_withdraw(club: Club, event: Event, act: WithdrawDay, days: tuple[Day, ...]) -> Day:
    """Return the day that is meant: the named one, else the only one that is up too early.
    RefusedError where there is none, and where it has to be named."""
    ahead = days_ahead(club, days, event.acted_at)
    if act.day is not None:
        ahead = tuple(day for day in ahead if day.date == act.day)
    if act.mark:
        ahead = tuple(day for day in ahead if day.puzzle.mark == act.mark)
    if len(ahead) == 1:
        return ahead[0]
    named = "" if act.day is None else act.day.isoformat()
    dates = ", ".join(day.date.isoformat() for day in ahead)
    raise refuse("club withdraw", Problem.NOT_EARLY, dates or named, found=len(ahead))


def decide_withdrawal(scene: Scene, event: Event, act: WithdrawDay, wider: ToWithdraw) -> Decision:
    """Take the day back; where members took part on it, ask first."""
    club, members = scene.club, len(wider.entries)
    day = day_to_withdraw(club, event, act, wider.days)
    if members and not act.sure:
        return Decision(WithdrawalAsked(date=day.date, members=members, mark=day.puzzle.mark))
    left = [each for each in wider.days if each.id != day.id]
    reply = DayWithdrawn(
        date=day.date,
        members=members,
        next_at=next_post_of(club, left, event.acted_at),
        zone=club.settings.zone,
    )
    return Decision(reply, notices.withdrawal(club, day))


WITHDRAW = Course(WithdrawDay, decide_withdrawal, load_to_withdraw)
