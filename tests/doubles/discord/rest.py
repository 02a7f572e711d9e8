"""The double's REST: one small answer a route, strict about bodies, permissions and tokens.

Routes have the templates of the service's OpenAPI document, so that each body is validated under
its own. A refusal is what the service would answer, and a problem that fails the test where the
fault is the bot's.
"""

from __future__ import annotations

import json
from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from typing import Any

from aiohttp import web

from tests.doubles.discord import schema
from tests.doubles.discord.faults import Fault, Faults
from tests.doubles.discord.limits import COMPONENTS_V2, SILENT, command_problems, message_problems
from tests.doubles.discord.pace import Limits
from tests.doubles.discord.shapes import channel_json, guild_json, member_json, message_json
from tests.doubles.discord.world import (
    ATTACH_FILES,
    CREATE_PUBLIC_THREADS,
    DM,
    EVERYTHING,
    MANAGE_MESSAGES,
    PUBLIC_THREAD,
    READ_MESSAGE_HISTORY,
    SEND_MESSAGES,
    SEND_MESSAGES_IN_THREADS,
    VIEW_AUDIT_LOG,
    VIEW_CHANNEL,
    Channel,
    Guild,
    Message,
    World,
)

Answer = Callable[["Call"], Awaitable[Any]]
UNAUTHORISED = ("/interactions/", "/webhooks/")
"""Paths that carry their own token."""


class RefusalError(Exception):
    def __init__(self, status: int, code: int, message: str) -> None:
        super().__init__(message)
        self.status, self.code, self.message = status, code, message


@dataclass
class Call:
    """One request: the path's values, the query, the body and the files beside it."""

    values: dict[str, str]
    query: dict[str, str]
    body: Any
    files: dict[str, bytes]


