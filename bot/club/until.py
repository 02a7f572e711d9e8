"""When a question's find is shown of itself, as a leader says it: an hour, a day, or both.

It is told relative to the moment at which the question goes up, so that a question that is planned
for every week says it once. Pure: the moment is an argument.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from bot.club.clock import ONE_DAY, local_date, scheduled_at
from bot.club.state import ClubSettings

WEEK = timedelta(days=7)


@dataclass(frozen=True, slots=True)
class Until:
    """A day, as a date, a `weekday` (Monday being 0) or so many `days` on; and an hour such as
    `20:00`, empty for the club's daily one. Without a day it is the next time that it is so late.
    """

    on: date | None = None
    weekday: int | None = None
    days: int | None = None
    hour: str = ""

    def moment(self, after: datetime, settings: ClubSettings) -> datetime | None:
        """Return the moment that is meant, None where it is not after the one given."""
        today = local_date(after, settings.zone)
        day, again = today, ONE_DAY
        if self.on is not None:
            day, again = self.on, timedelta()
        elif self.days is not None:
            day, again = today + timedelta(days=self.days), timedelta()
        elif self.weekday is not None:
            day, again = today + timedelta(days=(self.weekday - today.weekday()) % 7), WEEK
        hour = self.hour or settings.post_time
        for each in (day, day + again):
            at = scheduled_at(each, hour, settings.zone)
            if at > after:
                return at
        return None
