"""How long and when, in words: lengths of time, dates, and moments in a club's zone.

Nothing here asks what time it is now, and nothing depends on the machine's language.
"""

from __future__ import annotations

from datetime import date, datetime
from zoneinfo import ZoneInfo

_DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip


def format_length(seconds: int) -> str:
    """Write `45 s`, `12 min 5 s`, `1 h 2 min`; parts that are zero are left out."""
    minutes, rest = divmod(max(seconds, 0), 60)
    hours, minutes = divmod(minutes, 60)
    parts = [f"{hours} h" if hours else "", f"{minutes} min" if minutes else ""]
    if rest or not (hours or minutes):
        parts.append(f"{rest} s")
    return " ".join(part for part in parts if part)


def format_date(on_date: date) -> str:
    """Write `Tuesday 24 November`."""
    return f"{_DAYS[on_date.weekday()]} {format_short_date(on_date)}"


def format_short_date(on_date: date) -> str:
    """Write `24 November`."""
    return f"{on_date.day} {_MONTHS[on_date.month - 1]}"


def format_full_date(on_date: date) -> str:
    """Write `24 November 2026`."""
    return f"{format_short_date(on_date)} {on_date.year}"


def format_month(on_date: date) -> str:
    """Write `November 2026`."""
    return f"{_MONTHS[on_date.month - 1]} {on_date.year}"


def weekday_name(number: int) -> str:
    """Write `Monday` for 0."""
    return _DAYS[number]


def format_weekday_date(on_date: date) -> str:
    """Write `Tuesday 24 November 2026`."""
    return f"{format_date(on_date)} {on_date.year}"


def tell_minutes(count: int) -> str:
    """Write `about 25 minutes`; of more than an hour no number is worth telling."""
    if count > 60:
        return "more than an hour"
    return f"about {count} minute{'' if count == 1 else 's'}"


def format_moment(moment: datetime, zone: str) -> str:
    """Write `Tuesday 24 November, 18:00 (London time)`; `moment` is aware."""
    local = moment.astimezone(ZoneInfo(zone))
    return f"{format_date(local.date())}, {local:%H:%M} ({format_clock(zone)})"


_UNIVERSAL = ("UTC", "UCT", "Universal", "Zulu")
_NO_CITIES = ("Etc", "US", "Canada", "Brazil", "Chile", "Mexico")


def zone_name(zone: str) -> str:
    """Write a time zone as people call it: `London` for `Europe/London`, `UTC` for `Etc/UTC`."""
    last = zone.rpartition("/")[2].replace("_", " ")
    if last in _UNIVERSAL:
        return _UNIVERSAL[0]
    if last[:4] in ("GMT+", "GMT-") and last[4:] != "0":
        return f"{_UNIVERSAL[0]}{'-' if last[3] == '+' else '+'}{last[4:]}"  # it counts westwards
    return last if _is_of_a_city(zone) else zone


def format_clock(zone: str) -> str:
    """Write whose clock it is: `London time`, `UTC`."""
    return f"{zone_name(zone)} time" if _is_of_a_city(zone) else zone_name(zone)


def _is_of_a_city(zone: str) -> bool:
    return "/" in zone and zone.partition("/")[0] not in _NO_CITIES
