"""What the bot writes of its own accord in Discord: posts, threads, private lines; and removals.

Everything has a key. Its nonce keeps the service from taking it twice within minutes; its mark,
in the first component's id, finds it in the channel's history after any time. What is to be heard
goes out as content first, whose words a push shows, and is made of components once mended; what
hangs in a thread, which may tell all, never does. References are ids
of messages, all of them where a text over the limit goes out in parts, so that nothing is read
before it is mended. All errors leave as RoomErrors.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from datetime import datetime
from typing import Final

import discord

from bot.platforms.discord.errors import THREAD_ASLEEP, THREAD_EXISTS, as_room_errors
from bot.platforms.discord.layout import Part, buttons_of, lay_out, set_mark, with_pings
from bot.platforms.discord.marks import is_snowflake, mark_of, mark_of_part, nonce_of
from bot.platforms.discord.reading import says_just
from bot.platforms.discord.text import clip
from bot.platforms.message import Message, RoomGoneError, RoomUnreachableError

LOOK_BACK = 1000
"""Messages of a channel's history that are looked through for a post."""

PARTS_BETWEEN = "+"
"""Stands between the ids of a post's parts, in its reference."""

THREAD_BEFORE = ":"
"""Stands behind the id of the thread that a post is in, in its reference."""

PARTS_WITHIN = 100
"""Messages behind a post that are looked through for its further parts, and before one for what was
begun of it."""

REMEMBERED = 2000
DIRECTS_KEPT = 10_000
THREAD_TITLE_LIMIT = 100
THREAD_ARCHIVE_MINUTES: Final = 1440


