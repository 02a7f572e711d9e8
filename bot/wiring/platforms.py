"""The platforms that this Ninebark can serve: the one list that names them.

The order is that of the config's explanations; the first is the one that examples show.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from bot import settings
from bot.platforms.message import RoomError
from bot.settings import Settings
from bot.wiring.discord import DISCORD
from bot.wiring.matrix import MATRIX
from bot.wiring.platform import Platform, Told
from bot.wiring.web import WEB
from bot.wording import terminal

PLATFORMS: tuple[Platform[Any], ...] = (WEB, DISCORD, MATRIX)

BY_NAME = {platform.name: platform for platform in PLATFORMS}

MEMORIES = tuple(each.memory for each in PLATFORMS if each.memory is not None)
"""What the store keeps for rooms, to be erased and forgotten with the rest."""


def read_settings(path: Path) -> Settings:
    """Read and check a config file with the tables of all platforms. Raises ConfigError."""
    return settings.read_settings(path, {each.name: each.table for each in PLATFORMS})


def explain_failure(name: str, failure: RoomError) -> Told:
    """Say what a failure of a platform means to the host."""
    platform = BY_NAME[name]
    return platform.explain(failure) or Told(terminal.out_of_reach(platform.title, failure))


def tell_closed(name: str, failure: Exception) -> str:
    """Say that a platform's clubs are closed, why, and that the others are not."""
    platform = BY_NAME[name]
    told = platform.explain(failure) if isinstance(failure, RoomError) else None
    why = terminal.platform_failed(platform.title, failure) if told is None else told.text
    return terminal.platform_closed(platform.title, why)
