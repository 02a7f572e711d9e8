"""The library's client, set up for a club bot: no privileged intent, no pings, nothing kept.

It turns the library's events into calls of the room's. It knows no club.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Callable
from typing import Any, Protocol

import discord

from bot.platforms.discord.registering import Registration, Wait
from bot.platforms.discord.traffic import Traffic

_LOG = logging.getLogger("ninebark.discord")

# The library would warn at every start of what it lacks for speaking; the bot never speaks.
discord.VoiceClient.warn_nacl = False
discord.VoiceClient.warn_dave = False


class Events(Protocol):
    """What the room wants to hear of."""

    async def on_interaction(self, interaction: discord.Interaction) -> None:
        """Hear of a command, a press, a choice in a menu, a form sent or a completion asked for."""

    async def on_message(self, message: discord.Message) -> None:
        """Hear of a message or an edit that the service lets us see."""

    async def on_ready(self) -> None:
        """Hear that the connection stands; again after each time that it was made anew."""

    async def on_joined(self, guild: discord.Guild) -> None:
        """Hear of a server that lets the bot in now."""

    async def on_seen(self, guild: discord.Guild) -> None:
        """Hear of a server that the bot is in: at every start, and after each outage of one."""

    def on_places_changed(self, channel_ids: list[int], is_there: bool) -> None:
        """Hear of channels that are there, perhaps with other rights than before, or are gone."""


def intents() -> discord.Intents:
    """Servers, messages that mention the bot or go to it alone; none of these is privileged."""
    return discord.Intents(guilds=True, guild_messages=True, dm_messages=True)


def no_pings() -> discord.AllowedMentions:
    """Nobody is pinged by whatever stands in a text, nor by being answered."""
    return discord.AllowedMentions.none()


class ClubClient(discord.AutoShardedClient):
    """`commands` is what the service is told of our commands at every start; `wait` passes the time
    until it is told again, where it does not take them. `traffic` is what all its requests go by.
    """

    def __init__(
        self,
        events: Events,
        commands: list[dict[str, Any]],
        traffic: Traffic,
        *,
        wait: Wait = asyncio.sleep,
        **options: Any,
    ) -> None:
        super().__init__(
            intents=intents(),
            allowed_mentions=no_pings(),
            max_messages=None,
            chunk_guilds_at_startup=False,
            member_cache_flags=discord.MemberCacheFlags.none(),
            http_trace=traffic.trace(),
            **options,
        )
        self._events = events
        self._commands = commands
        self._registration = Registration(self._register, wait)
        # The library has no way of its own to have all that it asks of the service wait.
        self.http.request = traffic.paced(self.http.request)  # type: ignore[method-assign] # see above
        parsers = self._connection.parsers
        parsers.update({name: _contained(name, parse) for name, parse in parsers.items()})

    async def setup_hook(self) -> None:
        """Tell the service our commands; where it does not take them, go on without."""
        # One process is enough; it is the one that every bot has.
        if self.shard_ids is None or 0 in self.shard_ids:
            await self._registration.begin()

    async def close(self) -> None:
        """End the connection, and whatever is still to be told."""
        await self._registration.stop()
        await super().close()

    async def _register(self) -> None:
        """Tell the service our commands, in the place of all that it knew of them."""
        assert self.application_id is not None, "login has told the application"
        await self.http.bulk_upsert_global_commands(
            self.application_id,
            payload=self._commands,
        )

    async def on_interaction(self, interaction: discord.Interaction) -> None:
        """Pass an interaction on as it is; the library's own commands are not used."""
        await self._events.on_interaction(interaction)

    async def on_message(self, message: discord.Message) -> None:
        """Pass a message on, whoever wrote it."""
        await self._events.on_message(message)

    async def on_raw_message_edit(self, edit: discord.RawMessageUpdateEvent) -> None:
        """Pass an edit in a server on as a message; a preview that a link gets is none."""
        # Links that get a preview come as edits too, without the time of one.
        if edit.message.edited_at is not None and edit.message.guild is not None:
            await self._events.on_message(edit.message)

    async def on_ready(self) -> None:
        """Pass on that the connection stands."""
        await self._events.on_ready()

    async def on_guild_join(self, guild: discord.Guild) -> None:
        """Pass on a server that lets the bot in, with its channels."""
        self._events.on_places_changed(_channels(guild), True)
        await self._events.on_joined(guild)

    async def on_guild_available(self, guild: discord.Guild) -> None:
        """Pass on a server that the bot is in, with its channels."""
        # At every start this comes for each server, and after each outage of one.
        self._events.on_places_changed(_channels(guild), True)
        await self._events.on_seen(guild)

    async def on_guild_remove(self, guild: discord.Guild) -> None:
        """Pass on the channels of a server as gone."""
        self._events.on_places_changed(_channels(guild), False)

    async def on_guild_channel_delete(self, channel: discord.abc.GuildChannel) -> None:
        """Pass on a channel as gone."""
        self._events.on_places_changed([channel.id], False)

    async def on_guild_channel_update(
        self, before: discord.abc.GuildChannel, after: discord.abc.GuildChannel
    ) -> None:
        """Pass on a channel as there, so that what waits for it is tried again."""
        # Perhaps a permission that was missing.
        self._events.on_places_changed([after.id], True)

    async def on_guild_role_update(self, before: discord.Role, after: discord.Role) -> None:
        """Pass on all channels of a server where a role's permissions changed."""
        if before.permissions != after.permissions:
            self._events.on_places_changed(_channels(after.guild), True)


def _channels(guild: discord.Guild) -> list[int]:
    return [channel.id for channel in guild.channels]


def _contained(name: str, parse: Callable[[Any], None]) -> Callable[[Any], None]:
    """Return a parser of the library's whose failure stays with its event.

    Otherwise one event that the library cannot read ends the connection, and with it the room.
    """

    def parse_alone(sent: Any) -> None:
        try:
            parse(sent)
        except Exception as error:
            _LOG.warning("an event %s could not be read and is left out: %r", name, error)

    return parse_alone