class Posts:
    """`client` returns the connected client, None while there is none."""

    def __init__(self, client: Callable[[], discord.Client | None], form_label: str):
        self._find_client = client
        self._form_label = form_label
        self._sent: OrderedDict[tuple[str, str], str] = OrderedDict()
        self._directs: dict[str, str] = {}

    async def post(self, room_id: str, message: Message, key: str) -> str:
        """Post once per key, and return the reference.

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
        seen: dict[int, int] = {}
        with as_room_errors():
            async for message in channel.history(limit=LOOK_BACK):
                if self._is_ours(message):
                    seen |= dict.fromkeys(_marks_in(message), message.id)
                if mark in seen:
                    return _reference_to(_parts_in(seen, mark))
        return None

    def stamp_of(self, reference: str) -> datetime:
        """Return when a message was taken: its id holds that."""
        return discord.utils.snowflake_time(_ids_in(reference)[0])

    async def is_up(self, room_id: str, reference: str) -> bool:
        """Tell whether a post's first message is there."""
        channel = self._channel(room_id)
        with as_room_errors():
            try:
                await channel.fetch_message(_ids_in(reference)[0])
            except discord.NotFound:
                return False
        return True

    async def edit(self, room_id: str, reference: str, message: Message, key: str) -> str:
        """Replace a post of ours, with as many parts as it takes now; return its reference then.

        Nothing is read first: that the service lets it be edited shows that it is ours.
        """
        channel_id = _channel_in(reference) or room_id
        with as_room_errors():
            try:
                return await self._replace(room_id, channel_id, reference, message, key)
            except discord.HTTPException as error:
                if error.code != THREAD_ASLEEP:
                    raise
            await self._client().http.edit_channel(_number(channel_id), archived=False)
            return await self._replace(room_id, channel_id, reference, message, key)

    async def _replace(
        self, room_id: str, channel_id: str, reference: str, message: Message, key: str
    ) -> str:
        channel = self._channel(channel_id)
        ids = _ids_in(reference)
        parts = lay_out_keyed(message, room_id, channel_id, key, self._form_label)
        for message_id, keyed in zip(ids, parts, strict=False):
            await channel.get_partial_message(message_id).edit(
                content=None, view=keyed.part.view, attachments=keyed.part.files
            )
        for surplus in ids[len(parts) :]:
            # It may be gone since a try that did not get to its end.
            with suppress(discord.NotFound):
                await channel.get_partial_message(surplus).delete()
        added = await self._add_parts(channel, ids[0], parts[len(ids) :])
        return _reference_to([*ids[: len(parts)], *added], _channel_in(reference))

    async def _add_parts(
        self, channel: discord.PartialMessageable, first_id: int, lacking: list[Keyed]
    ) -> list[int]:
        """Write what a post is too short for below it, unless a try of before did."""
        if not lacking:
            return []
        there = {
            mark: each.id
            async for each in channel.history(limit=PARTS_WITHIN, after=discord.Object(first_id))
            if self._is_ours(each)
            for mark in _marks_in(each)
        }
        # Under a key of their own: the service may still know the one of a part that was deleted.
        anew = [Keyed(each.part, f"{first_id}:{each.key}", each.mark) for each in lacking]
        return [
            there.get(keyed.mark) or await self._send(channel, str(channel.id), keyed)
            for keyed in anew
        ]

    async def post_thread(
        self, room_id: str, reference: str, title: str, messages: tuple[Message, ...], key: str
    ) -> str:
        """Open the thread, or take the one that is there, and write what it lacks."""
        with as_room_errors():
            thread_id, there = await self._enter_thread(room_id, reference, title)
            for number, message in enumerate(messages):
                parts = lay_out_keyed(
                    message, room_id, thread_id, f"{key}/{number}", self._form_label
                )
                await self._send_lacking(thread_id, parts, there)
        return thread_id

    async def post_under(
        self, room_id: str, reference: str, title: str, message: Message, key: str
    ) -> str:
        """Open a thread, or take the one that is there, and write a message in it that it lacks."""
        with as_room_errors():
            thread_id, there = await self._enter_thread(room_id, reference, title)
            parts = lay_out_keyed(message, room_id, thread_id, key, self._form_label)
            ids = await self._send_lacking(thread_id, parts, there)
        return _reference_to(ids, thread_id)

    async def _enter_thread(
        self, room_id: str, reference: str, title: str
    ) -> tuple[str, dict[int, int]]:
        """Return the id of the thread under a post, and what of ours is in it, by its mark."""
        client, post_id = self._client(), _ids_in(reference)[0]
        thread_id, is_new = await self._open_thread(client, room_id, post_id, title)
        if is_new:
            return thread_id, {}
        there = {
            mark: message.id
            async for message in self._channel(thread_id).history(limit=LOOK_BACK)
            if self._is_ours(message)
            for mark in _marks_in(message)
        }
        return thread_id, there

    async def _send_lacking(
        self, thread_id: str, parts: list[Keyed], there: dict[int, int]
    ) -> list[int]:
        """Send the parts that are not there; return the ids of all."""
        thread = self._channel(thread_id)
        return [
            there.get(keyed.mark) or await self._send(thread, thread_id, keyed) for keyed in parts
        ]

    async def _open_thread(
        self, client: discord.Client, room_id: str, post_id: int, title: str
    ) -> tuple[str, bool]:
        """Return the thread's id, which is its message's, and whether it is new."""
        try:
            await client.http.start_thread_with_message(
                _number(room_id),
                post_id,
                name=clip(title, THREAD_TITLE_LIMIT),
                auto_archive_duration=THREAD_ARCHIVE_MINUTES,
            )
        except discord.HTTPException as error:
            if error.code != THREAD_EXISTS:
                raise
            return str(post_id), False
        return str(post_id), True

    async def tell(self, user_id: str, message: Message, key: str, room_id: str) -> str:
        """Write to one person; RoomGoneError where they take no messages from us. Where they are
        alone with us nobody else can be picked."""
        message = replace(message, pickers=())
        with as_room_errors():
            direct_id = await self._open_direct(user_id)
            parts = lay_out_keyed(message, room_id, direct_id, key, self._form_label)
            channel = self._channel(direct_id)
            return await self._send_all(channel, direct_id, parts)

    async def tell_once(self, user_id: str, message: Message, key: str, room_id: str) -> None:
        """Write to one person, unless what was written to them has this key, however long ago."""
        with as_room_errors():
            direct_id = await self._open_direct(user_id)
        if await self.find(direct_id, key) is None:
            await self.tell(user_id, message, key, room_id)

    async def _open_direct(self, user_id: str) -> str:
        """Return the channel of direct messages to a person, which is the same for ever."""
        _number(user_id)
        known = self._directs.get(user_id)
        if known is None:
            opened = await self._client().http.start_private_message(user_id)
            known = self._directs[user_id] = str(opened["id"])
            if len(self._directs) > DIRECTS_KEPT:
                self._directs.pop(next(iter(self._directs)))
        return known

    async def remove(self, channel_id: str, message_id: str) -> bool:
        """Delete a person's message, which is not read first; False where there is none or we may
        not."""
        if not (is_snowflake(channel_id) and is_snowflake(message_id)):
            return False
        message = self._channel(channel_id).get_partial_message(int(message_id))
        try:
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
    ) -> str:
        """Send the parts in order, the first so that it is heard; return the reference to them."""
        sent = [
            await (self._send if number else self._send_heard)(channel, channel_id, keyed)
            for number, keyed in enumerate(parts)
        ]
        return _reference_to(sent)

    async def _send(self, channel: discord.abc.Messageable, channel_id: str, keyed: Keyed) -> int:
        part, nonce = keyed.part, nonce_of(channel_id, keyed.key)
        sent = await channel.send(
            view=part.view, files=part.files, nonce=nonce, silent=part.is_quiet
        )
        return sent.id

    async def _send_heard(
        self, channel: discord.abc.Messageable, channel_id: str, keyed: Keyed
    ) -> int:
        """Send the words as content, since a push shows no others, and what can be shown with it:
        the words and pictures of such a message are left where a copy loses its components."""
        part, nonce = keyed.part, nonce_of(channel_id, keyed.key)
        if part.is_quiet or not part.words:
            return await self._send(channel, channel_id, keyed)
        buttons = buttons_of(part, keyed.mark)
        if buttons is not None:
            words, allowed = with_pings(part.words, part.pings)
            sent = await channel.send(
                words, view=buttons, files=part.files, nonce=nonce, allowed_mentions=allowed
            )
            return sent.id
        # Nothing in a content could carry the mark, so what was begun is known by its words.
        begun = [
            each
            async for each in channel.history(limit=PARTS_WITHIN)
            if self._is_ours(each) and says_just(each, part.words)
        ]
        sent = begun[0] if begun else await channel.send(part.words, nonce=nonce)
        await sent.edit(content=None, view=part.view, attachments=part.files)
        return sent.id

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


