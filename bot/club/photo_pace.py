"""How many photos of one member are read within a while, by the stamps of their acts.

A reading takes a second of the machine, so nobody's photos may crowd out the others'. What is
counted is in memory alone: a bot that begins anew counts from nothing.
"""

from __future__ import annotations

from datetime import datetime, timedelta

MOST_PHOTOS = 6
"""So many of one member's are read within SPAN."""

SPAN = timedelta(minutes=1)


class PhotoPace:
    """Counts photos by whoever sent them."""

    def __init__(self) -> None:
        self._sent: dict[str, tuple[object, datetime]] = {}

    def may_read(self, who: object, event_id: str, at: datetime) -> bool:
        """Say whether one more may be read, and count it; an act that is asked about again counts
        once."""
        if event_id in self._sent:
            return True
        for known, (_, stamp) in tuple(self._sent.items()):
            if stamp <= at - SPAN:
                del self._sent[known]
        if sum(sender == who for sender, _ in self._sent.values()) >= MOST_PHOTOS:
            return False
        self._sent[event_id] = who, at
        return True
