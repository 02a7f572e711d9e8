"""Who leads a club: whom its own list or the host's names, by the ids that the platform knows them
by. A list is written by people, and one platform knows the same person in more spellings than one.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from bot.club.state import Club

GROUP = "&"
"""What the id of a group begins with: who is in it leads, and it cannot be told anything."""


def _nobody(club: Club) -> Sequence[str]:
    return ()


@dataclass(frozen=True, slots=True)
class Leaders:
    """`of_host`: whom the host names, by the club's id. `id_of`: by platform, what makes an id
    of a leader as somebody wrote them, or raises ValueError; elsewhere they are written by their
    id. `in_charge`: who leads by the platform's own word."""

    of_host: Mapping[int, Sequence[str]] = field(default_factory=dict)
    id_of: Mapping[str, Callable[[str], str]] = field(default_factory=dict)
    in_charge: Callable[[Club], Sequence[str]] = _nobody

    def of(self, club: Club) -> tuple[str, ...]:
        """Return the ids of whom club and host name, each once: they lead."""
        named = (*club.settings.leaders, *self.of_host.get(club.id, ()))
        return tuple(dict.fromkeys(self._id_as_written(club, each) for each in named))

    def read_id(self, club: Club, text: str) -> str:
        """Return the id of a leader as somebody wrote them. Raises ValueError for nobody there."""
        return self.id_of.get(club.platform, str)(text)

    def _id_as_written(self, club: Club, text: str) -> str:
        try:
            return self.read_id(club, text)
        except ValueError:
            return text  # as an older Ninebark took it: it leads nobody

    def told(self, club: Club) -> tuple[str, ...]:
        """Return the ids of whom to tell what waits for leaders: whom club and host name, and who
        led last by the platform's rights; where there is nobody, who is in charge there."""
        known = dict.fromkeys((*self.of(club), *club.led_by))
        people = tuple(each for each in known if not each.startswith(GROUP))
        return people or tuple(self.in_charge(club))
