"""The club's room in Discord: the Room of `bot.chat.message`, by way of the library's client.

A club's room is a channel, under its id. Commands, buttons, menus and forms are answered to one
person; a message that mentions the bot, or is written to it alone, by a direct message. What a
press means stands in its id, so nothing is lost by a restart. This file knows its library,
`message` and `sketch`.
"""

from __future__ import annotations

import asyncio
import logging
from collections import OrderedDict
from collections.abc import Callable, Iterable
from contextlib import ExitStack, suppress
from datetime import datetime
from typing import Any

import discord

from bot.chat import discord_reading as reading
from bot.chat.discord_answers import DEFER_AFTER_SECONDS, Answers
from bot.chat.discord_client import ClubClient
from bot.chat.discord_commands import CommandBook
from bot.chat.discord_delivery import log_unanswered
from bot.chat.discord_direct import ClubsOf, find_memberships, no_clubs
from bot.chat.discord_endpoints import endpoints
from bot.chat.discord_errors import NETWORK_ERRORS, refusal_of
from bot.chat.discord_marks import FOUND_ID, is_snowflake, parse_press
from bot.chat.discord_pace import Pace
from bot.chat.discord_permissions import missing_permissions
from bot.chat.discord_posts import Posts
from bot.chat.discord_text import escape
from bot.chat.discord_welcome import Welcomes
from bot.chat.discord_words import DiscordWords
from bot.chat.message import (
    Answerer,
    Message,
    PlatformRefusedError,
    RoomError,
    RoomGoneError,
)
from bot.chat.sketch import CommandSketch, Founder

_LOG = logging.getLogger("ninebark.discord")

START_SECONDS = 20.0
"""How long a start waits for the service; after that it goes on connecting in the background."""

FINISH_SECONDS = 10.0
FIRST_BACK_OFF, LONGEST_BACK_OFF = 1.0, 60.0
REMEMBERED = 2000

PlaceChanged = Callable[[str, bool], None]
"""Told the id of a club's room, and whether the bot can be there now."""


