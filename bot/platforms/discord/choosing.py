"""The question which club somebody means who writes to the bot alone and is in several.

Its buttons name the clubs' rooms in their line, since what is asked before a club is known is of no
room; whoever presses one is held to be of that club by the door.
"""

from __future__ import annotations

import discord

from bot.platforms.discord.words import DiscordWords
from bot.platforms.message import Button, Message

NO_ROOM = "1"
"""Stands in a button's id for the room of a club, where there is none: no channel has this id."""
WHICH = "clubs"
"""The line that asks for the question again."""
OFFERED = 25
"""So many clubs' buttons fit into one message; in the others one writes in their rooms."""


def ask_which(client: discord.Client, clubs: tuple[str, ...], words: DiscordWords) -> Message:
    """Return the question, with a button for each of the first clubs' rooms."""
    buttons = (
        Button(name_of_club(client, room_id), f"{WHICH} {room_id}") for room_id in clubs[:OFFERED]
    )
    return Message(words.which_club, buttons=tuple(buttons))


def name_of_club(client: discord.Client, room_id: str) -> str:
    """Return how a club's room is called to somebody who is in several: by server and channel."""
    channel = client.get_channel(int(room_id))
    if not isinstance(channel, discord.abc.GuildChannel):
        return room_id
    return f"{channel.guild.name} (#{channel.name})"
