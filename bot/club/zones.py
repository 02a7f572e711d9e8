"""Time zones as people name them: by a city, in any case, or by the name in the IANA database.

Nothing is guessed: where zones of one name differ, or a word is no zone's, there is none, and the
likely ones can be told. Nothing here reads a path on the host's disk.
"""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from difflib import get_close_matches
from functools import cache
from zoneinfo import ZoneInfo, available_timezones

_CONTINENTS = (
    "Europe", "America", "Asia", "Africa", "Australia", "Pacific", "Atlantic", "Indian",
    "Antarctica", "Arctic",
)  # fmt: skip
"""Zones of these are called after cities; of one city, the earlier continent's counts."""

_UNIVERSAL = ("UTC", "GMT")
_SAMPLES = tuple(
    datetime(2026, 1, 1, tzinfo=UTC) + timedelta(days=10 * each) for each in range(400)
)
_SHORTEST_WORD = 5
MOST_LIKELY = 4
"""So many likely zones are told at most."""


@cache
def zones() -> tuple[str, ...]:
    """Return the names of all time zones, in order."""
    return tuple(sorted(available_timezones()))


def read_zone(text: str) -> str:
    """Return the zone of a name such as `Europe/London`, `london` or `New York`.

    Raises ValueError where there is none, or where there are several that differ.
    """
    if text in zones():
        return text
    found = _by_name().get(_plain(text), ())
    if not found or any(_hours(each) != _hours(found[0]) for each in found[1:]):
        raise ValueError(f"no one zone is called {text!r}")
    return found[0]


def likely_zones(text: str) -> tuple[str, ...]:
    """Return a few zones that a text may mean, the likeliest first."""
    plain = _plain(text)
    if not plain:
        return ()
    # Those under Etc count hours the other way round.
    known = [zone for zone in zones() if not zone.startswith("Etc/")]
    whole = [zone for zone in known if plain in _plain(zone.rpartition("/")[2]).split()]
    close = get_close_matches(plain, _by_name(), MOST_LIKELY, cutoff=0.75)
    named = _by_name().get(plain, ())
    is_mistyped = len(plain) >= _SHORTEST_WORD and not named and not whole
    others = [zone for name in close for zone in _by_name()[name]] if is_mistyped else []
    return tuple(dict.fromkeys((*named, *whole, *others)))[:MOST_LIKELY]


@cache
def _by_name() -> dict[str, tuple[str, ...]]:
    """Return the zones of each city, and each zone by its whole name, in small letters."""
    found: dict[str, list[str]] = {}
    named = [zone for zone in zones() if zone.partition("/")[0] in _CONTINENTS]
    for zone in sorted(named, key=lambda zone: _CONTINENTS.index(zone.partition("/")[0])):
        for name in {_plain(zone), _plain(zone.rpartition("/")[2])}:
            found.setdefault(name, []).append(zone)
    return {name: tuple(each) for name, each in found.items()} | {
        _plain(zone): (zone,) for zone in _UNIVERSAL
    }


def _plain(text: str) -> str:
    return " ".join(re.sub(r"[_\s.,'’-]+", " ", text.lower()).split())  # noqa: RUF001 - as people type it


@cache
def _hours(zone: str) -> tuple[timedelta | None, ...]:
    """Return how far the clock is from UTC through some years: what tells zones apart."""
    return tuple(ZoneInfo(zone).utcoffset(moment.astimezone(ZoneInfo(zone))) for moment in _SAMPLES)
