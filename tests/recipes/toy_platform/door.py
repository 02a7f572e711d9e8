"""Where an act enters from the toy platform."""

from __future__ import annotations

from datetime import datetime

from bot.platforms.message import Incoming

PLATFORM = "toy"


def admit(number: int, room_id: str, name: str, text: str, at: datetime) -> Incoming:
    """Return what a person said privately as an act."""
    user_id = name.casefold()
    return Incoming(
        f"toy:{room_id}:{number}", PLATFORM, room_id, user_id, name, False, at, at, text
    )
