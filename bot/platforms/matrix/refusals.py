"""Why the bot cannot work in Matrix at all, as errors that need no library to be named."""

from __future__ import annotations

from enum import StrEnum

from bot.platforms.message import PlatformRefusedError, RoomError


class ExtraMissingError(RoomError):
    """The library that the Matrix room needs is not installed."""


class SignedOutError(PlatformRefusedError):
    """The homeserver no longer takes our token."""


class SessionProblem(StrEnum):
    """Why a sign-in cannot be used: there is none, its keys are gone, or it is for another."""

    NONE = "none"
    STORE = "store"
    USER = "user"
    HOMESERVER = "homeserver"


class SessionLostError(RoomError):
    """The sign-in cannot be used."""

    def __init__(self, problem: SessionProblem) -> None:
        super().__init__(problem)
        self.problem = problem


class StoreInUseError(RoomError):
    """Another running Ninebark uses the same Matrix session."""


class PasswordMissingError(RoomError):
    """Signing in needs a password, and none was given."""


class PasswordRefusedError(RoomError):
    """The homeserver does not take this name and password."""


class SigningProblem(StrEnum):
    """Why the bot's identity was not taken: a password is needed, or the signature is refused."""

    PASSWORD = "password"
    SIGNATURE = "signature"


class SigningRefusedError(RoomError):
    """The homeserver did not take the identity."""

    def __init__(self, problem: SigningProblem) -> None:
        super().__init__(problem)
        self.problem = problem
