"""The club's room in Discord: the Room of `bot.platforms.message`, by way of the library's client.

A club's room is a channel, under its id. Commands, buttons, menus and forms are answered to one
person; a message that mentions the bot, or is written to it alone, by a direct message. What a
press means stands in its id, so nothing is lost by a restart. What comes in is heard by `hearing`.
This file knows its library, `message` and `sketch`.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Callable, Iterable
from contextlib import ExitStack
from datetime import datetime

import discord

from bot.platforms.clubs import Clubs
from bot.platforms.discord.answers import DEFER_AFTER_SECONDS, Answers
from bot.platforms.discord.client import ClubClient
from bot.platforms.discord.commands import CommandBook
from bot.platforms.discord.connection import Connection
from bot.platforms.discord.door import Door
from bot.platforms.discord.endpoints import endpoints
from bot.platforms.discord.hearing import Hearing
from bot.platforms.discord.marks import is_snowflake
from bot.platforms.discord.naming import find_place
from bot.platforms.discord.pace import REQUESTS_A_SECOND, Pace, Rank, at
from bot.platforms.discord.permissions import lacking_in, owner_of
from bot.platforms.discord.posts import Posts
from bot.platforms.discord.staying import stay_connected
from bot.platforms.discord.traffic import Traffic
from bot.platforms.discord.welcome import Welcomes
from bot.platforms.discord.words import DiscordWords
from bot.platforms.message import (
    Answerer,
    Lacking,
    Message,
    Place,
    RoomGoneError,
    RoomUnreachableError,
)
from bot.platforms.sketch import CommandSketch

_LOG = logging.getLogger("ninebark.discord")

START_SECONDS = 20.0
"""How long a start waits for the service; after that it goes on connecting in the background."""

FINISH_SECONDS = 10.0


class DiscordRoom:
    """One object serves the channels of all `clubs`."""

    platform = "discord"
    offers_themes = False

    def __init__(
        self,
        connection: Connection,
        clubs: Clubs,
        *,
        commands: Iterable[CommandSketch],
        words: DiscordWords,
        now: Callable[[], datetime],
        pace: Pace | None = None,
    ) -> None:
        self._connection = connection
        self._clubs = clubs
        self._book = CommandBook(commands, words.group_purpose)
        self._words = words
        self._answers = Answers(words, defer_after=DEFER_AFTER_SECONDS)
        self._traffic = Traffic(pace or Pace(REQUESTS_A_SECOND * connection.share))
        self._posts = Posts(lambda: self._client, words.fill_in)
        self._welcomes = Welcomes(self._posts, words.welcome, now)
        self._door = Door(clubs, now)
        self._hearing = Hearing(
            connection,
            clubs,
            self._door,
            answers=self._answers,
            posts=self._posts,
            book=self._book,
            words=words,
            client=lambda: self._client,
        )
        self._client: ClubClient | None = None
        self._run_task: asyncio.Task[None] | None = None
        self._ready = asyncio.Event()
        self._stack = ExitStack()

    # --- the room's interface ---

    async def start(self, answer: Answerer) -> None:
        """Connect. Raises PlatformRefusedError where the service refuses the bot."""
        self._hearing.begin(answer)
        self._ready.clear()
        self._stack.enter_context(endpoints(self._connection.api, self._connection.gateway))
        self._run_task = asyncio.create_task(self._run(), name="discord")
        ready = asyncio.create_task(self._ready.wait())
        await asyncio.wait(
            {ready, self._run_task}, timeout=START_SECONDS, return_when=asyncio.FIRST_COMPLETED
        )
        ready.cancel()
        if self._run_task.done():
            self._stack.close()
            self._run_task.result()
        elif not self._ready.is_set():
            _LOG.warning("Discord is out of reach; connecting goes on")

    async def stop(self) -> None:
        """Let acts under way be answered, for FINISH_SECONDS at most, then disconnect."""
        await self._welcomes.stop()
        await self._hearing.finish(FINISH_SECONDS)
        if self._run_task is not None:
            self._run_task.cancel()
            await asyncio.gather(self._run_task, return_exceptions=True)
            self._run_task = None
        self._stack.close()

    async def ended(self) -> None:
        """Return when the room has ended; raises PlatformRefusedError where it was refused."""
        assert self._run_task is not None, "a room ends after its start"
        await asyncio.shield(self._run_task)

    async def post(
        self, room_id: str, message: Message, *, key: str, may_wait: bool = False
    ) -> str:
        """Post in a club's channel, once per key. Raises RoomError."""
        self._require(room_id)
        with at(Rank.RESULTS if may_wait else Rank.POST):
            return await self._posts.post(room_id, message, key)

    async def find_post(self, room_id: str, key: str) -> str | None:
        """Look through the channel's last LOOK_BACK messages for the post with this key."""
        self._require(room_id)
        with at(Rank.POST):
            return await self._posts.find(room_id, key)

    async def stamp_of(self, room_id: str, reference: str) -> datetime | None:
        """Return when a post was taken, by its id: nothing is asked of the service."""
        self._require(room_id)
        return self._posts.stamp_of(reference)

    async def is_up(self, room_id: str, reference: str) -> bool:
        """Ask the service for a post's first message. Raises RoomError."""
        self._require(room_id)
        with at(Rank.POST):
            return await self._posts.is_up(room_id, reference)

    async def edit(self, room_id: str, reference: str, message: Message, *, key: str) -> str:
        """Replace a post of ours, with as many parts as it takes now. Raises RoomError."""
        self._require(room_id)
        with at(Rank.MEND):
            return await self._posts.edit(room_id, reference, message, key)

    async def post_thread(
        self, room_id: str, reference: str, title: str, messages: tuple[Message, ...], *, key: str
    ) -> str:
        """Open a thread, or write what the one that is there lacks. Raises RoomError."""
        self._require(room_id)
        with at(Rank.THREAD):
            return await self._posts.post_thread(room_id, reference, title, messages, key)

    async def post_under(
        self, room_id: str, reference: str, title: str, message: Message, *, key: str
    ) -> str:
        """Post in a thread under a post, once per key. Raises RoomError."""
        self._require(room_id)
        with at(Rank.RESULTS):
            return await self._posts.post_under(room_id, reference, title, message, key)

    async def tell(self, room_id: str, user_id: str, message: Message, *, key: str) -> str:
        """Write to one person's direct messages; RoomGoneError where they take none from us."""
        self._require(room_id)
        with at(Rank.PRIVATE):
            own_key = f"{room_id}:{key}"
            return await self._posts.tell(
                user_id, self._hearing.direct(message, room_id), own_key, room_id
            )

    async def remove(self, room_id: str, message_id: str) -> bool:
        """Delete a person's message; its id is `channel/message`, as it came with the act, and as
        no reference to a post of ours is."""
        self._require(room_id)
        channel_id, _, own_id = message_id.rpartition("/")
        return await self._posts.remove(channel_id, own_id)

    def lacking(self, room_id: str) -> Lacking | None:
        """Return what the bot may not do in a channel, by what the gateway has told."""
        if self._client is None or not is_snowflake(room_id):
            return None
        return lacking_in(self._client, room_id, self._words)

    def server_of(self, room_id: str) -> str:
        """Return the id of the server that a channel is in, empty where that is not known."""
        client = self._client
        channel = client.get_channel(int(room_id)) if client and is_snowflake(room_id) else None
        return str(channel.guild.id) if isinstance(channel, discord.abc.GuildChannel) else ""

    async def find_place(self, room_id: str, named: str, user_id: str) -> Place:
        """Return the channel that somebody names, as the service has it for them."""
        if self._client is None:
            raise RoomUnreachableError("not connected")
        return await find_place(self._client, named, user_id, self._words, self._door.leads_in)

    def in_charge(self, room_id: str) -> tuple[str, ...]:
        """Return the owner of the server: who else may manage it is not told."""
        client = self._client
        return owner_of(client, room_id) if client and is_snowflake(room_id) else ()

    # --- the connection ---

    async def _run(self) -> None:
        """Stay connected until cancelled; ends only where the service refuses the bot."""
        await stay_connected(
            self._make_client,
            self._connection.token,
            hold=self._hold_client,
            was_ready=self._ready.is_set,
        )

    def _make_client(self) -> ClubClient:
        commands, options = self._book.payload(), self._connection.options
        return ClubClient(self, commands, self._traffic, **options)

    def _hold_client(self, client: ClubClient | None) -> None:
        self._client = client

    async def on_ready(self) -> None:
        """Note which clubs' channels are there, and let a start that waits for this go on."""
        self._ready.set()
        client = self._client
        if client is None:
            return
        for room_id in sorted(self._clubs.room_ids):
            if is_snowflake(room_id):
                is_there = client.get_channel(int(room_id)) is not None
                self._clubs.place_changed(room_id, is_there)

    def on_places_changed(self, channel_ids: list[int], is_there: bool) -> None:
        """Note of the clubs among these channels whether they can be written to."""
        for channel_id in channel_ids:
            if str(channel_id) in self._clubs.room_ids:
                self._clubs.place_changed(str(channel_id), is_there)

    async def on_joined(self, guild: discord.Guild) -> None:
        """Tell the leader of a server that is new to us what to do."""
        if not self._clubs_in(guild):
            await self._welcomes.joined(guild)

    async def on_seen(self, guild: discord.Guild) -> None:
        """The same where it was joined while we were away."""
        if not self._clubs_in(guild):
            self._welcomes.seen(guild)

    async def on_interaction(self, interaction: discord.Interaction) -> None:
        """Answer what somebody does."""
        await self._hearing.hear(interaction)

    async def on_message(self, message: discord.Message) -> None:
        """Answer what somebody writes to the bot."""
        await self._hearing.hear_message(message)

    # --- small things ---

    def _clubs_in(self, guild: discord.Guild) -> list[str]:
        return [str(each.id) for each in guild.channels if str(each.id) in self._clubs.room_ids]

    def _require(self, room_id: str) -> None:
        is_ours = self._clubs.present(room_id) in self._clubs.room_ids
        if not is_ours or not is_snowflake(room_id):
            raise RoomGoneError(f"Discord has no club's channel {room_id!r}")
        there = None if self._client is None else self._client.get_channel(int(room_id))
        if self._connection.shards is not None and there is None:
            # A channel of another process's server could be written to just as well.
            raise RoomUnreachableError(f"channel {room_id} is of no server here")
