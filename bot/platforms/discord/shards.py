"""Which part of a bot's servers a process serves, where one machine is not enough for all.

The service deals servers out to shards by their number; each process connects some of them, and has
a folder of its own. Direct messages, and presses in them, come to the first shard alone.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

_WRITTEN = re.compile(r"(\d{1,5})(?:\s*-\s*(\d{1,5}))?\s+of\s+(\d{1,5})")


@dataclass(frozen=True, slots=True)
class Shards:
    """The shards `first` to `last`, counted from 0, of `of`."""

    first: int
    last: int
    of: int

    @property
    def hear_directly(self) -> bool:
        """Whether direct messages come to these."""
        return self.first == 0

    @property
    def share(self) -> float:
        """How much of the bot's limits is for these."""
        return (self.last - self.first + 1) / self.of

    @property
    def ids(self) -> list[int]:
        """The numbers of all of these."""
        return list(range(self.first, self.last + 1))


def parse_shards(text: object) -> Shards:
    """Read `0-3 of 16` or `2 of 16`. Raises ValueError."""
    found = _WRITTEN.fullmatch(text.strip()) if isinstance(text, str) else None
    if found is None:
        raise ValueError(text)
    first, of = int(found[1]), int(found[3])
    last = first if found[2] is None else int(found[2])
    if not first <= last < of:
        raise ValueError(text)
    return Shards(first, last, of)
