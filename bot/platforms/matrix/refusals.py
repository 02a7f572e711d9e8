"""Why the bot cannot work in Matrix at all, as errors that need no library to be named."""

from __future__ import annotations

from bot.platforms.message import PlatformRefusedError, RoomError


class ExtraMissingError(RoomError):
    """The library that the Matrix room needs is not installed."""


class SignedOutError(PlatformRefusedError):
    """The homeserver no longer takes our token."""


class SessionLostError(RoomError):
    """The sign-in cannot be used. `problem`: `none`, `store`, `user` or `homeserver`."""

    def __init__(self, problem: str) -> None:
        super().__init__(problem)
        self.problem = problem


class StoreInUseError(RoomError):
    """Another running Ninebark uses the same Matrix session."""


class PasswordMissingError(RoomError):
    """Signing in needs a password, and none was given."""
