"""The Discord part of the wiring: the token, the room with its words and commands, and its clubs.

The token comes from the environment or from a file and goes to the room alone. Clubs whose channel
is closed to the bot rest, and are looked at again when it opens.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from bot.commands.specs import sketch_commands
from bot.config_tables import PlatformTable, address, text
from bot.photo.told import can_read_photos
from bot.platforms.discord.connection import Connection
from bot.platforms.discord.refusals import DiscordRefusedError, TokenFault
from bot.platforms.discord.shards import Shards, parse_shards
from bot.platforms.message import Refusal, RoomError
from bot.storage import SqliteStore
from bot.wiring.club_rooms import ClubRooms
from bot.wiring.platform import Checked, Host, OpenRoom, Platform, RoomNeeds, Told
from bot.wording import discord as words

PLATFORM = "discord"
TOKEN_VARIABLE = "NINEBARK_DISCORD_TOKEN"


@dataclass(frozen=True, slots=True)
class DiscordSettings:
    """The `[discord]` table. The token itself is never in the config.

    `api`, `gateway`: other addresses than the service's own, for a proxy or a test. `shards`: those
    of this process, where others serve the rest.
    """

    token_file: Path | None = None
    api: str | None = None
    gateway: str | None = None
    shards: Shards | None = None


class TokenMissingError(RoomError):
    """There is no token. `path` is the token file, None where none is named; `reason` is the
    system's own word on why it cannot be opened."""

    def __init__(self, fault: TokenFault, path: Path | None, reason: str = "") -> None:
        super().__init__(fault, path, reason)
        self.fault = fault
        self.path = path
        self.reason = reason


@dataclass(frozen=True, slots=True)
class DiscordAccess:
    """How Discord is reached."""

    connection: Connection
    platform = PLATFORM
    origin = ""

    @property
    def secret(self) -> str:
        """The token, which no log may hold."""
        return self.connection.token

    async def make_room(self, needs: RoomNeeds) -> OpenRoom:
        """Return the room for all clubs in Discord that the store knows, not yet connected."""
        # The library takes long to load: who has no club in Discord never waits for it.
        from bot.platforms.discord.room import DiscordRoom

        rooms = await ClubRooms.load(PLATFORM, needs)
        room = DiscordRoom(
            self.connection,
            rooms.as_clubs(),
            commands=sketch_commands(lambda: needs.now().date(), takes_photos=can_read_photos()),
            words=words.DISCORD,
            now=needs.now,
        )
        return OpenRoom(room, lambda: (words.READY,))


def read_access(settings: DiscordSettings, host: Host) -> DiscordAccess:
    """Return the access, with the token of the environment or else of the file.

    Raises TokenMissingError.
    """
    token, path = host.environment.get(TOKEN_VARIABLE, "").strip(), settings.token_file
    if not token and path is not None:
        try:
            token = path.read_text(encoding="utf-8").strip()
        except OSError as error:
            raise TokenMissingError(TokenFault.UNREADABLE, path, error.strerror or "") from None
        except UnicodeDecodeError:
            raise TokenMissingError(TokenFault.NO_TEXT, path) from None
    if not token or not token.isascii() or any(letter.isspace() for letter in token):
        raise TokenMissingError(TokenFault.NONE if path is None else TokenFault.NO_TOKEN, path)
    return DiscordAccess(Connection(token, settings.api, settings.gateway, shards=settings.shards))


def _make_settings(values: Mapping[str, Any], folder: Path) -> DiscordSettings:
    named = {key: folder / value for key, value in values.items() if key == "token_file"}
    return DiscordSettings(**{**values, **named})


def _explain(error: RoomError) -> Told | None:
    if isinstance(error, TokenMissingError):
        return Told(words.token_missing(error.fault, error.path, error.reason), is_input=True)
    if isinstance(error, DiscordRefusedError):
        return Told(words.refused(error), is_input=error.problem == Refusal.TOKEN)
    return None


async def _check(
    own: DiscordSettings, host: Host, room_ids: Collection[str], store: SqliteStore
) -> Checked:
    """Say how things stand in Discord; all is fine where every club could work."""
    from bot.platforms.discord.check import look_around  # loads the library, which takes long

    try:
        access = read_access(own, host)
    except TokenMissingError as error:
        missing = words.token_missing(error.fault, error.path, error.reason)
        return Checked(is_fine=False, failure=Told(missing))
    found = await look_around(access.connection, room_ids)
    return Checked(words.tell_look(found), found.is_fine)


_MENTION = re.compile(r"(?:<@!?)?([0-9]{15,20})>?|(?:<@)?(&[0-9]{15,20})>?")


def _leader_id(text: str) -> str:
    """Return the id of a person or, behind a `&`, of a role. Raises ValueError for a mere name."""
    found = _MENTION.fullmatch(text.strip())
    if found is None:
        raise ValueError(text)
    return found[1] or found[2]


DISCORD = Platform(
    name=PLATFORM,
    title=words.TITLE,
    leaders=words.LEADERS,
    table=PlatformTable(
        keys={
            "token_file": (text, 'token_file = "discord-token"'),
            "api": (address("http", "https"), 'api = "https://discord.com/api/v10"'),
            "shards": (parse_shards, 'shards = "0-3 of 16"'),
            "gateway": (address("ws", "wss"), 'gateway = "wss://gateway.discord.gg/"'),
        },
        make=_make_settings,
    ),
    access=read_access,
    explain=_explain,
    check=_check,
    leader_id=_leader_id,
)
