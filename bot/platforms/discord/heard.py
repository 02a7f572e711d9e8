"""Which acts were heard already: the service may deliver one again, and it is answered once."""

from __future__ import annotations

from collections import OrderedDict

REMEMBERED = 2000


class Heard:
    """Remembers the ids of the last REMEMBERED acts."""

    def __init__(self) -> None:
        self._ids: OrderedDict[str, None] = OrderedDict()

    def is_new(self, event_id: str) -> bool:
        """Note an act; False where it is delivered again: it has its answer, or is getting it."""
        if event_id in self._ids:
            return False
        self._ids[event_id] = None
        if len(self._ids) > REMEMBERED:
            self._ids.popitem(last=False)
        return True
