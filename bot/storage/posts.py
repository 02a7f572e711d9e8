"""What the books know of a day's own post, as conditions on the tables `day` and `notice`."""

from __future__ import annotations

IS_THE_DAYS_POST = (
    "day.club_id = notice.club_id AND notice.key = 'day:' || day.club_id || ':' || day.date"
    " || iif(day.edition = 1, '', '/' || day.edition)"
)

NEVER_WENT_UP = (
    "(day.is_closed AND day.posted_at IS NULL AND NOT EXISTS (SELECT 1 FROM notice"
    f" WHERE {IS_THE_DAYS_POST} AND notice.sent_at IS NULL))"
)
"""The day is over and nobody saw its puzzle. A post whose sending was begun may be out until it
was looked for."""