def _marks_in(message: discord.Message) -> tuple[int, ...]:
    """Return the ids that may be a mark of ours: of the first component, or the first in it."""
    firsts: list[object] = list(message.components[:1])
    firsts += getattr(firsts[0], "children", ())[:1] if firsts else ()
    return tuple(each for first in firsts if (each := getattr(first, "id", None)) is not None)


def _reference_to(ids: list[int], thread_id: str = "") -> str:
    """Return the reference to a post in these messages; one for most."""
    own = PARTS_BETWEEN.join(map(str, ids))
    return f"{thread_id}{THREAD_BEFORE}{own}" if thread_id else own


def _channel_in(reference: str) -> str:
    """Return the id of the thread that a post is in, empty for one in the channel itself."""
    return reference.rpartition(THREAD_BEFORE)[0]


def _parts_in(seen: dict[int, int], mark: int) -> list[int]:
    """Return the ids of a post's parts, by their marks, up to the first that is missing."""
    ids: list[int] = []
    while (found := seen.get(mark_of_part(mark, len(ids)))) is not None:
        ids.append(found)
    return ids


def _ids_in(reference: str) -> list[int]:
    return [_number(each) for each in reference.rpartition(THREAD_BEFORE)[2].split(PARTS_BETWEEN)]


def _number(text: str) -> int:
    if not is_snowflake(text):
        raise RoomGoneError(f"Discord has nothing called {text!r}")
    return int(text)
