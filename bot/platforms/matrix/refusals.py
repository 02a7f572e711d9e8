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


class AddressProblem(StrEnum):
    """Why there is no homeserver at an address: nothing there is or names one, what names one is
    broken, or what it names is none."""

    NO_HOMESERVER = "no-homeserver"
    NAMES_NONE = "names-none"
    NAMES_WRONG = "names-wrong"


class AddressWrongError(RoomError):
    """There is no homeserver at `address`."""

    def __init__(self, problem: AddressProblem, address: str) -> None:
        super().__init__(problem)
        self.problem = problem
        self.address = address


class ProofMissingError(RoomError):
    """Signing in needs a proof of who we are, and none was given; these are taken, and a token."""

    def __init__(self, *, password: bool, browser: bool) -> None:
        super().__init__("no proof")
        self.password = password
        self.browser = browser


class TokenProblem(StrEnum):
    """Why a token is not taken: the homeserver refuses it, it is of no device, or its device has
    keys of its own somewhere else."""

    REFUSED = "refused"
    NO_DEVICE = "no-device"
    IN_USE = "in-use"


class TokenRefusedError(RoomError):
    """An access token, or what came back from the browser, cannot be used."""

    def __init__(self, problem: TokenProblem) -> None:
        super().__init__(problem)
        self.problem = problem


class AnotherUserError(RoomError):
    """Who signed in is not who the config names."""

    def __init__(self, user_id: str) -> None:
        super().__init__(user_id)
        self.user_id = user_id


class PasswordRefusedError(RoomError):
    """The homeserver does not take this name and password."""


class RecoveryRefusedError(RoomError):
    """A recovery key is mistyped, or opens nothing of this user's."""


class SigningProblem(StrEnum):
    """Why the bot's identity was not taken: a password is needed, or the signature is refused."""

    PASSWORD = "password"
    SIGNATURE = "signature"


class SigningRefusedError(RoomError):
    """The homeserver did not take the identity."""

    def __init__(self, problem: SigningProblem) -> None:
        super().__init__(problem)
        self.problem = problem
