"""Private answers in Discord: to commands, buttons, menus and forms, and to messages in the open.

The first answer must be there within three seconds, so a slow one is announced first. A form is
opened as a modal where that is still possible, else by a button. What cannot be delivered is
logged with its reason.
"""

from __future__ import annotations

import asyncio
from collections import OrderedDict
from collections.abc import Awaitable
from contextlib import suppress
from functools import partial

import discord

from bot.platforms.discord.delivery import Delivery, Making, Sent, log_unanswered
from bot.platforms.discord.errors import NETWORK_ERRORS
from bot.platforms.discord.layout import Part, ask_for_channel, lay_out, lay_out_form
from bot.platforms.discord.marks import FOUND_ID
from bot.platforms.discord.text import escape
from bot.platforms.discord.words import DiscordWords
from bot.platforms.message import Message

DEFER_AFTER_SECONDS = 1.0
"""Of the three seconds that the service gives."""

RUSH = 20
"""With more than so many answers under way, a second would be too late for the last of them."""

REMEMBERED = 500
"""So many people's last answers are kept in mind, to take their buttons."""

PLACES = 8
"""So many answers of a rush are worked at together."""


class Answers:
    """Gives answers in Discord's time. `defer_after`: seconds until one is announced first."""

    def __init__(self, words: DiscordWords, *, defer_after: float = DEFER_AFTER_SECONDS) -> None:
        self._words = words
        self._defer_after = defer_after
        self._under_way = self._announcing = 0
        self._all_announced = asyncio.Event()
        self._places = asyncio.Semaphore(PLACES)
        self._pressable: OrderedDict[tuple[str, int], dict[int, Sent]] = OrderedDict()

    async def give(
        self,
        interaction: discord.Interaction,
        room_id: str,
        coming: Awaitable[tuple[Message, ...]],
        *,
        may_open_form: bool = False,
    ) -> None:
        """Wait for the answer and give it; `may_open_form`: a form is what was asked for."""
        delivery = Delivery(interaction, in_place=True)
        self._under_way += 1
        try:
            if self._under_way > RUSH:
                messages = await self._in_turn(delivery, coming)
            else:
                messages = await self._in_time(delivery, coming)
        finally:
            self._under_way -= 1
        form = messages[0].form if len(messages) == 1 and may_open_form else None
        if form is not None and not delivery.has_begun:
            await delivery.open_form(partial(lay_out_form, form, messages[0].text, room_id))
            return
        await self._send_all(delivery, messages, room_id)
        await self._take_older_buttons(interaction, room_id, delivery)

    async def _take_older_buttons(
        self, interaction: discord.Interaction, room_id: str, delivery: Delivery
    ) -> None:
        """Take the buttons of a person's older answers, once there is a new one below them."""
        whose = (room_id, interaction.user.id)
        older = self._pressable.pop(whose, {})
        if delivery.in_place:
            pressed = interaction.message
            older = {key: sent for key, sent in older.items() if pressed and key != pressed.id}
            self._pressable[whose] = older | delivery.sent
        else:
            self._pressable[whose] = delivery.sent
            for sent in older.values():
                with suppress(discord.HTTPException, *NETWORK_ERRORS):
                    await sent.take_buttons(interaction.created_at)
        if len(self._pressable) > REMEMBERED:
            self._pressable.popitem(last=False)

    async def _in_time(
        self, delivery: Delivery, coming: Awaitable[tuple[Message, ...]]
    ) -> tuple[Message, ...]:
        """Wait for an answer; announce it when that takes too long."""
        work = asyncio.ensure_future(coming)
        done, _ = await asyncio.wait({work}, timeout=self._defer_after)
        try:
            if not done:
                await delivery.announce()
        finally:
            messages = await work
        return messages

    async def _in_turn(
        self, delivery: Delivery, coming: Awaitable[tuple[Message, ...]]
    ) -> tuple[Message, ...]:
        """Announce an answer at once, and work at it when it is its turn.

        Where the announcement fails, the act still counts.
        """
        self._announcing += 1
        self._all_announced.clear()
        try:
            await delivery.announce()
        finally:
            self._announcing -= 1
            if not self._announcing:
                self._all_announced.set()
            async with self._places:
                await self._all_announced.wait()
                messages = await coming
        return messages

    async def say(self, interaction: discord.Interaction, text: str) -> None:
        """Say one sentence of the room's own."""
        await self._send_all(Delivery(interaction), (Message(text),), "0")

    async def ask_for_channel(self, interaction: discord.Interaction) -> None:
        """Ask a leader where a new club shall meet."""
        words = self._words
        await Delivery(interaction).send(
            lambda: ask_for_channel(words.choose_channel, words.channel_menu, FOUND_ID)
        )

    async def apologise(self, interaction: discord.Interaction) -> None:
        """Say that it went wrong, if that can still be said."""
        delivery = Delivery(interaction)
        delivery.has_begun = interaction.response.is_done()
        try:
            await self._send_all(delivery, (Message(self._words.failed),), "0")
        except (discord.HTTPException, *NETWORK_ERRORS) as error:
            log_unanswered(interaction, error)

    async def refuse_private(self, message: discord.Message) -> None:
        """Say in the open, where that can be said, that its writer takes no direct messages."""
        with suppress(discord.HTTPException, *NETWORK_ERRORS):
            said = f"{message.author.display_name}: {self._words.private_refused}"
            await message.channel.send(escape(said))

    async def _send_all(
        self, delivery: Delivery, messages: tuple[Message, ...], room_id: str
    ) -> None:
        laid = [(message, self._lay_out(message, room_id)) for message in messages]
        if not any(parts for _, parts in laid):
            message = Message(self._words.no_club)
            laid = [(message, self._lay_out(message, room_id))]
        for message, parts in laid:
            for number, part in enumerate(parts):
                anew = partial(self._part, message, room_id, number)
                await delivery.send(_ready_once(part, anew))

    def _lay_out(self, message: Message, room_id: str) -> tuple[Part, ...]:
        return lay_out(message, room_id, form_label=self._words.fill_in)

    def _part(self, message: Message, room_id: str, number: int) -> Part:
        return self._lay_out(message, room_id)[number]


def _ready_once(part: Part, anew: Making) -> Making:
    """Return the part that is laid out already, and at any further try one made anew."""
    ready = [part]
    return lambda: ready.pop() if ready else anew()
