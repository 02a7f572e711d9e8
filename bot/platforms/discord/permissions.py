"""The permissions that the bot needs in a club's channel: no more, and each with its reason.

Their names are those of Discord's own settings, so that a leader finds them.
"""

from __future__ import annotations

from urllib.parse import urlencode

import discord

NEEDED: tuple[tuple[str, str], ...] = (
    ("view_channel", "View Channel"),
    ("send_messages", "Send Messages"),
    ("attach_files", "Attach Files"),
    ("read_message_history", "Read Message History"),
    ("create_public_threads", "Create Public Threads"),
    ("send_messages_in_threads", "Send Messages in Threads"),
)
WISHED: tuple[tuple[str, str], ...] = (("manage_messages", "Manage Messages"),)
"""Removing an answer that somebody wrote in the open; everything else works without."""

SCOPES = ("bot", "applications.commands")
AUTHORIZE_URL = "https://discord.com/oauth2/authorize"


def asked_for() -> discord.Permissions:
    """Return what the invitation asks for: all that is needed and wished."""
    return discord.Permissions(**{name: True for name, _ in (*NEEDED, *WISHED)})


def missing_permissions(permissions: discord.Permissions) -> tuple[str, ...]:
    """Return the names of the needed permissions that are not there."""
    return tuple(title for name, title in NEEDED if not getattr(permissions, name))


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
