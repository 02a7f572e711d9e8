"""Channels as a leader names them for a move: by the picker, a mention or a link, each an id.

What was named was sent by somebody's client: the channel counts where the service says that they
are in its server and can see it, and they lead there where it lets them manage the server.
"""

from __future__ import annotations

import re
from collections.abc import Awaitable, Callable

import discord

from bot.platforms.discord.errors import as_room_errors
from bot.platforms.discord.marks import is_snowflake
from bot.platforms.discord.permissions import lacking_in
from bot.platforms.discord.words import DiscordWords
from bot.platforms.message import Place

_NAMED = re.compile(
    r"<#([0-9]+)>|https://(?:\w+\.)?discord\.com/channels/[0-9]+/([0-9]+)/?|([0-9]+)"
)

LeadsIn = Callable[[discord.TextChannel, int], Awaitable[bool | None]]
"""Takes a channel and a person's id; tells whether they lead there, None where it is closed to
them."""


async def find_place(
    client: discord.Client, named: str, user_id: str, words: DiscordWords, leads_in: LeadsIn
) -> Place:
    """Return the channel that somebody names, as it is for them. Raises RoomError."""
    nowhere = Place(how=words.name_place)
    found = _NAMED.fullmatch(named.strip())
    channel_id = next(filter(None, found.groups()), "") if found else ""
    if not (is_snowflake(channel_id) and is_snowflake(user_id)):
        return nowhere
    channel = client.get_channel(int(channel_id))
    if not isinstance(channel, discord.TextChannel):
        return nowhere
    with as_room_errors():
        is_led = await leads_in(channel, int(user_id))
    if is_led is None:
        return nowhere
    lacking = lacking_in(client, channel_id, words)
    return Place(channel_id, f"#{channel.name}", is_led, lacking or nowhere.lacking, nowhere.how)
