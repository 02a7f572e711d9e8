"""What people did in Discord, as acts of the room's interface. Pure: nothing is sent from here.

An interaction's or a message's id holds the moment when the person acted, whatever the lag.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from datetime import datetime
from typing import Any, cast

import discord

from bot.chat.message import Incoming

PLATFORM = "discord"


def typed_in(interaction: discord.Interaction) -> dict[str, Any]:
    """Return what came with an interaction: options, id, chosen values, a form's components."""
    return cast("dict[str, Any]", interaction.data or {})


def fields_in(typed: Mapping[str, Any]) -> dict[str, str]:
    """Return the texts of a form's fields by their names."""
    return dict(_texts(typed.get("components", ())))


def _texts(components: Any) -> Iterator[tuple[str, str]]:
    for component in components:
        if "value" in component:
            yield str(component["custom_id"]), str(component["value"] or "")
        if "component" in component:
            yield from _texts([component["component"]])
        yield from _texts(component.get("components", ()))


def act_of(
    interaction: discord.Interaction,
    room_id: str,
    line: str,
    fields: Mapping[str, str],
    received_at: datetime,
) -> Incoming:
    return Incoming(
        event_id=f"{PLATFORM}:{interaction.id}",
        platform=PLATFORM,
        room_id=room_id,
        user_id=str(interaction.user.id),
        name=interaction.user.display_name,
        leads=interaction.permissions.manage_guild,
        acted_at=interaction.created_at,
        received_at=received_at,
        text=line,
        fields=fields,
    )


def act_in_open(
    message: discord.Message, room_id: str, text: str, received_at: datetime
) -> Incoming:
    author = message.author
    leads = isinstance(author, discord.Member) and author.guild_permissions.manage_guild
    return Incoming(
        event_id=f"{PLATFORM}:{message.id}",
        platform=PLATFORM,
        room_id=room_id,
        user_id=str(author.id),
        name=author.display_name,
        leads=leads,
        acted_at=message.created_at,
        received_at=received_at,
        text=text,
        in_open=True,
        message_id=f"{message.channel.id}/{message.id}",
    )


def act_in_private(
    message: discord.Message,
    member: discord.Member,
    room_id: str,
    text: str,
    received_at: datetime,
) -> Incoming:
    """Return an act written to the bot alone by a member of the club's server."""
    return Incoming(
        event_id=f"{PLATFORM}:{message.id}",
        platform=PLATFORM,
        room_id=room_id,
        user_id=str(member.id),
        name=member.display_name,
        leads=member.guild_permissions.manage_guild,
        acted_at=message.created_at,
        received_at=received_at,
        text=text,
    )


def text_to_us(message: discord.Message, us: discord.ClientUser) -> str | None:
    """Return what a message says to the bot, None where it does not speak to it.

    A direct message always does. Mentioning the role that the bot's own permissions came with
    counts: people mix the two up.
    """
    names = [f"<@{us.id}>", f"<@!{us.id}>"]
    role = message.guild.self_role if message.guild else None
    if role is not None:
        names.append(f"<@&{role.id}>")
    for name in names:
        if name in message.content:
            return message.content.replace(name, "", 1).strip()
    return message.content.strip() if message.guild is None else None


def room_of_message(message: discord.Message, rooms: Collection[str]) -> str | None:
    """Return the club's room that a message was written in, or in a thread of."""
    for place in (message.channel.id, getattr(message.channel, "parent_id", None)):
        if str(place) in rooms:
            return str(place)
    return None
