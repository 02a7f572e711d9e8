"""One private message to the owner of a server that the bot is new in: what to do.

A server may be joined while the bot is down, so each one that is seen without a club is looked at.
What was said before is found in the owner's direct messages: no memory of ours is needed.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Awaitable, Callable

import discord

from bot.platforms.discord.posts import Posts
from bot.platforms.message import Message, RoomError

_LOG = logging.getLogger("ninebark.discord")


class Welcomes:
    """Tells the owner of a server, in private, what to do next. `text` is what it says."""

    def __init__(self, posts: Posts, text: str) -> None:
        self._posts = posts
        self._text = text
        self._looked_at: set[int] = set()
        self._under_way: set[asyncio.Task[object]] = set()

    async def joined(self, guild: discord.Guild) -> None:
        """Welcome a server that has just let the bot in."""
        await self._say(guild, self._posts.tell)

    async def seen(self, guild: discord.Guild) -> None:
        """Welcome a server that the bot is in, unless that was done before."""
        if guild.id not in self._looked_at:
            await self._say(guild, self._posts.tell_once)

    async def stop(self) -> None:
        """Leave what is not said yet to the next start."""
        saying = tuple(self._under_way)
        for each in saying:
            each.cancel()
        await asyncio.gather(*saying, return_exceptions=True)

    async def _say(
        self, guild: discord.Guild, tell: Callable[[str, Message, str, str], Awaitable[object]]
    ) -> None:
        self._looked_at.add(guild.id)
        if guild.owner_id is None:
            return
        words, key = Message(self._text), f"welcome:{guild.id}"
        saying = asyncio.ensure_future(tell(str(guild.owner_id), words, key, "0"))
        self._under_way.add(saying)
        saying.add_done_callback(self._under_way.discard)
        try:
            await saying
        except RoomError as error:
            _LOG.warning("server %s could not be welcomed: %s", guild.id, error)
