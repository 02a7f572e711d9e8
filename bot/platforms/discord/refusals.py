"""That Discord refuses the bot, as an error that needs no library to be named."""

from __future__ import annotations

from bot.platforms.message import PlatformRefusedError


class DiscordRefusedError(PlatformRefusedError):
    """Discord refuses the bot; `code` is that of the gateway, or of HTTP."""