class Rest:
    def __init__(self, world: World, token: str, faults: Faults, limits: Limits) -> None:
        self.world = world
        self.token = token
        self.faults = faults
        self.limits = limits
        self.problems: list[str] = []
        self.pushes: list[str] = []
        """What phones showed of posts and direct messages: the content that each went out with."""
        self.requests: list[tuple[str, str, int]] = []
        self.validates = True
        self.shown: Callable[[], None] = lambda: None
        """Called after every request: something may have changed."""
        self.before_answer: Callable[[], None] = lambda: None
        self.after_answer: Callable[[], None] = lambda: None
        """Called before and after a request has its effect, for tests that kill the bot there."""
        self.on_message: Callable[[Message], None] = lambda message: None

    def routes(self) -> list[web.RouteDef]:
        table: list[tuple[str, str, Answer]] = [
            ("GET", "/users/@me", self._me),
            ("GET", "/users/@me/guilds", self._my_guilds),
            ("POST", "/users/@me/channels", self._direct),
            ("GET", "/oauth2/applications/@me", self._application),
            ("GET", "/applications/@me", self._application),
            ("PUT", "/applications/{application_id}/commands", self._put_commands),
            ("GET", "/channels/{channel_id}", self._channel),
            ("PATCH", "/channels/{channel_id}", self._wake),
            ("POST", "/channels/{channel_id}/messages", self._create),
            ("GET", "/channels/{channel_id}/messages", self._history),
            ("GET", "/channels/{channel_id}/messages/{message_id}", self._read),
            ("PATCH", "/channels/{channel_id}/messages/{message_id}", self._edit),
            ("DELETE", "/channels/{channel_id}/messages/{message_id}", self._delete),
            ("POST", "/channels/{channel_id}/messages/{message_id}/threads", self._thread),
            ("GET", "/guilds/{guild_id}", self._guild),
            ("GET", "/guilds/{guild_id}/channels", self._guild_channels),
            ("GET", "/guilds/{guild_id}/audit-logs", self._audit_log),
            ("GET", "/guilds/{guild_id}/members/{user_id}", self._member),
        ]
        return [self.route(method, path, answer) for method, path, answer in table]

    def route(self, method: str, path: str, answer: Answer) -> web.RouteDef:
        if not schema.knows(method, path):
            raise AssertionError(f"the service has no route {method} {path}")

        async def serve(request: web.Request) -> web.StreamResponse:
            return await self._serve(request, method, path, answer)

        return web.route(method, f"/api/v10{path}", serve)

    async def unknown(self, request: web.Request) -> web.StreamResponse:
        self.problem(f"unknown route {request.method} {request.path}")
        return _refuse(RefusalError(404, 0, "404: Not Found"))

    def problem(self, text: str) -> None:
        self.problems.append(text)

    async def _serve(
        self, request: web.Request, method: str, path: str, answer: Answer
    ) -> web.StreamResponse:
        own = request.path.removeprefix("/api/v10")
        try:
            call = await _read_call(request)
        except ConnectionError:
            return web.Response(status=400)  # whoever asked was killed over it
        self.before_answer()
        fault = self.faults.take(method, own, after=False)
        if fault is not None and fault.until is not None:
            await fault.until.wait()
            fault = None
        response = self._strike(request, fault)
        if response is None:
            response = self.limits.refuse(method, path, call.values)
        if response is None:
            response = await self._answer(request, method, path, answer, call)
            self.limits.note(method, path, call.values, response)
            if response.status < 400:
                lost = self._strike(request, self.faults.take(method, own, after=True))
                response = response if lost is None else lost
        self.requests.append((method, own, response.status))
        self.after_answer()
        self.shown()
        return response

    async def _answer(
        self, request: web.Request, method: str, path: str, answer: Answer, call: Call
    ) -> web.StreamResponse:
        try:
            if not path.startswith(UNAUTHORISED):
                self._need_token(request)
            if self.validates:
                for problem in schema.body_problems(method, path, call.body):
                    raise self.ill_formed(f"{method} {path}: {problem}")
            answered = await answer(call)
        except RefusalError as refusal:
            return _refuse(refusal)
        if answered is None:
            return web.Response(status=204)
        # The library takes `application/json` only without a charset behind it.
        return web.Response(
            body=json.dumps(answered).encode(), headers={"Content-Type": "application/json"}
        )

    def ill_formed(self, text: str) -> RefusalError:
        self.problem(text)
        return RefusalError(400, 50035, f"Invalid Form Body: {text}")

    def _need_token(self, request: web.Request) -> None:
        if request.headers.get("Authorization") != f"Bot {self.token}":
            raise RefusalError(401, 0, "401: Unauthorized")

    def _strike(self, request: web.Request, fault: Fault | None) -> web.StreamResponse | None:
        if fault is None:
            return None
        if fault.status == 0:
            if request.transport is not None:
                request.transport.abort()
            return web.Response(status=500)
        body: dict[str, Any] = {"message": "injected", "code": fault.code}
        headers = {"Content-Type": "application/json"}
        if fault.status == 429:
            body |= {"retry_after": fault.retry_after, "global": False}
            headers["Retry-After"] = str(fault.retry_after)
            if fault.via:
                headers["Via"] = "1.1 double"
        return web.Response(status=fault.status, body=json.dumps(body).encode(), headers=headers)

    # --- what there is ---

    def visible(self, channel_id: str) -> Channel:
        """Return a channel that the bot can see."""
        channel = self.world.channels.get(channel_id)
        if channel is None:
            raise RefusalError(404, 10003, "Unknown Channel")
        self._need(channel, VIEW_CHANNEL, 50001, "Missing Access")
        return channel

    def _need(
        self,
        channel: Channel,
        permission: int,
        code: int = 50013,
        text: str = "Missing Permissions",
    ) -> None:
        if not self.world.permissions_of(self.world.bot.id, channel) & permission:
            raise RefusalError(403, code, text)

    def _message(self, call: Call) -> tuple[Channel, Message]:
        channel = self.visible(call.values["channel_id"])
        message = channel.messages.get(call.values["message_id"])
        if message is None:
            raise RefusalError(404, 10008, "Unknown Message")
        return channel, message

    def _known_guild(self, call: Call) -> Guild:
        guild = self.world.guilds.get(call.values["guild_id"])
        if guild is None:
            raise RefusalError(404, 10004, "Unknown Guild")
        if not guild.has_bot:
            raise RefusalError(403, 50001, "Missing Access")
        return guild

    # --- routes ---

    async def _me(self, call: Call) -> Any:
        return self.world.bot.payload()

    async def _my_guilds(self, call: Call) -> Any:
        mine = [guild for guild in self.world.guilds.values() if guild.has_bot]
        return [
            {"id": each.id, "name": each.name, "icon": None, "banner": None, "owner": False,
             "permissions": str(EVERYTHING), "features": []}
            for each in mine
        ]  # fmt: skip

    async def _application(self, call: Call) -> Any:
        return {
            "id": self.world.application_id,
            "name": "Ninebark",
            "icon": None,
            "description": "",
            "bot_public": True,
            "bot_require_code_grant": False,
            "verify_key": "0" * 64,
            "flags": 0,
            "hook": True,
            "summary": "",
            "team": None,
            "owner": self.world.bot.payload(),
        }

    async def _put_commands(self, call: Call) -> Any:
        if call.values["application_id"] != self.world.application_id:
            raise RefusalError(403, 20012, "You are not authorized to perform this action")
        for problem in command_problems(call.body):
            raise self.ill_formed(problem)
        self.world.command_puts += 1
        self.world.commands = call.body
        return [
            {**each, "id": str(number + 1), "application_id": self.world.application_id,
             "version": "1"}
            for number, each in enumerate(call.body)
        ]  # fmt: skip

    async def _direct(self, call: Call) -> Any:
        user = self.world.users.get(str(call.body.get("recipient_id")))
        if user is None:
            raise RefusalError(400, 50033, "Invalid Recipient(s)")
        return channel_json(self.world.direct_channel(user), self.world)

    async def _channel(self, call: Call) -> Any:
        return channel_json(self.visible(call.values["channel_id"]), self.world)

    async def _guild(self, call: Call) -> Any:
        return guild_json(self._known_guild(call), self.world)

    async def _guild_channels(self, call: Call) -> Any:
        guild = self._known_guild(call)
        return [channel_json(each, self.world) for each in guild.channels.values()]

    async def _audit_log(self, call: Call) -> Any:
        guild = self._known_guild(call)
        held = set(guild.members[self.world.bot.id])
        if not any(each.permissions & VIEW_AUDIT_LOG for each in guild.roles if each.id in held):
            raise RefusalError(403, 50013, "Missing Permissions")
        by, kinds = guild.bot_added_by, ("integrations", "webhooks", "threads")
        kinds += ("application_commands", "auto_moderation_rules", "guild_scheduled_events")
        added = {"id": guild.id, "action_type": 28, "target_id": self.world.bot.id, "changes": []}
        entries = [] if by is None else [{**added, "user_id": by.id}]
        people = [] if by is None else [by.payload(), self.world.bot.payload()]
        return {"audit_log_entries": entries, "users": people, **{kind: [] for kind in kinds}}

    async def _member(self, call: Call) -> Any:
        guild = self._known_guild(call)
        user = self.world.users.get(call.values["user_id"])
        if user is None or user.id not in guild.members:
            raise RefusalError(404, 10007, "Unknown Member")
        return member_json(guild, user)

    async def _create(self, call: Call) -> Any:
        channel = self.visible(call.values["channel_id"])
        if channel.kind == DM:
            assert channel.recipient is not None
            if not channel.recipient.takes_messages:
                raise RefusalError(403, 50007, "Cannot send messages to this user")
        is_thread = channel.kind == PUBLIC_THREAD
        self._need(channel, SEND_MESSAGES_IN_THREADS if is_thread else SEND_MESSAGES)
        if call.files:
            self._need(channel, ATTACH_FILES)
        self.check_message(call)
        channel.is_asleep = False
        nonce = str(call.body.get("nonce") or "") or None
        if nonce and call.body.get("enforce_nonce"):
            for there in channel.messages.values():
                if there.nonce == nonce and self.limits.remembers_nonce(there):
                    return message_json(there)
        return message_json(self.store(channel, call, nonce=nonce))

    def check_message(self, call: Call) -> None:
        for problem in message_problems(call.body, call.files):
            raise self.ill_formed(problem)

    def store(
        self, channel: Channel, call: Call, *, nonce: str | None = None, for_user: str | None = None
    ) -> Message:
        """Keep a message of the bot's; a private answer is kept out of the channel's history."""
        message = Message(
            self.world.ids.next(),
            channel.id,
            self.world.bot,
            call.body,
            call.files,
            for_user=for_user,
            nonce=nonce,
        )
        if for_user is None:
            channel.messages[message.id] = message
        if for_user is None and channel.kind != PUBLIC_THREAD and not message.flags & SILENT:
            self.pushes.append(message.body.get("content") or "")
        self.on_message(message)
        return message

    async def _history(self, call: Call) -> Any:
        channel = self.visible(call.values["channel_id"])
        if not self.world.permissions_of(self.world.bot.id, channel) & READ_MESSAGE_HISTORY:
            return []
        newest_first = sorted(channel.messages.values(), key=lambda each: -int(each.id))
        before, after = int(call.query.get("before", 1 << 63)), int(call.query.get("after", 0))
        found = [each for each in newest_first if after < int(each.id) < before]
        limit = int(call.query.get("limit", 50))
        # After a message come those right behind it, also newest first.
        return [self._as_read(each) for each in (found[-limit:] if after else found[:limit])]

    def _as_read(self, message: Message) -> dict[str, Any]:
        """Without the content intent, others' words are seen only where they mention the bot."""
        mentioned = [each["id"] for each in message.body.get("mentions", ())]
        sees = message.author is self.world.bot or self.world.bot.id in mentioned
        return message_json(message, reader_sees_content=sees)

    async def _read(self, call: Call) -> Any:
        channel, message = self._message(call)
        self._need(channel, READ_MESSAGE_HISTORY)
        return self._as_read(message)

    async def _edit(self, call: Call) -> Any:
        channel, message = self._message(call)
        if channel.is_asleep:
            raise RefusalError(400, 50083, "Thread is archived")
        if message.author is not self.world.bot:
            raise RefusalError(403, 50005, "Cannot edit a message authored by another user")
        call.body = {**message.body, **call.body}
        if message.flags & COMPONENTS_V2 and not call.body["flags"] & COMPONENTS_V2:
            raise self.ill_formed("the components-V2 flag taken away")
        self.check_message(call)
        message.body = call.body
        message.files = {**message.files, **call.files}
        message.edits += 1
        self.on_message(message)
        return message_json(message)

    async def _delete(self, call: Call) -> Any:
        channel, message = self._message(call)
        if message.author is not self.world.bot:
            self._need(channel, MANAGE_MESSAGES)
        del channel.messages[message.id]
        return None

    async def _wake(self, call: Call) -> Any:
        channel = self.visible(call.values["channel_id"])
        if channel.kind != PUBLIC_THREAD or call.body != {"archived": False}:
            raise self.ill_formed(f"a channel changed to {call.body}")
        self._need(channel, SEND_MESSAGES_IN_THREADS)
        channel.is_asleep = False
        return channel_json(channel, self.world)

    async def _thread(self, call: Call) -> Any:
        channel, message = self._message(call)
        self._need(channel, CREATE_PUBLIC_THREADS)
        if message.id in self.world.channels:
            raise RefusalError(400, 160004, "A thread has already been created for this message")
        thread = self.world.add_thread(channel, message.id, call.body["name"])
        return channel_json(thread, self.world)


def _refuse(refusal: RefusalError) -> web.Response:
    body = {"message": refusal.message, "code": refusal.code}
    return web.Response(
        status=refusal.status,
        body=json.dumps(body).encode(),
        headers={"Content-Type": "application/json"},
    )


async def _read_call(request: web.Request) -> Call:
    body: Any = None
    files: dict[str, bytes] = {}
    if request.content_type == "multipart/form-data":
        async for part in await request.multipart():
            if part.name == "payload_json":
                body = json.loads(await part.text())
            else:
                files[part.filename or part.name or ""] = bytes(await part.read())
    elif request.can_read_body:
        body = json.loads(await request.text() or "null")
    return Call(dict(request.match_info), dict(request.query), body, files)
