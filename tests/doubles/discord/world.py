"""What there is on the double: servers, channels, roles, people, messages, interactions.

Plain values that change; nothing here speaks HTTP. Ids are snowflakes of the double's own clock,
so an id tells when its thing came to be, as on the service.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any

EPOCH_MS = 1_420_070_400_000
"""2015-01-01, from which snowflakes count."""

# Bits of permissions, from the service's documentation.
ADMINISTRATOR = 1 << 3
MANAGE_GUILD = 1 << 5
VIEW_AUDIT_LOG = 1 << 7
VIEW_CHANNEL = 1 << 10
SEND_MESSAGES = 1 << 11
MANAGE_MESSAGES = 1 << 13
ATTACH_FILES = 1 << 15
READ_MESSAGE_HISTORY = 1 << 16
USE_APPLICATION_COMMANDS = 1 << 31
CREATE_PUBLIC_THREADS = 1 << 35
SEND_MESSAGES_IN_THREADS = 1 << 38
EVERYTHING = (1 << 50) - 1

BOT_PERMISSIONS = (
    VIEW_CHANNEL | SEND_MESSAGES | MANAGE_MESSAGES | ATTACH_FILES | READ_MESSAGE_HISTORY
    | CREATE_PUBLIC_THREADS | SEND_MESSAGES_IN_THREADS
)  # fmt: skip
EVERYONE = VIEW_CHANNEL | SEND_MESSAGES | READ_MESSAGE_HISTORY | USE_APPLICATION_COMMANDS

GUILD_TEXT, DM, PUBLIC_THREAD = 0, 1, 11


class Snowflakes:
    """Makes ids that grow, each with the moment of its making."""

    def __init__(self, now: Callable[[], datetime]) -> None:
        self._now = now
        self._last = 0

    def next(self, at: datetime | None = None) -> str:
        milliseconds = int((at or self._now()).timestamp() * 1000) - EPOCH_MS
        candidate = milliseconds << 22
        if at is None:
            candidate = self._last = max(candidate, self._last + 1)
        else:
            self._last += 1
            candidate |= self._last & 0x3FFFFF
        return str(candidate)


def moment_of(snowflake: str) -> datetime:
    return datetime.fromtimestamp(((int(snowflake) >> 22) + EPOCH_MS) / 1000, UTC)


@dataclass
class User:
    id: str
    name: str
    is_bot: bool = False
    takes_messages: bool = True

    def payload(self) -> dict[str, Any]:
        return {
            "id": self.id,
            "username": self.name.lower()[:32] or "x",
            "global_name": self.name,
            "discriminator": "0",
            "avatar": None,
            "bot": self.is_bot,
        }


@dataclass
class Role:
    id: str
    name: str
    permissions: int
    is_managed: bool = False

    def payload(self, position: int, bot_id: str) -> dict[str, Any]:
        return {
            "id": self.id,
            "name": self.name,
            "permissions": str(self.permissions),
            "position": position,
            "color": 0,
            "colors": {"primary_color": 0, "secondary_color": None, "tertiary_color": None},
            "hoist": False,
            "managed": self.is_managed,
            "mentionable": False,
            "flags": 0,
            **({"tags": {"bot_id": bot_id}} if self.is_managed else {}),
        }


@dataclass
class Message:
    id: str
    channel_id: str
    author: User
    body: dict[str, Any]
    files: dict[str, bytes] = field(default_factory=dict)
    for_user: str | None = None
    nonce: str | None = None
    edits: int = 0
    pings: tuple[str, ...] = ()

    @property
    def flags(self) -> int:
        return int(self.body.get("flags") or 0)


@dataclass
class Channel:
    id: str
    name: str
    guild_id: str | None = None
    kind: int = GUILD_TEXT
    parent_id: str | None = None
    recipient: User | None = None
    denied: int = 0
    """Permissions that the bot is denied here."""
    denied_to_all: int = 0
    """Permissions that everybody is denied here who has no role with more."""
    messages: dict[str, Message] = field(default_factory=dict)
    is_asleep: bool = False
    """Whether it is a thread that was archived because nobody wrote in it."""


@dataclass
class Guild:
    id: str
    name: str
    owner: User
    roles: list[Role]
    members: dict[str, list[str]]
    """User id -> role ids."""
    channels: dict[str, Channel] = field(default_factory=dict)
    has_bot: bool = True
    bot_added_by: User | None = None


@dataclass
class Interaction:
    """`responded`: when the first response came; `is_pending`: announced and not yet answered.
    `under`: the message whose button was pressed, or opened the form."""

    id: str
    token: str
    kind: int
    user: User
    channel_id: str
    responded: datetime | None = None
    is_pending: bool = False
    modal: dict[str, Any] | None = None
    choices: list[dict[str, Any]] | None = None
    messages: list[Message] = field(default_factory=list)
    original: Message | None = None
    under: Message | None = None
    announced_flags: int = 0

    @property
    def is_settled(self) -> bool:
        return self.responded is not None and not self.is_pending

    @property
    def created_at(self) -> datetime:
        return moment_of(self.id)


FIRST_RESPONSE_WITHIN = timedelta(seconds=3)
TOKEN_LIVES = timedelta(minutes=15)


class World:
    """Everything, by id."""

    def __init__(self, now: Callable[[], datetime]) -> None:
        self.now = now
        self.ids = Snowflakes(now)
        self.bot = User(self.ids.next(), "Ninebark", is_bot=True)
        self.application_id = self.ids.next()
        self.users: dict[str, User] = {self.bot.id: self.bot}
        self.guilds: dict[str, Guild] = {}
        self.channels: dict[str, Channel] = {}
        self.interactions: dict[str, Interaction] = {}
        self.commands: list[dict[str, Any]] = []
        self.command_puts = 0
        self.may_command: set[str] = set()
        """Who may use every command by a server's settings under Integrations."""
        self.files: dict[str, bytes] = {}
        self.files_at = ""
        self.files_read: list[str] = []

    def keep_file(self, content: bytes) -> dict[str, Any]:
        """Keep a file that a person sends; return what the service says of it."""
        file_id = self.ids.next()
        self.files[file_id] = content
        return {
            "id": file_id,
            "filename": "IMG_2041 Rosalind's kitchen.jpg",
            "size": len(content),
            "url": f"{self.files_at}/{file_id}",
            "proxy_url": f"{self.files_at}/{file_id}",
            "content_type": "image/jpeg",
        }

    def add_user(self, name: str) -> User:
        user = User(self.ids.next(), name)
        self.users[user.id] = user
        return user

    def add_guild(self, name: str, *, owner: User | None = None, has_bot: bool = True) -> Guild:
        guild_id = self.ids.next()
        owner = owner or self.add_user(f"{name} owner")
        roles = [
            Role(guild_id, "@everyone", EVERYONE),
            Role(self.ids.next(), "Ninebark", BOT_PERMISSIONS, is_managed=True),
            Role(self.ids.next(), "Leaders", EVERYONE | MANAGE_GUILD),
        ]
        members: dict[str, list[str]] = {owner.id: [], self.bot.id: [roles[1].id]}
        guild = Guild(guild_id, name, owner, roles, members, has_bot=has_bot)
        self.guilds[guild.id] = guild
        return guild

    def add_channel(self, guild: Guild, name: str) -> Channel:
        channel = Channel(self.ids.next(), name, guild.id)
        self.channels[channel.id] = guild.channels[channel.id] = channel
        return channel

    def add_thread(self, parent: Channel, message_id: str, name: str) -> Channel:
        thread = Channel(message_id, name, parent.guild_id, PUBLIC_THREAD, parent.id)
        self.channels[thread.id] = thread
        return thread

    def direct_channel(self, user: User) -> Channel:
        for channel in self.channels.values():
            if channel.kind == DM and channel.recipient is user:
                return channel
        channel = Channel(self.ids.next(), "", kind=DM, recipient=user)
        self.channels[channel.id] = channel
        return channel

    def permissions_of(self, user_id: str, channel: Channel) -> int:
        """Return what a user may do in a channel; a thread has its parent's permissions."""
        if channel.guild_id is None:
            return EVERYTHING
        guild = self.guilds[channel.guild_id]
        if user_id == guild.owner.id:
            return EVERYTHING
        if user_id not in guild.members or (user_id == self.bot.id and not guild.has_bot):
            return 0
        held = {guild.id, *guild.members[user_id]}
        permissions = 0
        for role in guild.roles:
            if role.id in held:
                permissions |= role.permissions
        if permissions & ADMINISTRATOR:
            return EVERYTHING
        if user_id != self.bot.id:
            permissions &= ~channel.denied_to_all
        if user_id == self.bot.id:
            parent = self.channels.get(channel.parent_id or "", channel)
            permissions &= ~parent.denied
            if not permissions & VIEW_CHANNEL:
                return 0
        return permissions

    def message(self, channel: Channel, message_id: str) -> Message:
        """Return a message of a channel, or of the private answers there."""
        answers = (each for asked in self.interactions.values() for each in asked.messages)
        there = {each.id: each for each in answers} | channel.messages
        return there[message_id]

    def add_interaction(
        self, kind: int, user: User, channel_id: str, at: datetime | None
    ) -> Interaction:
        interaction_id = self.ids.next(at)
        interaction = Interaction(interaction_id, f"it-{interaction_id}", kind, user, channel_id)
        self.interactions[interaction.id] = interaction
        return interaction
