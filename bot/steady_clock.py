"""Whether the machine's clock may be acted on: one that leaps ahead must first stand for a while.

A clock may be years ahead for a moment (a dead battery, a wrong time server), and what a club posts
or closes by it cannot be taken back. That it stands is shown by the time that passes beside it by
another clock, which nobody sets. A clock that goes back is acted on: nothing comes too early by it.
"""

from __future__ import annotations

import logging
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta

_LOG = logging.getLogger("ninebark.clock")

FAR = timedelta(minutes=15)
"""So far from what was expected is a leap: less than the half hour by which zones differ, more than
what is kept of the clock may be behind after a restart."""

STANDS_AFTER = timedelta(minutes=5)
"""So long a clock that leapt must run evenly before it is believed. A bot that was off for weeks
posts that long after its start."""

EVENLY = timedelta(minutes=1)
"""So much a clock that stands may be put right meanwhile."""

KEPT_EVERY = timedelta(minutes=5)
"""How often the last moment seen is written down, for the next start."""


@dataclass(frozen=True, slots=True)
class _Reading:
    at: datetime
    elapsed: float

    def expected(self, elapsed: float) -> datetime:
        """Return what the clock shows at a later reading of the other one, if it stands."""
        return self.at + timedelta(seconds=elapsed - self.elapsed)


class SteadyClock:
    """Reads the machine's clock, and says whether to act on it.

    `now` is that clock; `elapsed` counts seconds by one that nobody sets. Without it, `now` is
    taken to run evenly however it is moved, as a clock that is set on purpose is. `seen` is the
    last moment that an earlier run kept; without it the first reading is believed.
    """

    def __init__(
        self,
        now: Callable[[], datetime],
        elapsed: Callable[[], float] | None = None,
        seen: datetime | None = None,
    ) -> None:
        self.now = now
        self.elapsed = elapsed or (lambda: now().timestamp())
        first = self._read()
        self._first = first
        self._seen = first if seen is None else _Reading(seen, first.elapsed)
        self._leapt: _Reading | None = None
        self._kept = seen

    def even(self) -> datetime:
        """Return a moment that runs on evenly from the start, whatever the clock is set to: for
        waits that are counted, not for stamps."""
        return self._first.expected(self.elapsed())

    def trusted(self) -> datetime | None:
        """Return the moment that it is; None while the clock is ahead and may be wrong."""
        reading = self._read()
        expected = self._seen.expected(reading.elapsed)
        if abs(reading.at - expected) <= FAR or self._stands(reading):
            self._seen, self._leapt = reading, None
            return reading.at
        is_ahead = reading.at > expected
        if self._leapt is None:
            self._leapt = reading
            self._warn(reading.at, expected, is_ahead=is_ahead)
        return None if is_ahead else reading.at

    def believe(self, at: datetime) -> datetime:
        """Return a moment that an act is stamped with, or the latest that it can have been: a
        stamp far ahead of what is known is not to be believed."""
        self.trusted()
        known = self._seen.expected(self.elapsed())
        return at if at <= known + FAR else known

    def to_keep(self) -> datetime | None:
        """Return the last moment that was believed, once in KEPT_EVERY; None in between."""
        self.trusted()
        seen = self._seen.at
        if self._kept is not None and abs(seen - self._kept) < KEPT_EVERY:
            return None
        self._kept = seen
        return seen

    def _read(self) -> _Reading:
        return _Reading(self.now(), self.elapsed())

    def _stands(self, reading: _Reading) -> bool:
        """Say whether the clock has run evenly since its leap, and long enough."""
        if self._leapt is None:
            return False
        if abs(reading.at - self._leapt.expected(reading.elapsed)) > EVENLY:
            self._leapt = None
            return False
        return reading.elapsed - self._leapt.elapsed >= STANDS_AFTER.total_seconds()

    def _warn(self, at: datetime, expected: datetime, *, is_ahead: bool) -> None:
        if not is_ahead:
            _LOG.warning("the clock went back to %s, where %s was expected", at, expected)
            return
        _LOG.warning(
            "the clock is at %s, where %s was expected; nothing is posted or closed by it until it "
            "has stood for %d minutes",
            *(at, expected, STANDS_AFTER.total_seconds() / 60),
        )
