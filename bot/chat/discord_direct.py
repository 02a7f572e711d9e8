"""Messages to the bot alone: which club is meant by who writes them.

A server's list of members is a privileged matter, so none is kept. Who once took part in a club is
known there; the service is then asked about this one person, who may have left or may lead. Their
words need no privileged intent, because they are written to the bot.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Collection

import discord

from bot.chat.discord_marks import is_snowflake

MOST_ASKED = 5
"""So many clubs of one person are asked about; who has two must say which one all the same."""

ClubsOf = Callable[[str], Awaitable[Collection[str]]]
"""Returns the rooms of the clubs that know a person."""


async def no_clubs(user_id: str) -> Collection[str]:
    return ()


async def find_memberships(
    client: discord.Client, user_id: int, rooms: Collection[str], clubs_of: ClubsOf
) -> dict[str, discord.Member]:
    """Return the rooms whose server this person is in, each with the person as a member there.

    Where there is one club only, somebody new is asked about as well. Raises HTTPException and
    errors of the network.
    """
    known = set(await clubs_of(str(user_id))) & set(rooms)
    if not known and len(rooms) == 1:
        known = set(rooms)
    found: dict[str, discord.Member] = {}
    for room_id in sorted(filter(is_snowflake, known))[:MOST_ASKED]:
        channel = client.get_channel(int(room_id))
        if not isinstance(channel, discord.abc.GuildChannel):
            continue
        try:
            found[room_id] = await channel.guild.fetch_member(user_id)
        except (discord.NotFound, discord.Forbidden):
            continue
    return found
