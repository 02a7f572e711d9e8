"""The double's gateway: sessions over WebSockets, with identify, resume, heartbeats and closes.

A session outlives its socket: what happens meanwhile is kept and replayed on RESUME.
"""

from __future__ import annotations

import asyncio
import json
from dataclasses import dataclass, field
from typing import Any

from aiohttp import WSMsgType, web

from tests.doubles.discord.shapes import guild_create_json
from tests.doubles.discord.world import Guild, World

DISPATCH, HEARTBEAT, IDENTIFY, RESUME, RECONNECT, INVALID_SESSION, HELLO, HEARTBEAT_ACK = (
    0, 1, 2, 6, 7, 9, 10, 11,
)  # fmt: skip
PRIVILEGED_INTENTS = 1 << 1 | 1 << 8 | 1 << 15
ALL_INTENTS = (1 << 26) - 1
GUILDS, GUILD_MESSAGES, DIRECT_MESSAGES = 1 << 0, 1 << 9, 1 << 12


@dataclass
class Session:
    id: str
    shard: int
    shard_count: int
    intents: int
    socket: web.WebSocketResponse | None = None
    sent: list[dict[str, Any]] = field(default_factory=list)

    async def dispatch(self, name: str, content: Any) -> None:
        event = {"op": DISPATCH, "t": name, "s": len(self.sent) + 1, "d": content}
        self.sent.append(event)
        if self.socket is not None and not self.socket.closed:
            try:
                await self.socket.send_str(json.dumps(event))
            except ConnectionError:
                self.socket = None


class Gateway:
    """`heartbeat_ms` is the interval that clients are told."""

    def __init__(self, world: World, token: str) -> None:
        self.world = world
        self.token = token
        self.url = ""
        self.shards = 1
        self.heartbeat_ms = 41250
        self.sessions: dict[str, Session] = {}
        self.identifies: list[dict[str, Any]] = []
        self.resumes = 0
        self.is_mute = False
        """Heartbeats stay unanswered."""
        self.close_next_identify: int | None = None
        self.changed = asyncio.Event()
        self._number = 0

    async def serve(self, request: web.Request) -> web.StreamResponse:
        socket = web.WebSocketResponse(compress=False)
        await socket.prepare(request)
        await socket.send_json({"op": HELLO, "d": {"heartbeat_interval": self.heartbeat_ms}})
        session: Session | None = None
        async for frame in socket:
            if frame.type is not WSMsgType.TEXT:
                break
            received = json.loads(frame.data)
            match received["op"]:
                case 1:
                    if not self.is_mute:
                        await socket.send_json({"op": HEARTBEAT_ACK})
                case 2:
                    session = await self._identify(socket, received["d"])
                case 6:
                    session = await self._resume(socket, received["d"])
        if session is not None and session.socket is socket:
            session.socket = None
        self.changed.set()
        return socket

    async def _identify(
        self, socket: web.WebSocketResponse, asked: dict[str, Any]
    ) -> Session | None:
        self.identifies.append(asked)
        code = self._refusal(asked)
        if code is not None:
            await socket.close(code=code, message=b"refused")
            return None
        shard, count = asked.get("shard") or (0, 1)
        for old in [each for each in self.sessions.values() if each.shard == shard]:
            if old.socket is None:
                del self.sessions[old.id]
        self._number += 1
        session = Session(f"session-{self._number}", shard, count, asked["intents"], socket)
        self.sessions[session.id] = session
        guilds = self._guilds_of(shard, count)
        await session.dispatch("READY", self._ready(session, guilds))
        for guild in guilds:
            there = {**guild_create_json(guild, self.world), "unavailable": False}
            await session.dispatch("GUILD_CREATE", there)
        self.changed.set()
        return session

    def _refusal(self, asked: dict[str, Any]) -> int | None:
        if self.close_next_identify is not None:
            code, self.close_next_identify = self.close_next_identify, None
            return code
        if asked["token"] != self.token:
            return 4004
        if asked["intents"] & ~ALL_INTENTS:
            return 4013
        if asked["intents"] & PRIVILEGED_INTENTS:
            return 4014
        return None

    def _ready(self, session: Session, guilds: list[Guild]) -> dict[str, Any]:
        return {
            "v": 10,
            "user": self.world.bot.payload(),
            "guilds": [{"id": guild.id, "unavailable": True} for guild in guilds],
            "session_id": session.id,
            "resume_gateway_url": self.url,
            "shard": [session.shard, session.shard_count],
            "application": {"id": self.world.application_id, "flags": 0},
        }

    def _guilds_of(self, shard: int, count: int) -> list[Guild]:
        return [
            guild
            for guild in self.world.guilds.values()
            if guild.has_bot and (int(guild.id) >> 22) % count == shard
        ]

    async def _resume(self, socket: web.WebSocketResponse, asked: dict[str, Any]) -> Session | None:
        self.resumes += 1
        session = self.sessions.get(asked["session_id"])
        if session is None or asked["token"] != self.token:
            await socket.send_json({"op": INVALID_SESSION, "d": False})
            return None
        session.socket = socket
        for event in session.sent[asked["seq"] :]:
            await socket.send_str(json.dumps(event))
        await session.dispatch("RESUMED", {})
        self.changed.set()
        return session

    async def dispatch(
        self, name: str, content: Any, guild_id: str | None, *, intent: int = GUILDS
    ) -> bool:
        """Send an event to the session that serves the server; False where there is none.

        What has no server goes to the first shard. A session without the intent gets nothing.
        """
        reached = False
        for session in tuple(self.sessions.values()):
            shard = 0 if guild_id is None else (int(guild_id) >> 22) % session.shard_count
            if session.shard == shard and session.intents & intent:
                await session.dispatch(name, content)
                reached = True
        return reached

    @property
    def is_connected(self) -> bool:
        return any(each.socket is not None for each in self.sessions.values())

    # --- faults ---

    async def close(self, code: int) -> None:
        """Close every socket with this code."""
        for session in tuple(self.sessions.values()):
            if session.socket is not None:
                socket, session.socket = session.socket, None
                await socket.close(code=code)

    def abort(self) -> None:
        """Drop every connection, as a broken line does."""
        for session in self.sessions.values():
            socket, session.socket = session.socket, None
            if socket is not None and socket._req is not None:
                transport = socket._req.transport
                if transport is not None:
                    transport.abort()

    async def send_op(self, op: int, content: Any = None) -> None:
        for session in tuple(self.sessions.values()):
            if session.socket is not None:
                await session.socket.send_json({"op": op, "d": content})

    def forget_sessions(self) -> None:
        self.sessions.clear()
