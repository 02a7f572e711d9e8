"""The club's room in Discord: the Room of `bot.platforms.message`, by way of the library's client.

A club's room is a channel, under its id. Commands, buttons, menus and forms are answered to one
person; a message that mentions the bot, or is written to it alone, by a direct message. What a
press means stands in its id, so nothing is lost by a restart. What comes in is read by
`reading` and let in by `door`. This file knows its library, `message` and `sketch`.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Callable, Iterable
from contextlib import ExitStack
from datetime import datetime
from typing import Any

import discord

from bot.platforms.clubs import Clubs
from bot.platforms.discord import reading
from bot.platforms.discord.answers import DEFER_AFTER_SECONDS, Answers
from bot.platforms.discord.client import ClubClient
from bot.platforms.discord.commands import CommandBook
from bot.platforms.discord.connection import Connection
from bot.platforms.discord.delivery import log_refused, log_unanswered
from bot.platforms.discord.door import Door, ForeignError, is_of_a_person
from bot.platforms.discord.elsewhere import without_choices
from bot.platforms.discord.endpoints import endpoints
from bot.platforms.discord.errors import NETWORK_ERRORS
from bot.platforms.discord.heard import Heard
from bot.platforms.discord.marks import is_snowflake
from bot.platforms.discord.pace import REQUESTS_A_SECOND, Pace, Rank, at
from bot.platforms.discord.permissions import lacking_in, missing_permissions, owner_of
from bot.platforms.discord.posts import Posts
from bot.platforms.discord.staying import stay_connected
from bot.platforms.discord.traffic import Traffic
from bot.platforms.discord.welcome import Welcomes
from bot.platforms.discord.words import DiscordWords
from bot.platforms.message import (
    Answerer,
    Lacking,
    Message,
    RoomError,
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
        sketches = tuple(commands)
        self._leaders_lines = tuple(each.name for each in sketches if each.leaders_only)
        self._book = CommandBook(sketches, words.group_purpose)
        self._words = words
        self._door = Door(clubs, now)
        self._answers = Answers(words, defer_after=DEFER_AFTER_SECONDS)
        self._traffic = Traffic(pace or Pace(REQUESTS_A_SECOND * connection.share))
        self._posts = Posts(lambda: self._client, words.fill_in)
        self._welcomes = Welcomes(self._posts, words.welcome, now)
        self._answer: Answerer | None = None
        self._client: ClubClient | None = None
        self._run_task: asyncio.Task[None] | None = None
        self._ready = asyncio.Event()
        self._stack = ExitStack()
        self._heard = Heard()
        self._under_way: set[asyncio.Task[Any]] = set()

    # --- the room's interface ---

    async def start(self, answer: Answerer) -> None:
        """Connect. Raises PlatformRefusedError where the service refuses the bot."""
        self._answer = answer
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
        if self._under_way:
            await asyncio.wait(self._under_way, timeout=FINISH_SECONDS)
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

    async def tell(self, room_id: str, user_id: str, message: Message, *, key: str) -> str:
        """Write to one person's direct messages; RoomGoneError where they take none from us."""
        self._require(room_id)
        with at(Rank.PRIVATE):
            own_key = f"{room_id}:{key}"
            return await self._posts.tell(user_id, self._direct(message, room_id), own_key, room_id)

    async def remove(self, room_id: str, message_id: str) -> bool:
        """Delete a person's message; its id is `channel/message`, as it came with the act."""
        self._require(room_id)
        channel_id, _, own_id = message_id.rpartition("/")
        return await self._posts.remove(channel_id or room_id, own_id)

    def lacking(self, room_id: str) -> Lacking | None:
        """Return what the bot may not do in a channel, by what the gateway has told."""
        if self._client is None or not is_snowflake(room_id):
            return None
        return lacking_in(self._client, room_id, self._words)

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

    # --- people's acts ---

    async def on_interaction(self, interaction: discord.Interaction) -> None:
        """Answer an interaction once; what goes wrong ends here, in a log line or an apology."""
        if not self._heard.is_new(str(interaction.id)):
            return
        with self._counted():
            try:
                await self._hear(interaction)
            except (discord.HTTPException, *NETWORK_ERRORS) as error:
                log_unanswered(interaction, error)
            except Exception:
                _LOG.exception("interaction %s went wrong", interaction.id)
                await self._answers.apologise(interaction)

    async def _hear(self, interaction: discord.Interaction) -> None:
        try:
            asked = reading.read_interaction(interaction, self._book)
            if isinstance(asked, reading.Wish) and asked.line.startswith(self._leaders_lines):
                self._door.note_let_through(interaction)
            if isinstance(asked, reading.Completing):
                await interaction.response.autocomplete(
                    [discord.app_commands.Choice(name=each, value=each) for each in asked.offers]
                )
            elif asked is None:
                await self._answers.say(interaction, self._words.stale)
            elif asked.founds and asked.room_id is not None:
                await self._found(interaction, asked.room_id, asked.line)
            else:
                await self._act(interaction, asked)
        except reading.UnreadableError as error:
            log_refused(interaction, error)
            if interaction.type is discord.InteractionType.autocomplete:
                await interaction.response.autocomplete([])
            else:
                await self._answers.say(interaction, self._words.stale)
        except ForeignError as error:
            log_refused(interaction, error)
            await self._answers.say(interaction, self._words.foreign)

    async def _act(self, interaction: discord.Interaction, asked: reading.Wish) -> None:
        room_id = asked.room_id or self._door.room_around(interaction)
        if interaction.guild_id is not None:
            self._door.require_place(interaction, room_id)
        if room_id not in self._clubs.room_ids:
            if interaction.guild_id is None and self._connection.shards is not None:
                await self._answers.say(interaction, self._words.elsewhere)
            else:
                await self._point_to_setup(interaction, asked.line)
            return
        is_submitted = interaction.type is discord.InteractionType.modal_submit
        await self._answers.give(
            interaction,
            room_id,
            self._admit_and_answer(interaction, room_id, asked),
            # Who brought something of their own wants to hear what came of it, not a form.
            may_open_form=not is_submitted and not reading.brings_digits(asked.line),
        )

    async def _admit_and_answer(
        self, interaction: discord.Interaction, room_id: str, asked: reading.Wish
    ) -> tuple[Message, ...]:
        assert self._answer is not None, "nothing is heard before the start"
        try:
            incoming = await self._door.admit(interaction, room_id, asked)
        except ForeignError as error:
            # Said here: asking the service may have taken so long that an answer was announced.
            log_refused(interaction, error)
            return (Message(self._words.foreign),)
        return await self._answer(incoming)

    async def _point_to_setup(self, interaction: discord.Interaction, line: str) -> None:
        leads = self._door.leads(interaction)
        if not line.startswith(self._leaders_lines):
            words = self._words
            await self._answers.say(interaction, words.no_club_leader if leads else words.no_club)
        elif leads:
            await self._answers.ask_for_channel(interaction)
        else:
            await self._answers.say(interaction, self._words.leaders_only)

    async def _found(self, interaction: discord.Interaction, room_id: str, line: str) -> None:
        """Make a club in a channel, or take up the one that is there."""
        founder = self._clubs.founder
        if not self._door.leads(interaction) or founder is None:
            await self._answers.say(interaction, self._words.leaders_only)
            return
        channel = self._door.channel_for_club(interaction, room_id)
        missing = missing_permissions(channel.permissions_for(channel.guild.me))
        if missing:
            await self._answers.say(
                interaction, self._words.missing.replace("{}", ", ".join(missing))
            )
            return
        incoming = await self._door.admit(interaction, room_id, reading.Wish(line))
        await self._answers.give(interaction, room_id, founder(incoming, channel.guild.name))

    def _clubs_in(self, guild: discord.Guild) -> list[str]:
        return [str(each.id) for each in guild.channels if str(each.id) in self._clubs.room_ids]

    async def on_message(self, message: discord.Message) -> None:
        """Answer in private what is written to the bot; an edit is no act, but may tell as much."""
        client = self._client
        if client is None or client.user is None or self._answer is None:
            return
        said = reading.said_to_us(message, client.user)
        room_id = self._door.room_written_in(message)
        is_direct = self._door.is_direct(message)
        if said is None or not is_of_a_person(message) or (room_id is None and not is_direct):
            return
        if not self._heard.is_new(reading.act_id(message)):
            return
        with self._counted():
            try:
                if room_id is not None:
                    incoming = self._door.admit_open(message, room_id, said)
                    await self._tell_all(message, await self._answer(incoming), room_id)
                else:
                    await self._hear_direct(client, message, said.text)
            except (RoomError, discord.HTTPException, *NETWORK_ERRORS) as error:
                _LOG.warning("message %s was not answered: %s", message.id, error)

    async def _hear_direct(self, client: ClubClient, message: discord.Message, text: str) -> None:
        assert self._answer is not None, "nothing is heard before the start"
        found = await self._door.admit_direct(client, message, text)
        if len(found) != 1:
            is_all = self._connection.shards is None
            unknown = self._words.no_club_direct if is_all else self._words.elsewhere
            words = self._words.which_club if found else unknown
            await self._tell_all(message, (Message(words),), "0")
            return
        (incoming,) = found
        await self._tell_all(message, await self._answer(incoming), incoming.room_id)

    async def _tell_all(
        self, message: discord.Message, answers: tuple[Message, ...], room_id: str
    ) -> None:
        """Answer a message directly; in the open, who cannot be written to is told so there."""
        user_id = str(message.author.id)
        try:
            for number, answer in enumerate(answers):
                key = f"answer:{reading.act_id(message)}:{number}"
                await self._posts.tell(user_id, self._direct(answer, room_id), key, room_id)
        except RoomGoneError:
            if message.guild is None:
                raise
            await self._answers.refuse_private(message)

    def _counted(self) -> ExitStack:
        """Keep this task in mind while the block runs, so that a stop waits for it."""
        task = asyncio.current_task()
        assert task is not None, "events are tasks"
        self._under_way.add(task)
        stack = ExitStack()
        stack.callback(self._under_way.discard, task)
        return stack

    def _direct(self, message: Message, room_id: str) -> Message:
        """Return a message as it can be written to somebody directly."""
        if self._connection.hears_directly:
            return message
        return without_choices(message, room_id, self._book, self._words)

    def _require(self, room_id: str) -> None:
        if room_id not in self._clubs.room_ids or not is_snowflake(room_id):
            raise RoomGoneError(f"Discord has no club's channel {room_id!r}")
        there = None if self._client is None else self._client.get_channel(int(room_id))
        if self._connection.shards is not None and there is None:
            # A channel of another process's server could be written to just as well.
            raise RoomUnreachableError(f"channel {room_id} is of no server here")
