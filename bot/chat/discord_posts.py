"""What the bot writes of its own accord in Discord: posts, threads, private lines; and removals.

Everything has a key. Its nonce keeps the service from taking it twice within minutes; its mark,
in the first component's id, finds it in the channel's history after any time. References are ids
of messages. All errors leave as RoomErrors.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from typing import Final

import discord

from bot.chat.discord_errors import THREAD_EXISTS, as_room_errors
from bot.chat.discord_layout import Part, lay_out, set_mark
from bot.chat.discord_marks import is_snowflake, mark_of, nonce_of
from bot.chat.discord_pace import Pace
from bot.chat.discord_text import clip
from bot.chat.message import Message, RoomError, RoomGoneError, RoomUnreachableError

LOOK_BACK = 1000
"""Messages of a channel's history that are looked through for a post."""

REMEMBERED = 2000
THREAD_TITLE_LIMIT = 100
THREAD_ARCHIVE_MINUTES: Final = 1440


class Posts:
    """`client` returns the connected client, None while there is none."""

    def __init__(self, client: Callable[[], discord.Client | None], pace: Pace, form_label: str):
        self._find_client = client
        self._pace = pace
        self._form_label = form_label
        self._sent: OrderedDict[tuple[str, str], str] = OrderedDict()

    async def post(self, room_id: str, message: Message, key: str) -> str:
        if (room_id, key) in self._sent:
            return self._sent[room_id, key]
        channel = self._channel(room_id)
        with as_room_errors():
            reference = await self._send_all(
                channel, room_id, lay_out_keyed(message, room_id, room_id, key, self._form_label)
            )
        self._remember(room_id, key, reference)
        return reference

    async def find(self, room_id: str, key: str) -> str | None:
        """Look through the channel's history for the post with this key."""
        channel, mark = self._channel(room_id), mark_of(room_id, key)
        await self._pace.turn()
        with as_room_errors():
            async for message in channel.history(limit=LOOK_BACK):
                if self._is_ours(message) and _mark_in(message) == mark:
                    return str(message.id)
        return None

    async def edit(self, room_id: str, reference: str, message: Message) -> None:
        channel = self._channel(room_id)
        with as_room_errors():
            before = await channel.fetch_message(_number(reference))
            if not self._is_ours(before):
                raise RoomError(f"message {reference} is not ours")
            part = lay_out(message, room_id, form_label=self._form_label)[0]
            if (mark := _mark_in(before)) is not None:
                set_mark(part, mark)
            await self._pace.turn()
            await channel.get_partial_message(before.id).edit(
                view=part.view, attachments=part.files
            )

    async def post_thread(
        self, room_id: str, reference: str, title: str, messages: tuple[Message, ...], key: str
    ) -> str:
        """Open the thread, or take the one that is there, and write what it lacks."""
        client = self._client()
        with as_room_errors():
            thread_id, is_new = await self._open_thread(client, room_id, reference, title)
            thread = client.get_partial_messageable(int(thread_id))
            there: set[int | None] = set()
            if not is_new:
                there = {
                    _mark_in(message)
                    async for message in thread.history(limit=LOOK_BACK)
                    if self._is_ours(message)
                }
            for number, message in enumerate(messages):
                parts = lay_out_keyed(
                    message, room_id, thread_id, f"{key}/{number}", self._form_label
                )
                lacking = [each for each in parts if each.mark not in there]
                await self._send_all(thread, thread_id, lacking)
        return thread_id

    async def _open_thread(
        self, client: discord.Client, room_id: str, reference: str, title: str
    ) -> tuple[str, bool]:
        """Return the thread's id, which is its message's, and whether it is new."""
        await self._pace.turn()
        try:
            await client.http.start_thread_with_message(
                _number(room_id),
                _number(reference),
                name=clip(title, THREAD_TITLE_LIMIT),
                auto_archive_duration=THREAD_ARCHIVE_MINUTES,
            )
        except discord.HTTPException as error:
            if error.code != THREAD_EXISTS:
                raise
            return reference, False
        return reference, True

    async def tell(self, user_id: str, message: Message, key: str, room_id: str) -> str:
        """Write to one person; RoomGoneError where they take no messages from us."""
        client = self._client()
        with as_room_errors():
            _number(user_id)
            opened = await client.http.start_private_message(user_id)
            direct_id = str(opened["id"])
            parts = lay_out_keyed(message, room_id, direct_id, key, self._form_label)
            return await self._send_all(self._channel(direct_id), direct_id, parts)

    async def remove(self, channel_id: str, message_id: str) -> bool:
        """Delete a person's message; False where there is none or we may not."""
        if not (is_snowflake(channel_id) and is_snowflake(message_id)):
            return False
        channel = self._channel(channel_id)
        try:
            message = await channel.fetch_message(int(message_id))
            if self._is_ours(message):
                return False
            await message.delete()
        except (discord.NotFound, discord.Forbidden):
            return False
        except discord.HTTPException as error:
            raise RoomUnreachableError(f"HTTP {error.status}") from error
        return True

    async def _send_all(
        self, channel: discord.abc.Messageable, channel_id: str, parts: list[Keyed]
    ) -> str:
        """Send the parts in order; return the first one's id."""
        references: list[str] = []
        for keyed in parts:
            await self._pace.turn()
            sent = await channel.send(
                view=keyed.part.view,
                files=keyed.part.files,
                nonce=nonce_of(channel_id, keyed.key),
            )
            references.append(str(sent.id))
        return references[0] if references else ""

    def _client(self) -> discord.Client:
        client = self._find_client()
        if client is None:
            raise RoomUnreachableError("not connected")
        return client

    def _channel(self, room_id: str) -> discord.PartialMessageable:
        return self._client().get_partial_messageable(_number(room_id))

    def _is_ours(self, message: discord.Message) -> bool:
        user = self._client().user
        return user is not None and message.author.id == user.id

    def _remember(self, room_id: str, key: str, reference: str) -> None:
        self._sent[room_id, key] = reference
        if len(self._sent) > REMEMBERED:
            self._sent.popitem(last=False)


class Keyed:
    """A part with the key that it is sent under, and its mark."""

    __slots__ = ("key", "mark", "part")

    def __init__(self, part: Part, channel_id: str, key: str) -> None:
        self.part = part
        self.key = key
        self.mark = mark_of(channel_id, key)
        set_mark(part, self.mark)


def lay_out_keyed(
    message: Message, room_id: str, channel_id: str, key: str, form_label: str
) -> list[Keyed]:
    """Return a message's parts; the first has the key itself, the others their number behind it."""
    parts = lay_out(message, room_id, form_label=form_label)
    return [
        Keyed(part, channel_id, key if number == 0 else f"{key}#{number}")
        for number, part in enumerate(parts)
    ]


def _mark_in(message: discord.Message) -> int | None:
    first = message.components[0] if message.components else None
    return getattr(first, "id", None)


def _number(text: str) -> int:
    if not is_snowflake(text):
        raise RoomGoneError(f"Discord has nothing called {text!r}")
    return int(text)
