"""Looks from outside whether the bot could work in Discord: its token, its servers, its channels.

REST only: no gateway, no commands, nothing is written, so it may run beside a running bot.
"""

from __future__ import annotations

from collections.abc import Iterable

import discord

from bot.platforms.discord.client import intents
from bot.platforms.discord.connection import Connection
from bot.platforms.discord.endpoints import endpoints
from bot.platforms.discord.errors import NETWORK_ERRORS, as_room_errors, refusal_of
from bot.platforms.discord.look import ChannelFound, DiscordLook
from bot.platforms.discord.marks import is_snowflake
from bot.platforms.discord.permissions import invitation_link, missing_permissions, missing_wishes


async def look_around(connection: Connection, rooms: Iterable[str]) -> DiscordLook:
    """Return what is found. Raises PlatformRefusedError for a wrong token, else RoomError."""
    with endpoints(connection.api, connection.gateway):
        client = discord.Client(intents=intents())
        try:
            with as_room_errors():
                try:
                    await client.login(connection.token)
                except (discord.DiscordException, *NETWORK_ERRORS) as error:
                    if (refusal := refusal_of(error)) is not None:
                        raise refusal from None
                    raise
                servers = [guild async for guild in client.fetch_guilds(limit=None)]
                places = [await _place(client, room_id) for room_id in rooms]
        finally:
            await client.close()
    assert client.user is not None, "login has told the user"
    assert client.application_id is not None, "login has told the application"
    link = invitation_link(client.application_id)
    return DiscordLook(str(client.user.name), link, len(servers), tuple(places))


async def _place(client: discord.Client, room_id: str) -> ChannelFound:
    if not is_snowflake(room_id):
        return ChannelFound(room_id, is_there=False)
    try:
        seen = await client.fetch_channel(int(room_id))
        assert client.user is not None, "login has told the user"
        if not isinstance(seen, discord.abc.GuildChannel):
            return ChannelFound(room_id, is_there=False)
        # The channel alone knows no roles, so its server is asked for them.
        guild = await client.fetch_guild(seen.guild.id, with_counts=False)
        me = await guild.fetch_member(client.user.id)
        channel = next(each for each in await guild.fetch_channels() if each.id == seen.id)
    except (discord.NotFound, discord.Forbidden):
        return ChannelFound(room_id, is_there=False)
    permissions = channel.permissions_for(me)
    return ChannelFound(
        room_id,
        is_there=True,
        server=guild.name,
        channel=channel.name,
        missing=missing_permissions(permissions),
        wishes=missing_wishes(permissions),
    )
