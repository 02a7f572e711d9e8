"""The permissions that the bot needs in a club's channel: no more, and each with its reason.

Their names are those of Discord's own settings, so that a leader finds them.
"""

from __future__ import annotations

from urllib.parse import urlencode

import discord

from bot.platforms.discord.words import DiscordWords
from bot.platforms.message import Duty, Lacking

NEEDED: tuple[tuple[str, str, Duty], ...] = (
    ("view_channel", "View Channel", Duty.SEE),
    ("send_messages", "Send Messages", Duty.POST),
    ("attach_files", "Attach Files", Duty.SHOW_PICTURES),
    ("read_message_history", "Read Message History", Duty.LOOK_BACK),
    ("create_public_threads", "Create Public Threads", Duty.OPEN_THREADS),
    ("send_messages_in_threads", "Send Messages in Threads", Duty.WRITE_IN_THREADS),
)
WISHED: tuple[tuple[str, str], ...] = (("manage_messages", "Manage Messages"),)
"""Removing an answer that somebody wrote in the open; everything else works without."""

SCOPES = ("bot", "applications.commands")
AUTHORIZE_URL = "https://discord.com/oauth2/authorize"


def asked_for() -> discord.Permissions:
    """Return what the invitation asks for: all that is needed and wished."""
    return discord.Permissions(**{name: True for name, *_ in (*NEEDED, *WISHED)})


def missing_permissions(permissions: discord.Permissions) -> tuple[str, ...]:
    """Return the names of the needed permissions that are not there."""
    return tuple(title for name, title, _ in NEEDED if not getattr(permissions, name))


def missing_wishes(permissions: discord.Permissions) -> tuple[str, ...]:
    """Return the names of the wished permissions that are not there."""
    return tuple(title for name, title in WISHED if not getattr(permissions, name))


def invitation_link(application_id: int) -> str:
    """Return the address that invites the bot with the least permissions."""
    query = urlencode(
        {
            "client_id": application_id,
            "scope": " ".join(SCOPES),
            "permissions": asked_for().value,
        }
    )
    return f"{AUTHORIZE_URL}?{query}"


def lacking_in(client: discord.Client, room_id: str, words: DiscordWords) -> Lacking | None:
    """Return what the bot may not do in a channel, by what the gateway has told; None while a
    server is out."""
    channel = client.get_channel(int(room_id))
    if not isinstance(channel, discord.abc.GuildChannel):
        is_out = not client.is_ready() or any(guild.unavailable for guild in client.guilds)
        return None if is_out else Lacking(((Duty.BE_THERE, ""),), words.channel_gone)
    held = channel.permissions_for(channel.guild.me)
    missing = tuple((duty, title) for name, title, duty in NEEDED if not getattr(held, name))
    return Lacking(missing, words.give_rights if missing else "")


def owner_of(client: discord.Client, room_id: str) -> tuple[str, ...]:
    """Return the owner of a channel's server, nobody where it is not known."""
    channel = client.get_channel(int(room_id))
    guild = channel.guild if isinstance(channel, discord.abc.GuildChannel) else None
    return () if guild is None or guild.owner_id is None else (str(guild.owner_id),)


def may_read_audit_log(guild: discord.Guild) -> bool:
    """Tell whether a server's audit log is open to the bot, by the roles that it has."""
    held = [role.permissions for role in guild.me.roles]
    return any(each.view_audit_log or each.administrator for each in held)
