"""What a mend says: made when it is sent, of what is known by then, and kept nowhere.

A notice without words of its own tells by its key what it is about: a day's results, the table of a
week or month, the line on all who have solved it, or that on somebody who had their data erased.
Posts keep former members, as
nobody, until all that named them is mended.
"""

from __future__ import annotations

from datetime import date

from bot.club.clock import period_of
from bot.club.final_tables import PERIODS, period_ended
from bot.club.notices import results_posted, solved_line, solvers_shown
from bot.club.periods import parse_period
from bot.club.ports import Notice, Store
from bot.club.replies import PostWithdrawn, Reply, decode_reply
from bot.club.state import Club, Day


async def load_reply_of(store: Store, notice: Notice) -> Reply:
    """Return what a notice says. LookupError where nothing is known of it."""
    if notice.reply:
        return decode_reply(notice.reply)
    kind, _, name, *more = notice.key.split(":")
    if kind in PERIODS:
        return await _load_table(store, notice.club, name)
    on_date, _, edition = name.partition("/")
    day = await store.load_day(notice.club.id, date.fromisoformat(on_date))
    if day is None or day.edition != int(edition or 1):
        return PostWithdrawn(date=date.fromisoformat(on_date))
    if kind == "results":
        results = await store.load_results(notice.club.id, day.date, day.date, with_former=True)
        return results_posted(notice.club, day, results, is_mended=True)
    if kind == "solvers":
        results = await store.load_results(notice.club.id, day.date, day.date, with_former=True)
        return solvers_shown(day, results)
    return await _load_line(store, notice.club, day, *more)


async def _load_table(store: Store, club: Club, name: str) -> Reply:
    period, on_date = parse_period(name)
    standing = await store.load_standing(
        club.id, period, *period_of(period, on_date), with_former=True
    )
    return period_ended(club, period, standing, is_mended=True)


async def _load_line(store: Store, club: Club, day: Day, mark: str) -> Reply:
    """Return the line on a former member: their place is the announced one, of those who had
    finished by then."""
    results = await store.load_results(club.id, day.date, day.date, with_former=True)
    former = await store.load_former(club.id, mark)
    for count, own in enumerate(results, start=1):
        if own.member_id in former:
            return solved_line(day, own, results[:count])
    raise LookupError(f"nobody former has a result of {day.date}")