class DiscordRoom:
    """`founder` makes clubs for leaders who ask; `place_changed` hears of rooms lost and found;
    `clubs_of` says which clubs know a person."""

    platform = "discord"

    def __init__(
        self,
        *,
        token: str,
        rooms: Iterable[str],
        commands: Iterable[CommandSketch],
        words: DiscordWords,
        now: Callable[[], datetime],
        founder: Founder | None = None,
        place_changed: PlaceChanged = lambda room_id, is_there: None,
        clubs_of: ClubsOf = no_clubs,
        api: str | None = None,
        gateway: str | None = None,
        pace: Pace | None = None,
        defer_after: float = DEFER_AFTER_SECONDS,
        client_options: dict[str, Any] | None = None,
    ) -> None:
        self._token = token
        self._rooms = set(rooms)
        sketches = tuple(commands)
        self._leaders_lines = tuple(each.name for each in sketches if each.leaders_only)
        self._book = CommandBook(sketches, words.group_purpose)
        self._words = words
        self._now = now
        self._founder = founder
        self._place_changed = place_changed
        self._clubs_of = clubs_of
        self._api, self._gateway = api, gateway
        self._client_options = client_options or {}
        self._answers = Answers(words, defer_after=defer_after)
        self._posts = Posts(lambda: self._client, pace or Pace(), words.fill_in)
        self._welcomes = Welcomes(self._posts, words.welcome)
        self._answer: Answerer | None = None
        self._client: ClubClient | None = None
        self._run_task: asyncio.Task[None] | None = None
        self._ready = asyncio.Event()
        self._stack = ExitStack()
        self._heard: OrderedDict[int, None] = OrderedDict()
        self._under_way: set[asyncio.Task[Any]] = set()

    # --- the room's interface ---

    async def start(self, answer: Answerer) -> None:
        """Connect. Raises PlatformRefusedError where the service refuses the bot."""
        self._answer = answer
        self._ready.clear()
        self._stack.enter_context(endpoints(self._api, self._gateway))
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

    def add_room(self, room_id: str) -> None:
        """Serve a club that was made while running."""
        self._rooms.add(room_id)

    async def post(self, room_id: str, message: Message, *, key: str) -> str:
        self._require(room_id)
        return await self._posts.post(room_id, message, key)

    async def find_post(self, room_id: str, key: str) -> str | None:
        self._require(room_id)
        return await self._posts.find(room_id, key)

    async def edit(self, room_id: str, reference: str, message: Message) -> None:
        self._require(room_id)
        await self._posts.edit(room_id, reference, message)

    async def post_thread(
        self, room_id: str, reference: str, title: str, messages: tuple[Message, ...], *, key: str
    ) -> str:
        self._require(room_id)
        return await self._posts.post_thread(room_id, reference, title, messages, key)

    async def tell(self, room_id: str, user_id: str, message: Message, *, key: str) -> str:
        self._require(room_id)
        return await self._posts.tell(user_id, message, f"{room_id}:{key}", room_id)

    async def remove(self, room_id: str, message_id: str) -> bool:
        """Delete a person's message; its id is `channel/message`, as it came with the act."""
        self._require(room_id)
        channel_id, _, own_id = message_id.rpartition("/")
        return await self._posts.remove(channel_id or room_id, own_id)

    # --- the connection ---

    async def _run(self) -> None:
        """Stay connected until cancelled; ends only where the service refuses the bot."""
        back_off = FIRST_BACK_OFF
        while True:
            client = ClubClient(self, self._book.payload(), **self._client_options)
            try:
                await client.login(self._token)
                self._client = client
                await client.connect()
                raise PlatformRefusedError("closed")
            except PlatformRefusedError:
                raise
            except (discord.DiscordException, *NETWORK_ERRORS) as error:
                refusal = refusal_of(error)
                if refusal is not None:
                    raise refusal from None
                _LOG.warning("no connection to Discord, again in %.0f s: %r", back_off, error)
            finally:
                self._client = None
                with suppress(*NETWORK_ERRORS):
                    await client.close()
            back_off = FIRST_BACK_OFF if self._ready.is_set() else back_off
            await asyncio.sleep(back_off)
            back_off = min(LONGEST_BACK_OFF, 2 * back_off)

    async def on_ready(self) -> None:
        self._ready.set()
        client = self._client
        if client is None:
            return
        for room_id in sorted(self._rooms):
            if is_snowflake(room_id):
                is_there = client.get_channel(int(room_id)) is not None
                self._place_changed(room_id, is_there)

    def on_places_changed(self, channel_ids: list[int], is_there: bool) -> None:
        for channel_id in channel_ids:
            if str(channel_id) in self._rooms:
                self._place_changed(str(channel_id), is_there)

    async def on_joined(self, guild: discord.Guild) -> None:
        """Tell the leader of a server that is new to us what to do."""
        if not self._clubs_in(guild):
            await self._welcomes.joined(guild)

    async def on_seen(self, guild: discord.Guild) -> None:
        """The same where it was joined while we were away."""
        if not self._clubs_in(guild):
            await self._welcomes.seen(guild)

    # --- people's acts ---

    async def on_interaction(self, interaction: discord.Interaction) -> None:
        if not self._is_new(interaction.id):
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
        kind, typed = interaction.type, reading.typed_in(interaction)
        if kind is discord.InteractionType.autocomplete:
            found = self._book.complete(typed)
            await interaction.response.autocomplete(
                [discord.app_commands.Choice(name=each, value=each) for each in found]
            )
        elif kind is discord.InteractionType.application_command:
            read = self._book.read(typed)
            if read.room_id is not None:
                await self._found(interaction, read.room_id, read.line)
            else:
                await self._act(interaction, self._room_of(interaction), read.line)
        elif typed.get("custom_id") == FOUND_ID:
            await self._found(interaction, typed["values"][0], "")
        else:
            await self._hear_press(interaction, typed)

    async def _hear_press(self, interaction: discord.Interaction, typed: dict[str, Any]) -> None:
        press = parse_press(str(typed.get("custom_id", "")))
        if press is None:
            await self._answers.say(interaction, self._words.stale)
            return
        line = press.command + "".join(typed.get("values", ())[:1])
        await self._act(interaction, press.room_id, line, reading.fields_in(typed))

    async def _act(
        self,
        interaction: discord.Interaction,
        room_id: str,
        line: str,
        fields: dict[str, str] | None = None,
    ) -> None:
        assert self._answer is not None, "nothing is heard before the start"
        if room_id not in self._rooms:
            await self._point_to_setup(interaction, line)
            return
        is_submitted = interaction.type is discord.InteractionType.modal_submit
        incoming = reading.act_of(interaction, room_id, line, fields or {}, self._now())
        await self._answers.give(
            interaction,
            room_id,
            self._answer(incoming),
            # Who brought something of their own wants to hear what came of it, not a form.
            may_open_form=not is_submitted and not any(letter.isdigit() for letter in line),
        )

    async def _point_to_setup(self, interaction: discord.Interaction, line: str) -> None:
        leads = interaction.permissions.manage_guild
        if not line.startswith(self._leaders_lines):
            words = self._words
            await self._answers.say(interaction, words.no_club_leader if leads else words.no_club)
        elif leads and interaction.guild_id is not None:
            await self._answers.ask_for_channel(interaction)
        else:
            await self._answers.say(interaction, self._words.leaders_only)

    async def _found(self, interaction: discord.Interaction, room_id: str, line: str) -> None:
        """Make a club in a channel, or take up the one that is there."""
        guild, founder = interaction.guild, self._founder
        if not interaction.permissions.manage_guild or guild is None or founder is None:
            await self._answers.say(interaction, self._words.leaders_only)
            return
        channel = guild.get_channel(int(room_id))
        missing = missing_permissions(channel.permissions_for(guild.me)) if channel else ()
        if missing:
            await self._answers.say(
                interaction, self._words.missing.replace("{}", ", ".join(missing))
            )
            return
        incoming = reading.act_of(interaction, room_id, line, {}, self._now())
        await self._answers.give(interaction, room_id, founder(incoming, guild.name))

    def _room_of(self, interaction: discord.Interaction) -> str:
        """Return the club's room that a command was given in or under, or the server's only one."""
        channel = interaction.channel
        ids = [str(interaction.channel_id), str(getattr(channel, "parent_id", ""))]
        for room_id in ids:
            if room_id in self._rooms:
                return room_id
        clubs = self._clubs_in(interaction.guild) if interaction.guild else []
        return clubs[0] if len(clubs) == 1 else ids[0]

    def _clubs_in(self, guild: discord.Guild) -> list[str]:
        return [str(each.id) for each in guild.channels if str(each.id) in self._rooms]

    async def on_message(self, message: discord.Message) -> None:
        """Answer, privately, what mentions the bot or is written to it alone; it sees no more."""
        client = self._client
        if client is None or client.user is None or message.author.bot or self._answer is None:
            return
        text = reading.text_to_us(message, client.user)
        room_id = reading.room_of_message(message, self._rooms)
        if text is None or (message.guild is not None and room_id is None):
            return
        if not self._is_new(message.id):
            return
        with self._counted():
            try:
                if room_id is not None:
                    incoming = reading.act_in_open(message, room_id, text, self._now())
                    await self._tell_all(message, await self._answer(incoming), room_id)
                else:
                    await self._hear_direct(client, message, text)
            except (RoomError, discord.HTTPException, *NETWORK_ERRORS) as error:
                _LOG.warning("message %s was not answered: %s", message.id, error)

    async def _hear_direct(self, client: ClubClient, message: discord.Message, text: str) -> None:
        assert self._answer is not None, "nothing is heard before the start"
        found = await find_memberships(client, message.author.id, self._rooms, self._clubs_of)
        if len(found) != 1:
            words = self._words.which_club if found else self._words.no_club_direct
            await self._tell_all(message, (Message(words),), "0")
            return
        ((room_id, member),) = found.items()
        incoming = reading.act_in_private(message, member, room_id, text, self._now())
        await self._tell_all(message, await self._answer(incoming), room_id)

    async def _tell_all(
        self, message: discord.Message, answers: tuple[Message, ...], room_id: str
    ) -> None:
        """Answer a message directly; in the open, who cannot be written to is told so there."""
        user_id = str(message.author.id)
        try:
            for number, answer in enumerate(answers):
                await self._posts.tell(user_id, answer, f"answer:{message.id}:{number}", room_id)
        except RoomGoneError:
            if message.guild is None:
                raise
            await self._refuse_private(message)

    async def _refuse_private(self, message: discord.Message) -> None:
        with suppress(discord.HTTPException, *NETWORK_ERRORS):
            said = f"{message.author.display_name}: {self._words.private_refused}"
            await message.channel.send(escape(said))

    def _is_new(self, event_id: int) -> bool:
        """Note an act; False where it is delivered again: it has its answer, or is getting it."""
        if event_id in self._heard:
            return False
        self._heard[event_id] = None
        if len(self._heard) > REMEMBERED:
            self._heard.popitem(last=False)
        return True

    def _counted(self) -> ExitStack:
        """Keep this task in mind while the block runs, so that a stop waits for it."""
        task = asyncio.current_task()
        assert task is not None, "events are tasks"
        self._under_way.add(task)
        stack = ExitStack()
        stack.callback(self._under_way.discard, task)
        return stack

    def _require(self, room_id: str) -> None:
        if room_id not in self._rooms or not is_snowflake(room_id):
            raise RoomGoneError(f"Discord has no club's channel {room_id!r}")
