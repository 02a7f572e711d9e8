"""The double as a whole: a server on a free loopback port, its world, people and faults."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from contextlib import suppress
from datetime import UTC, datetime
from typing import Any

from aiohttp import web

from tests.doubles.discord.faults import Fault, Faults
from tests.doubles.discord.gateway import DIRECT_MESSAGES, GUILD_MESSAGES, Gateway
from tests.doubles.discord.pace import Limits
from tests.doubles.discord.people import Person
from tests.doubles.discord.responding import Responding
from tests.doubles.discord.rest import Rest
from tests.doubles.discord.shapes import channel_json, guild_create_json, member_json, message_json
from tests.doubles.discord.world import Channel, Guild, Interaction, Message, User, World
from tests.patience import PATIENCE

TOKEN = "double.token.not-a-real-one"
LOOK_AGAIN_SECONDS = 0.02
"""How long a test waits for something to happen before it fails; nothing waits so long to pass."""


def _utc_now() -> datetime:
    return datetime.now(UTC)


class DiscordDouble:
    """`now` is the clock that ids, the 3-second and the 15-minute rules go by."""

    def __init__(self, now: Callable[[], datetime] = _utc_now, *, token: str = TOKEN) -> None:
        self.now = now
        self.world = World(now)
        self.token = token
        self.faults = Faults()
        self.limits = Limits(now)
        self.rest = Rest(self.world, token, self.faults, self.limits)
        self.gateway = Gateway(self.world, token)
        self.rest.shown = self._wake
        self.rest.on_message = self._note_pings
        self.pings: list[str] = []
        self.undelivered: list[str] = []
        self._changed = asyncio.Condition()
        self._runner: web.AppRunner | None = None
        self._wakers: set[asyncio.Task[None]] = set()
        self.api = ""

    async def start(self) -> None:
        app = web.Application(client_max_size=32 * 1024 * 1024)
        app.add_routes(self.rest.routes())
        app.add_routes(Responding(self.rest).routes())
        app.add_routes(
            [
                web.get("/api/v10/gateway", self._where),
                web.get("/api/v10/gateway/bot", self._where),
                web.get("/gateway/", self.gateway.serve),
                web.get("/files/{id}", self._file),
                web.route("*", "/{rest:.*}", self.rest.unknown),
            ]
        )
        self._runner = web.AppRunner(app, access_log=None, shutdown_timeout=0.1)
        await self._runner.setup()
        site = web.TCPSite(self._runner, "127.0.0.1", 0, backlog=1024)
        await site.start()
        port = self._runner.addresses[0][1]
        self.api = f"http://127.0.0.1:{port}/api/v10"
        self.gateway.url = f"ws://127.0.0.1:{port}/gateway/"
        self.world.files_at = f"http://127.0.0.1:{port}/files"

    async def stop(self) -> None:
        await self.gateway.close(1001)
        if self._runner is not None:
            await self._runner.cleanup()
        for task in self._wakers:
            task.cancel()

    async def _file(self, request: web.Request) -> web.Response:
        """Hand out a file that somebody sent; whoever has the address may read it."""
        self.world.files_read.append(request.match_info["id"])
        return web.Response(body=self.world.files[request.match_info["id"]])

    async def _where(self, request: web.Request) -> web.Response:
        fault = self.faults.take("GET", request.path.removeprefix("/api/v10"), after=False)
        if fault is not None:
            return web.Response(status=fault.status)
        if request.headers.get("Authorization") != f"Bot {self.token}":
            return web.json_response({"message": "401: Unauthorized", "code": 0}, status=401)
        limit = {"total": 1000, "remaining": 1000, "reset_after": 0, "max_concurrency": 16}
        return web.Response(
            body=web.json_response(
                {"url": self.gateway.url, "shards": self.gateway.shards,
                 "session_start_limit": limit}
            ).body,
            headers={"Content-Type": "application/json"},
        )  # fmt: skip

    # --- the scene ---

    def add_club(self, guild_name: str = "Hedgerow", channel: str = "puzzles") -> Channel:
        """Return a channel of a new server that the bot is in."""
        return self.world.add_channel(self.world.add_guild(guild_name), channel)

    def person(self, name: str, channel: Channel, *, leads: bool = False) -> Person:
        """Return a new member of the channel's server."""
        assert channel.guild_id is not None
        guild = self.world.guilds[channel.guild_id]
        user = self.world.add_user(name)
        guild.members[user.id] = [guild.roles[2].id] if leads else []
        return Person(self, user, channel)

    def guild_of(self, channel: Channel) -> Guild:
        assert channel.guild_id is not None
        return self.world.guilds[channel.guild_id]

    async def invite(self, guild: Guild, by: User | None = None) -> None:
        """Let the bot join a server."""
        guild.has_bot, guild.bot_added_by = True, by or guild.owner
        await self.gateway.dispatch("GUILD_CREATE", guild_create_json(guild, self.world), guild.id)

    async def expel(self, guild: Guild) -> None:
        """Throw the bot out of a server."""
        guild.has_bot = False
        await self.gateway.dispatch("GUILD_DELETE", {"id": guild.id}, guild.id)

    async def deny(self, channel: Channel, permissions: int) -> None:
        """Take permissions in a channel from the bot; 0 gives all back."""
        channel.denied = permissions
        shape = channel_json(channel, self.world)
        await self.gateway.dispatch("CHANNEL_UPDATE", shape, channel.guild_id)

    async def delete_channel(self, channel: Channel) -> None:
        guild = self.guild_of(channel)
        del self.world.channels[channel.id], guild.channels[channel.id]
        gone = {"id": channel.id, "guild_id": guild.id, "type": 0, "name": channel.name}
        await self.gateway.dispatch("CHANNEL_DELETE", gone, guild.id)

    # --- delivering ---

    async def deliver_interaction(self, interaction: Interaction, payload: dict[str, Any]) -> None:
        guild_id = payload.get("guild_id")
        if not await self.gateway.dispatch("INTERACTION_CREATE", payload, guild_id):
            self.undelivered.append(interaction.id)

    async def deliver(self, message: Message, *, sees_content: bool) -> None:
        """Tell the bot of a message, its words left out unless it is spoken to."""
        channel = self.world.channels[message.channel_id]
        if channel.guild_id is None:
            direct = message_json(message, reader_sees_content=True)
            await self.gateway.dispatch("MESSAGE_CREATE", direct, None, intent=DIRECT_MESSAGES)
            return
        guild = self.guild_of(channel)
        content = {
            **message_json(message, reader_sees_content=sees_content),
            "guild_id": guild.id,
            "member": member_json(guild, message.author),
        }
        await self.gateway.dispatch("MESSAGE_CREATE", content, guild.id, intent=GUILD_MESSAGES)

    # --- watching ---

    async def until(self, holds: Callable[[], bool], what: str = "it") -> None:
        """Return when something holds; it is looked at whenever the bot has done something."""
        loop = asyncio.get_running_loop()
        gives_up_at = loop.time() + PATIENCE
        while not holds() and loop.time() < gives_up_at:
            with suppress(TimeoutError):
                # What leaves no trace here, such as a line in the log, is looked for as well.
                async with asyncio.timeout(LOOK_AGAIN_SECONDS), self._changed:
                    await self._changed.wait()
        if not holds():
            raise AssertionError(
                f"waited in vain for {what}; problems: {self.rest.problems}; "
                f"last requests: {self.rest.requests[-8:]}"
            )

    def _wake(self) -> None:
        async def wake() -> None:
            async with self._changed:
                self._changed.notify_all()

        task = asyncio.get_running_loop().create_task(wake())
        self._wakers.add(task)
        task.add_done_callback(self._wakers.discard)

    def _note_pings(self, message: Message) -> None:
        """Remember who would be pinged by a message of the bot's."""
        allowed = message.body.get("allowed_mentions")
        if allowed is None or allowed.get("parse") or allowed.get("users") or allowed.get("roles"):
            self.pings.append(f"message {message.id} may ping: {allowed}")

    @property
    def problems(self) -> list[str]:
        return self.rest.problems

    def fault(self, path: str, **how: Any) -> Fault:
        """Inject a fault; see `faults.Fault`."""
        return self.faults.add(Fault(path, **how))
