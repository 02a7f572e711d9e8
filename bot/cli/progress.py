"""How far a command is: one line on a terminal that is written over, and gone at the end.

Where nobody watches nothing is written, and no words are made.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TextIO

SECONDS_BETWEEN = 0.2


@dataclass(slots=True)
class StatusLine:
    """The line. `now` tells seconds that only ever grow; they count from the first time shown."""

    stream: TextIO
    now: Callable[[], float]
    started: float | None = None
    shown: float = 0.0
    width: int = 0

    @property
    def is_watched(self) -> bool:
        """Whether it is on a terminal."""
        return self.stream.isatty()

    def show(self, tell: Callable[[float], str]) -> None:
        """Write the line anew, a few times a second at most. `tell` takes the seconds so far."""
        now = self.now()
        if self.started is None:
            self.started = now
        if not self.is_watched or (self.width and 0 <= now - self.shown < SECONDS_BETWEEN):
            return
        self.shown = now
        line = tell(now - self.started)
        self.stream.write("\r" + line.ljust(self.width))
        self.stream.flush()
        self.width = len(line)

    def clear(self) -> None:
        """Leave the line empty, for what is printed next."""
        if self.width:
            self.stream.write("\r" + " " * self.width + "\r")
            self.stream.flush()
            self.width = 0
