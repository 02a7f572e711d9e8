"""What a look at Discord from outside has found, as values: for `ninebark check` and its words.

Apart from the look itself, so that the words need no library.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ChannelFound:
    """A club's channel. `is_there` False: the bot cannot see it. Permissions by their titles."""

    room_id: str
    is_there: bool
    server: str = ""
    channel: str = ""
    missing: tuple[str, ...] = ()
    wishes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class DiscordLook:
    """What the bot is called, the link that invites it, how many servers it is in, and its
    clubs."""

    bot_name: str
    invitation: str
    servers: int
    places: tuple[ChannelFound, ...]

    @property
    def is_fine(self) -> bool:
        """Whether every club could work."""
        return all(place.is_there and not place.missing for place in self.places)
