"""How much work a question to the engine may take: a count of work, and somebody who says stop.

Whoever asks for a person sets the limit around the whole question; what works long counts its work,
wherever it stands. A count is the same on every machine, so what has an answer within a limit has
it always. Without a limit nothing ends early. Either only ends work, and never changes a result.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass

from engine.errors import StoppedError

StopAsker = Callable[[], bool]
"""Asked now and then during long work; True ends it early with StoppedError."""

ASKED_EVERY = 64
"""Units of work between two times of asking whether to stop. A unit is a branch of exact search."""

LOOK = 64
"""What looking for all instances of one technique counts for."""


@dataclass(slots=True)
class Meter:
    """Counts work up to a limit. `spent` is what was done so far."""

    most: float
    should_stop: StopAsker | None = None
    outer: Meter | None = None
    spent: int = 0
    asked_at: int = 0

    @property
    def is_used_up(self) -> bool:
        """Say whether it was this limit that ended the work, not somebody further out."""
        return self.spent > self.most

    def count(self, units: int) -> None:
        """Add work. Raises StoppedError where it is too much, or where told to stop."""
        self.spent += units
        if self.is_used_up:
            raise StoppedError(self.spent)
        if self.should_stop is not None and self.spent - self.asked_at >= ASKED_EVERY:
            self.asked_at = self.spent
            if self.should_stop():
                raise StoppedError(self.spent)
        if self.outer is not None:
            self.outer.count(units)


_METER: ContextVar[Meter | None] = ContextVar("meter", default=None)


@contextmanager
def limited(most: float, should_stop: StopAsker | None = None) -> Iterator[Meter]:
    """Let what is asked of the engine inside take so much work, and yield the meter of it.

    What is more raises StoppedError there. A limit within a limit counts for both.

    >>> from engine import limited, rate
    >>> with limited(1_000_000) as meter:
    ...     level = rate("1... ..3. .4.. ...2").level
    >>> level, meter.is_used_up
    (1, False)
    """
    meter = Meter(most, should_stop, _METER.get())
    token = _METER.set(meter)
    try:
        yield meter
    finally:
        _METER.reset(token)


def count_work(units: int = 1) -> None:
    """Count work that was done. Raises StoppedError where the limit around it says so."""
    meter = _METER.get()
    if meter is not None:
        meter.count(units)
