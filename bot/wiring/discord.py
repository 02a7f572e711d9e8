"""The Discord part of the wiring: the token, the room with its words and commands, and its clubs.

The token comes from the environment or from a file and goes to the room alone. Clubs whose channel
is closed to the bot rest, and are looked at again when it opens.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bot.club.ports import Store
from bot.club.state import Club
from bot.commands.specs import sketch_commands
from bot.founding import Founding
from bot.platforms.message import Answerer
from bot.schedule import Schedule
from bot.settings import DiscordSettings
from bot.wording.discord import DISCORD

if TYPE_CHECKING:
    from bot.platforms.discord.room import DiscordRoom

TOKEN_VARIABLE = "NINEBARK_DISCORD_TOKEN"


class TokenMissingError(Exception):
    """There is no token. `path` is the token file that could not be read, None where none is named;
    `reason` says why."""

    def __init__(self, path: Path | None, reason: str = "") -> None:
        super().__init__(path, reason)
        self.path = path
        self.reason = reason


@dataclass(frozen=True, slots=True)
class DiscordAccess:
    """How to reach Discord. The token is kept out of the value's own writing."""

    token: str = field(repr=False)
    api: str | None = None
    gateway: str | None = None
    client_options: dict[str, Any] = field(default_factory=dict)


def read_access(settings: DiscordSettings, environment: Mapping[str, str]) -> DiscordAccess:
    """Return the access, with the token of the environment or else of the file.

    Raises TokenMissingError.
    """
    token, path = environment.get(TOKEN_VARIABLE, "").strip(), settings.token_file
    if not token and path is not None:
        try:
            token = path.read_text(encoding="utf-8").strip()
        except (OSError, UnicodeDecodeError) as error:
            reason = error.strerror if isinstance(error, OSError) else "it is no text"
            raise TokenMissingError(path, reason or "") from None
    if not token or not token.isascii() or any(letter.isspace() for letter in token):
        raise TokenMissingError(path, "it holds no token" if path is not None else "")
    return DiscordAccess(token, settings.api, settings.gateway)


async def make_discord_room(
    access: DiscordAccess,
    *,
    store: Store,
    schedule: Schedule,
    answer: Answerer,
    now: Callable[[], datetime],
) -> DiscordRoom:
    """Return the room for all clubs in Discord that the store knows, not yet connected."""
    # The library takes long to load: who has no club in Discord never waits for it.
    from bot.platforms.discord.room import DiscordRoom

    clubs = {
        club.room_id: club.id
        for club in await store.load_clubs()
        if club.platform == DiscordRoom.platform
    }

    def place_changed(room_id: str, is_there: bool) -> None:
        club_id = clubs.get(room_id)
        if club_id is not None and is_there:
            schedule.come_back(club_id)
        elif club_id is not None:
            schedule.rest(club_id)

    def opened(club: Club) -> None:
        clubs[club.room_id] = club.id
        room.add_room(club.room_id)
        schedule.wake()

    async def clubs_of(user_id: str) -> tuple[str, ...]:
        known = await store.load_clubs_of(DiscordRoom.platform, user_id)
        return tuple(club.room_id for club in known)

    room = DiscordRoom(
        token=access.token,
        rooms=clubs,
        commands=sketch_commands(lambda: now().date()),
        words=DISCORD,
        now=now,
        founder=Founding(store, answer, opened),
        place_changed=place_changed,
        clubs_of=clubs_of,
        api=access.api,
        gateway=access.gateway,
        client_options=access.client_options,
    )
    return room
