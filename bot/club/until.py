"""A time to come as a leader says it: an hour, a day, or both.

It is told relative to a moment, so that what is planned for every week says it once: when a
question goes up, and when its find is shown. Pure: the moment is an argument.
"""

from __future__ import annotations

from datetime import date, datetime, timedelta

from msgspec import Struct

from bot.club.clock import ONE_DAY, WEEK, local_date, scheduled_at


class Until(Struct, frozen=True):
    """A day, as a date, a `weekday` (Monday being 0) or so many `days` on; and an hour such as
    `20:00`, empty for the club's daily one. Without a day it is the next time that it is so late.
    """

    on: date | None = None
    weekday: int | None = None
    days: int | None = None
    hour: str = ""

    @property
    def has_day(self) -> bool:
        """Whether it names a day."""
        return self.on is not None or self.weekday is not None or self.days is not None

    def moment(self, after: datetime, *, zone: str, daily: str) -> datetime | None:
        """Return the moment that is meant, None where it is not after the one given. `daily`: the
        club's daily hour, in its zone."""
        today = local_date(after, zone)
        day, again = today, ONE_DAY
        if self.on is not None:
            day, again = self.on, timedelta()
        elif self.days is not None:
            day, again = today + timedelta(days=self.days), timedelta()
        elif self.weekday is not None:
            day, again = today + timedelta(days=(self.weekday - today.weekday()) % 7), WEEK
        hour = self.hour or daily
        for each in (day, day + again):
            at = scheduled_at(each, hour, zone)
            if at > after:
                return at
        return None


def format_until(until: Until) -> str:
    """Write `on=2026-12-04`, `weekday=4`, `days=1`, `hour=20:00`; `parse_until` is the inverse."""
    told = {"on": until.on, "weekday": until.weekday, "days": until.days, "hour": until.hour}
    return " ".join(f"{name}={value}" for name, value in told.items() if value not in (None, ""))


def parse_until(text: str) -> Until:
    """Read what `format_until` wrote."""
    told = dict(part.split("=", 1) for part in text.split())
    return Until(
        date.fromisoformat(told["on"]) if "on" in told else None,
        int(told["weekday"]) if "weekday" in told else None,
        int(told["days"]) if "days" in told else None,
        told.get("hour", ""),
    )
