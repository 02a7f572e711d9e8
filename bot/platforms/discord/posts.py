"""What the bot writes of its own accord in Discord: posts, threads, private lines; and removals.

Everything has a key. Its nonce keeps the service from taking it twice within minutes; its mark,
in the first component's id, finds it in the channel's history after any time. References are ids
of messages. A text over the limit goes out in parts, and is mended in all of them. All errors
leave as RoomErrors.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from datetime import datetime
from typing import Final

import discord

from bot.platforms.discord.errors import THREAD_EXISTS, as_room_errors
from bot.platforms.discord.layout import Part, lay_out, set_mark
from bot.platforms.discord.marks import is_snowflake, mark_of, mark_of_part, nonce_of
from bot.platforms.discord.pace import Pace, Rank
from bot.platforms.discord.text import clip
from bot.platforms.message import Message, RoomError, RoomGoneError, RoomUnreachableError

LOOK_BACK = 1000
"""Messages of a channel's history that are looked through for a post."""

PARTS_WITHIN = 100
"""Messages behind a post that are looked through for its further parts."""

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
        """Post once per key, and return the first part's id.

        It knows the keys of this process alone: after a restart `find` comes first.
        """
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

    def stamp_of(self, reference: str) -> datetime:
        """Return when a message was taken: its id holds that."""
        return discord.utils.snowflake_time(_number(reference))

    async def edit(self, room_id: str, reference: str, message: Message) -> None:
        """Replace a post of ours, with as many parts as it takes now. Raises RoomError."""
        channel = self._channel(room_id)
        with as_room_errors():
            before = await channel.fetch_message(_number(reference))
            if not self._is_ours(before):
                raise RoomError(f"message {reference} is not ours")
            first, *rest = lay_out(message, room_id, form_label=self._form_label)
            mark = _mark_in(before)
            if mark is not None:
                set_mark(first, mark)
            await self._replace(channel, before.id, first)
            # The last part of a post has its picture and buttons, so text alone may go on.
            if mark is not None and (rest or _is_text_alone(before)):
                await self._edit_rest(channel, before, mark, rest)

    async def _edit_rest(
        self,
        channel: discord.PartialMessageable,
        first: discord.Message,
        mark: int,
        parts: list[Part],
    ) -> None:
        """Replace a post's further parts; take away what is too many, write what is lacking."""
        behind = {
            _mark_in(each): each.id
            async for each in channel.history(limit=PARTS_WITHIN, after=first)
            if self._is_ours(each)
        }
        for number, part in enumerate(parts, 1):
            set_mark(part, own := mark_of_part(mark, number))
            if own in behind:
                await self._replace(channel, behind[own], part)
            else:
                nonce = nonce_of(str(channel.id), f"{first.id}#{number}")
                await self._pace.turn(Rank.MEND)
                await channel.send(view=part.view, files=part.files, nonce=nonce)
        number = len(parts) + 1
        while (surplus := behind.get(mark_of_part(mark, number))) is not None:
            await self._pace.turn(Rank.MEND)
            await channel.get_partial_message(surplus).delete()
            number += 1

    async def _replace(
        self, channel: discord.PartialMessageable, message_id: int, part: Part
    ) -> None:
        await self._pace.turn(Rank.MEND)
        await channel.get_partial_message(message_id).edit(view=part.view, attachments=part.files)

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
                await self._send_all(thread, thread_id, lacking, Rank.THREAD)
        return thread_id

    async def _open_thread(
        self, client: discord.Client, room_id: str, reference: str, title: str
    ) -> tuple[str, bool]:
        """Return the thread's id, which is its message's, and whether it is new."""
        await self._pace.turn(Rank.THREAD)
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
        with as_room_errors():
            direct_id = await self._open_direct(user_id)
            parts = lay_out_keyed(message, room_id, direct_id, key, self._form_label)
            channel = self._channel(direct_id)
            return await self._send_all(channel, direct_id, parts, Rank.PRIVATE)

    async def tell_once(self, user_id: str, message: Message, key: str, room_id: str) -> None:
        """Write to one person, unless what was written to them has this key, however long ago."""
        with as_room_errors():
            direct_id = await self._open_direct(user_id)
        if await self.find(direct_id, key) is None:
            await self.tell(user_id, message, key, room_id)

    async def _open_direct(self, user_id: str) -> str:
        _number(user_id)
        opened = await self._client().http.start_private_message(user_id)
        return str(opened["id"])

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
        self,
        channel: discord.abc.Messageable,
        channel_id: str,
        parts: list[Keyed],
        rank: Rank = Rank.POST,
    ) -> str:
        """Send the parts in order; return the first one's id."""
        references: list[str] = []
        for keyed in parts:
            await self._pace.turn(rank)
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

    def __init__(self, part: Part, key: str, mark: int) -> None:
        self.part = part
        self.key = key
        self.mark = mark
        set_mark(part, mark)


def lay_out_keyed(
    message: Message, room_id: str, channel_id: str, key: str, form_label: str
) -> list[Keyed]:
    """Return a message's parts; the first has the key itself, the others their number behind it."""
    parts = lay_out(message, room_id, form_label=form_label)
    first = mark_of(channel_id, key)
    return [
        Keyed(part, key if number == 0 else f"{key}#{number}", mark_of_part(first, number))
        for number, part in enumerate(parts)
    ]


def _mark_in(message: discord.Message) -> int | None:
    first = message.components[0] if message.components else None
    return getattr(first, "id", None)


def _is_text_alone(message: discord.Message) -> bool:
    return [each.type for each in message.components] == [discord.ComponentType.text_display]


def _number(text: str) -> int:
    if not is_snowflake(text):
        raise RoomGoneError(f"Discord has nothing called {text!r}")
    return int(text)
