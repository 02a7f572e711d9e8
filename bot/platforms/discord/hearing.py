"""Hears what people do in Discord: commands, presses, forms and messages, each answered once.

What came is read by `reading` and let in by `door`; whatever goes wrong with one ends here, in a
log line or an apology. A leader's command where there is no club leads to one.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Callable
from contextlib import ExitStack
from typing import Any

import discord

from bot.platforms.clubs import Clubs
from bot.platforms.discord import reading
from bot.platforms.discord.answers import Answers
from bot.platforms.discord.choosing import NO_ROOM, WHICH, ask_which, name_of_club
from bot.platforms.discord.client import ClubClient
from bot.platforms.discord.commands import CommandBook
from bot.platforms.discord.connection import Connection
from bot.platforms.discord.delivery import log_refused, log_unanswered
from bot.platforms.discord.door import Door, ForeignError, is_of_a_person
from bot.platforms.discord.elsewhere import without_choices
from bot.platforms.discord.errors import NETWORK_ERRORS
from bot.platforms.discord.heard import Heard
from bot.platforms.discord.marks import is_snowflake
from bot.platforms.discord.permissions import missing_permissions
from bot.platforms.discord.posts import Posts
from bot.platforms.discord.words import DiscordWords
from bot.platforms.message import Answerer, Message, RoomError, RoomGoneError

_LOG = logging.getLogger("ninebark.discord")


class Hearing:
    """`client` returns the connected client, None while there is none. Nothing is heard before
    `begin`."""

    def __init__(
        self,
        connection: Connection,
        clubs: Clubs,
        door: Door,
        *,
        answers: Answers,
        posts: Posts,
        book: CommandBook,
        words: DiscordWords,
        client: Callable[[], ClubClient | None],
    ) -> None:
        self._connection = connection
        self._clubs = clubs
        self._door = door
        self._answers = answers
        self._posts = posts
        self._book = book
        self._words = words
        self._find_client = client
        self._answer: Answerer | None = None
        self._heard = Heard()
        self._under_way: set[asyncio.Task[Any]] = set()

    def begin(self, answer: Answerer) -> None:
        """Hand acts to `answer` from now on."""
        self._answer = answer

    async def finish(self, seconds: float) -> None:
        """Let acts under way be answered, for so long at most."""
        if self._under_way:
            await asyncio.wait(self._under_way, timeout=seconds)

    async def hear(self, interaction: discord.Interaction) -> None:
        """Answer an interaction once; what goes wrong ends here, in a log line or an apology."""
        if not self._heard.is_new(str(interaction.id)):
            return
        with self._counted():
            try:
                await self._hear_one(interaction)
            except (discord.HTTPException, *NETWORK_ERRORS) as error:
                log_unanswered(interaction, error)
            except Exception:
                _LOG.exception("interaction %s went wrong", interaction.id)
                await self._answers.apologise(interaction)

    async def _hear_one(self, interaction: discord.Interaction) -> None:
        try:
            asked = reading.read_interaction(interaction, self._book)
            if isinstance(asked, reading.Wish) and self._book.is_for_leaders(asked.line):
                self._door.note_let_through(interaction)
            if isinstance(asked, reading.Completing):
                await interaction.response.autocomplete(
                    [discord.app_commands.Choice(name=each, value=each) for each in asked.offers]
                )
            elif asked is None:
                await self._answers.say(interaction, self._words.stale)
            elif asked.room_id == NO_ROOM:
                await self._choose(interaction, asked.line)
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
        is_move = self._book.takes_place(asked.line)
        around = asked.room_id or await self._door.room_around(interaction, is_move=is_move)
        room_id = self._clubs.present(around)
        if interaction.guild_id is not None:
            await self._door.require_place(interaction, room_id)
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
        if not self._book.is_for_leaders(line):
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
        channel = await self._door.channel_for_club(interaction, room_id)
        missing = missing_permissions(channel.permissions_for(channel.guild.me))
        if missing:
            await self._answers.say(
                interaction, self._words.missing.replace("{}", ", ".join(missing))
            )
            return
        incoming = await self._door.admit(interaction, room_id, reading.Wish(line))
        await self._answers.give(interaction, room_id, founder(incoming, channel.guild.name))

    async def hear_message(self, message: discord.Message) -> None:
        """Answer in private what is written to the bot; an edit is no act, but may tell as much."""
        client = self._find_client()
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
        if not found:
            is_all = self._connection.shards is None
            unknown = self._words.no_club_direct if is_all else self._words.elsewhere
            await self._tell_all(message, (Message(unknown),), NO_ROOM)
            return
        clubs = {each.room_id: each for each in found}
        meant = await self._clubs.meant.load(str(message.author.id)) or ""
        is_asked = text.strip().lower() == WHICH
        incoming = found[0] if len(found) == 1 else None if is_asked else clubs.get(meant)
        if incoming is None:
            await self._tell_all(message, (ask_which(client, tuple(clubs), self._words),), NO_ROOM)
            return
        await self._tell_all(message, await self._answer(incoming), incoming.room_id)

    async def _choose(self, interaction: discord.Interaction, line: str) -> None:
        """Take a press on the question which club is meant, from who is in that club."""
        room_id = self._clubs.present(line.removeprefix(WHICH).strip())
        if interaction.guild_id is not None or not is_snowflake(room_id):
            raise reading.UnreadableError("a choice of a club, but no direct message")
        if room_id not in self._clubs.room_ids:
            raise ForeignError(f"no club meets in {room_id}")
        person = (await self._door.admit(interaction, room_id, reading.Wish(line))).user_id
        await self._clubs.meant.save(person, room_id)
        title = discord.utils.escape_markdown(name_of_club(interaction.client, room_id))
        await self._answers.say(interaction, self._words.chosen.format(title))

    async def _tell_all(
        self, message: discord.Message, answers: tuple[Message, ...], room_id: str
    ) -> None:
        """Answer a message directly; in the open, who cannot be written to is told so there."""
        user_id = str(message.author.id)
        try:
            for number, answer in enumerate(answers):
                key = f"answer:{reading.act_id(message)}:{number}"
                await self._posts.tell(user_id, self.direct(answer, room_id), key, room_id)
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

    def direct(self, message: Message, room_id: str) -> Message:
        """Return a message as it can be written to somebody directly."""
        if self._connection.hears_directly:
            return message
        return without_choices(message, room_id, self._book, self._words)
