"""What a look at Matrix finds, as values that need no library."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class RoomFound:
    """A club's room. `may_redact`: it may take answers out of the open room."""

    room_id: str
    title: str = ""
    is_there: bool = False
    is_encrypted: bool = False
    may_post: bool = False
    may_redact: bool = False


@dataclass(frozen=True, slots=True)
class MatrixLook:
    """Who the bot is, whether it encrypts, its clubs' rooms, and rooms that it was invited to.
    `has_recovery`: a recovery key was made here."""

    user_id: str
    device_id: str
    is_encrypting: bool
    places: tuple[RoomFound, ...]
    invitations: tuple[str, ...]
    has_recovery: bool = False

    @property
    def is_fine(self) -> bool:
        """Whether every club could work."""
        return all(place.may_post and place.may_redact for place in self.places)
