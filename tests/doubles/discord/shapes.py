"""Things of the world as the JSON that the service sends: messages, channels, servers, members."""

from __future__ import annotations

import copy
from typing import Any

from tests.doubles.discord.limits import COMPONENTS_V2, FILE, GALLERY, walk
from tests.doubles.discord.world import (
    DM,
    PUBLIC_THREAD,
    Channel,
    Guild,
    Message,
    User,
    World,
    moment_of,
)


def with_component_ids(components: Any) -> list[dict[str, Any]]:
    """Return the components, each with an id: its own, or the next that is free."""
    numbered: list[dict[str, Any]] = copy.deepcopy(list(components or ()))
    every = list(walk(numbered))
    taken = {each["id"] for each in every if each.get("id")}
    number = 0
    for each in every:
        if not each.get("id"):
            number += 1
            while number in taken:
                number += 1
            each["id"] = number
    return numbered


def _media(url: str, channel_id: str) -> dict[str, Any]:
    name = url.removeprefix("attachment://")
    there = f"http://files.invalid/{channel_id}/{name}"
    return {"url": there, "proxy_url": there, "content_type": "image/png", "flags": 0}


def _reference(message: Message) -> dict[str, Any]:
    replied = message.body.get("reply_to")
    if replied is None:
        return {}
    return {
        "message_reference": {"type": 0, "message_id": replied, "channel_id": message.channel_id}
    }


def message_json(message: Message, *, reader_sees_content: bool = True) -> dict[str, Any]:
    body = message.body
    components = with_component_ids(body.get("components"))
    for each in walk(components):
        if each["type"] == GALLERY:
            for item in each["items"]:
                item["media"] = _media(item["media"]["url"], message.channel_id)
        if each["type"] == FILE:
            each["file"] = _media(each["file"]["url"], message.channel_id)
            each["name"], each["size"] = each["file"]["url"].rpartition("/")[2], 1
    # With the V2 flag, files show only where a component names them.
    attachments = [] if message.flags & COMPONENTS_V2 else _attachments(message)
    return {
        "id": message.id,
        "channel_id": message.channel_id,
        "author": message.author.payload(),
        "content": (body.get("content") or "") if reader_sees_content else "",
        "timestamp": moment_of(message.id).isoformat(),
        "edited_timestamp": None,
        "tts": False,
        "mention_everyone": False,
        "mentions": body.get("mentions", []),
        "mention_roles": [],
        "attachments": attachments,
        "embeds": [],
        "pinned": False,
        "type": 19 if "reply_to" in body else 0,
        **_reference(message),
        "flags": message.flags,
        "components": components if reader_sees_content else [],
        **({"nonce": message.nonce} if message.nonce else {}),
    }


def _attachments(message: Message) -> list[dict[str, Any]]:
    return [
        *message.body.get("sent", ()),
        *_made_attachments(message),
    ]


def _made_attachments(message: Message) -> list[dict[str, Any]]:
    return [
        {
            "id": str(number),
            "filename": each.get("filename", ""),
            "description": each.get("description"),
            "size": len(message.files.get(each.get("filename", ""), b"")),
            "url": f"http://files.invalid/{message.channel_id}/{each.get('filename')}",
            "proxy_url": f"http://files.invalid/{message.channel_id}/{each.get('filename')}",
        }
        for number, each in enumerate(message.body.get("attachments") or ())
    ]


def channel_json(channel: Channel, world: World) -> dict[str, Any]:
    if channel.kind == DM:
        assert channel.recipient is not None
        return {
            "id": channel.id,
            "type": DM,
            "last_message_id": None,
            "flags": 0,
            "recipients": [channel.recipient.payload()],
        }
    shape: dict[str, Any] = {
        "id": channel.id,
        "type": channel.kind,
        "guild_id": channel.guild_id,
        "name": channel.name,
        "position": 0,
        "flags": 0,
        "parent_id": channel.parent_id,
        "permission_overwrites": [],
        "nsfw": False,
        "last_message_id": None,
        "rate_limit_per_user": 0,
        "topic": None,
    }
    if channel.denied:
        shape["permission_overwrites"].append(
            {"id": world.bot.id, "type": 1, "allow": "0", "deny": str(channel.denied)}
        )
    if channel.denied_to_all:
        for_bot = {"id": world.bot.id, "type": 1, "allow": str(channel.denied_to_all), "deny": "0"}
        for_all = {"id": channel.guild_id, "type": 0, "allow": "0"}
        for_all["deny"] = str(channel.denied_to_all)
        shape["permission_overwrites"] += [for_all, for_bot]
    if channel.kind == PUBLIC_THREAD:
        shape |= {
            "owner_id": world.bot.id,
            "message_count": len(channel.messages),
            "member_count": 1,
            "thread_metadata": {
                "archived": channel.is_asleep,
                "auto_archive_duration": 1440,
                "archive_timestamp": moment_of(channel.id).isoformat(),
                "locked": False,
            },
        }
    return shape


def member_json(guild: Guild, user: User) -> dict[str, Any]:
    return {
        "user": user.payload(),
        "nick": None,
        "avatar": None,
        "roles": guild.members.get(user.id, []),
        "joined_at": moment_of(guild.id).isoformat(),
        "deaf": False,
        "mute": False,
        "flags": 0,
    }


def guild_json(guild: Guild, world: World) -> dict[str, Any]:
    """Return a server as REST gives it, without its channels and members."""
    return {
        "id": guild.id,
        "name": guild.name,
        "icon": None,
        "splash": None,
        "discovery_splash": None,
        "owner_id": guild.owner.id,
        "roles": [role.payload(place, world.bot.id) for place, role in enumerate(guild.roles)],
        "emojis": [],
        "stickers": [],
        "features": [],
        "afk_channel_id": None,
        "afk_timeout": 300,
        "application_id": None,
        "banner": None,
        "description": None,
        "vanity_url_code": None,
        "system_channel_id": None,
        "system_channel_flags": 0,
        "rules_channel_id": None,
        "public_updates_channel_id": None,
        "safety_alerts_channel_id": None,
        "default_message_notifications": 0,
        "explicit_content_filter": 0,
        "verification_level": 0,
        "mfa_level": 0,
        "nsfw_level": 0,
        "preferred_locale": "en-US",
        "premium_tier": 0,
        "premium_subscription_count": 0,
        "premium_progress_bar_enabled": False,
    }


def guild_create_json(guild: Guild, world: World) -> dict[str, Any]:
    """Return a server as the gateway gives it; without `unavailable`, as on joining one."""
    return {
        **guild_json(guild, world),
        "joined_at": moment_of(guild.id).isoformat(),
        "large": False,
        "member_count": len(guild.members),
        "members": [member_json(guild, world.bot)],
        "channels": [channel_json(each, world) for each in guild.channels.values()],
        "threads": [],
        "voice_states": [],
        "presences": [],
        "stage_instances": [],
        "guild_scheduled_events": [],
        "soundboard_sounds": [],
    }
