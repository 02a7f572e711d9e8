"""That Discord refuses the bot, or has no token from it: facts that need no library to be named."""

from __future__ import annotations

from enum import StrEnum

from bot.platforms.message import PlatformRefusedError


class DiscordRefusedError(PlatformRefusedError):
    """Discord refuses the bot; `code` is that of the gateway, or of HTTP."""


class TokenFault(StrEnum):
    """Why there is no token to use."""

    NONE = "none"
    """None is given, and no file is named."""
    UNREADABLE = "unreadable"
    """The file cannot be opened."""
    NO_TEXT = "no-text"
    """The file is something else than text."""
    NO_TOKEN = "no-token"
    """The file holds none."""
