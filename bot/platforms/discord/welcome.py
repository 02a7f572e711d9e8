"""One private message to who let the bot into a server that it is new in: what to do. Where the
server's audit log does not tell who that was, it goes to the owner.

A server may be joined while the bot is down, so each new one that is seen without a club is looked
at: one a minute, because many direct messages at a start look like spam to the service. What was
said before is found in their direct messages: no memory of ours is needed.
"""

from __future__ import annotations

import asyncio
import logging
from collections import deque
from collections.abc import Awaitable, Callable, Coroutine
from datetime import datetime, timedelta
from typing import Any

import discord

from bot.platforms.discord.errors import NETWORK_ERRORS
from bot.platforms.discord.pace import Rank, at
from bot.platforms.discord.permissions import may_read_audit_log
from bot.platforms.discord.posts import Posts
from bot.platforms.message import Message, RoomError

_LOG = logging.getLogger("ninebark.discord")

LOOKED_THROUGH = 20
"""So many bots that were added last to a server are looked through for ourselves."""

NEW_FOR = timedelta(days=7)
"""Who let the bot in longer ago was told what to do then, or asks for it no more."""

REST_SECONDS = 60.0
"""Between two servers that were joined meanwhile."""


class Welcomes:
    """Tells who let the bot into a server, in private, what to do next. `text` is what it says."""

    def __init__(self, posts: Posts, text: str, now: Callable[[], datetime]) -> None:
        self._posts = posts
        self._text = text
        self._now = now
        self._looked_at: set[int] = set()
        self._waiting: deque[discord.Guild] = deque()
        self._under_way: set[asyncio.Task[None]] = set()
        self._taking_turns: asyncio.Task[None] | None = None

    async def joined(self, guild: discord.Guild) -> None:
        """Welcome a server that has just let the bot in."""
        self._looked_at.add(guild.id)
        await self._begin(self._say(guild, self._posts.tell))

    def seen(self, guild: discord.Guild) -> None:
        """Have a server welcomed that the bot is in since a while ago, unless that was done."""
        if guild.id in self._looked_at or not self._is_new(guild):
            return
        self._looked_at.add(guild.id)
        self._waiting.append(guild)
        if self._taking_turns is None or self._taking_turns.done():
            self._taking_turns = self._begin(self._take_turns())

    async def stop(self) -> None:
        """Leave what is not said yet to the next start."""
        saying = tuple(self._under_way)
        for each in saying:
            each.cancel()
        await asyncio.gather(*saying, return_exceptions=True)

    def _is_new(self, guild: discord.Guild) -> bool:
        joined_at = guild.me.joined_at if guild.me is not None else None
        return joined_at is not None and self._now() - joined_at < NEW_FOR

    def _begin(self, saying: Coroutine[Any, Any, None]) -> asyncio.Task[None]:
        task = asyncio.create_task(saying, name="discord welcome")
        self._under_way.add(task)
        task.add_done_callback(self._under_way.discard)
        return task

    async def _take_turns(self) -> None:
        while self._waiting:
            await self._say(self._waiting.popleft(), self._posts.tell_once)
            await asyncio.sleep(REST_SECONDS)

    async def _say(
        self, guild: discord.Guild, tell: Callable[[str, Message, str, str], Awaitable[object]]
    ) -> None:
        try:
            with at(Rank.PRIVATE):
                host = await _who_let_us_in(guild) or guild.owner_id
                if host is not None:
                    await tell(str(host), Message(self._text), f"welcome:{guild.id}", "0")
        except RoomError as error:
            _LOG.warning("server %s could not be welcomed: %s", guild.id, error)


async def _who_let_us_in(guild: discord.Guild) -> int | None:
    """Return the id of who added the bot to a server, None where its audit log is closed to us."""
    if guild.me is None or not may_read_audit_log(guild):
        return None
    try:
        added = guild.audit_logs(limit=LOOKED_THROUGH, action=discord.AuditLogAction.bot_add)
        async for each in added:
            if each.target is not None and each.target.id == guild.me.id:
                return each.user_id
    except (discord.HTTPException, *NETWORK_ERRORS) as error:
        _LOG.info("who let the bot into server %s is not known: %r", guild.id, error)
    return None
