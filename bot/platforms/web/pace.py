"""How often somebody may ask, and how many at once: counts that stay small whoever comes.

A count belongs to a key, such as an address or a member; of too many keys the one longest unseen is
forgotten, which gives whoever it was no more than a stranger has. Pure but for the counts.
"""

from __future__ import annotations

from collections import Counter, OrderedDict
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime

BURST = 12
PER_SECOND = 2.0

TAP_BURST = 40
TAPS_PER_SECOND = 8.0
"""Taps on a board are many and small: faster than anybody taps for long."""

REQUEST_BURST = 1500
REQUESTS_PER_SECOND = 30.0
"""Of one address. A page and its pictures are about sixty requests, and a whole school may come by
one address within a minute."""

SENT_BURST = 120
SENT_PER_SECOND = 4.0
"""What an address sends by POST, links that are opened above all: a class that scans its codes."""

AT_ONCE_EACH, AT_ONCE = 64, 256
"""Requests under way, of one address and in all. None takes longer than a moment, unless somebody
keeps it waiting."""

TABS_LIMIT, TABS_EACH = 400, 200
"""Tabs that are open, in all and of one address."""

TABS_OF_ONE = 24
"""Tabs of who came by one link: on each of their devices one, and some whose line was lost."""

PHOTOS_LIMIT, PHOTOS_EACH, PHOTOS_OF_ONE = 6, 4, 2
"""Photos that are on their way or held, in all, of one address, and of who came by one link: the
last, and one before that was broken off."""

KEYS_LIMIT = 4096
"""So many keys are remembered, at about half a kilobyte each."""


class Bucket:
    """A token bucket: `burst` acts at once, then `per_second`."""

    __slots__ = ("_burst", "_filled_at", "_now", "_per_second", "_tokens")

    def __init__(
        self,
        now: Callable[[], datetime],
        burst: int = BURST,
        per_second: float = PER_SECOND,
    ) -> None:
        self._now = now
        self._burst = float(burst)
        self._per_second = per_second
        self._tokens = self._burst
        self._filled_at = now()

    def take(self) -> bool:
        """Use one token; False where there is none."""
        now = self._now()
        # A clock set back must not drain the bucket.
        gained = max(0.0, (now - self._filled_at).total_seconds()) * self._per_second
        self._tokens = min(self._burst, self._tokens + gained)
        self._filled_at = now
        if self._tokens < 1:
            return False
        self._tokens -= 1
        return True


class Pace:
    """A bucket for each key."""

    def __init__(self, now: Callable[[], datetime], burst: int, per_second: float) -> None:
        self._now = now
        self._burst = burst
        self._per_second = per_second
        self._buckets: OrderedDict[str, Bucket] = OrderedDict()

    def __len__(self) -> int:
        """How many keys are remembered."""
        return len(self._buckets)

    def take(self, key: str) -> bool:
        """Use one token of this key; False where it has none."""
        bucket = self._buckets.get(key)
        if bucket is None:
            bucket = self._buckets[key] = Bucket(self._now, self._burst, self._per_second)
            if len(self._buckets) > KEYS_LIMIT:
                self._buckets.popitem(last=False)
        self._buckets.move_to_end(key)
        return bucket.take()


class Crowd:
    """Who is in at the moment: at most `each` of one key, and `all_` together; whoever has the key
    "" is nobody that could be told apart, and counts in all alone."""

    def __init__(self, each: int, all_: int) -> None:
        self._each = each
        self._all = all_
        self._inside: Counter[str] = Counter()

    def __len__(self) -> int:
        """How many are in."""
        return self._inside.total()

    @contextmanager
    def place(self, key: str) -> Iterator[bool]:
        """Take a place for as long as the context lasts; False where none is free."""
        if (key and self._inside[key] >= self._each) or len(self) >= self._all:
            self._tidy(key)
            yield False
            return
        self._inside[key] += 1
        try:
            yield True
        finally:
            self._inside[key] -= 1
            self._tidy(key)

    def _tidy(self, key: str) -> None:
        if not self._inside[key]:
            del self._inside[key]


class MemberPaces:
    """How fast a member acts and taps, in all of their tabs together, and how many these may be
    where a link tells whose they are."""

    def __init__(self, now: Callable[[], datetime]) -> None:
        self.acts = Pace(now, BURST, PER_SECOND)
        self.taps = Pace(now, TAP_BURST, TAPS_PER_SECOND)
        self.tabs = Crowd(TABS_OF_ONE, TABS_LIMIT)
