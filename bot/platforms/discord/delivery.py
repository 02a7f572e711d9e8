"""The answer to one interaction on its way: the first response, then follow-ups.

What is pressed under a private answer is answered in its place, so that one message climbs a hint.
A broken connection is tried once more where the service takes the second try for the first: a
response that had arrived after all counts as given, and an edit may come twice. A follow-up may
not: who misses one presses again, and is shown it again.
Nothing here knows what is said.
"""

from __future__ import annotations

import logging
from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import partial

import discord
from discord import ui

from bot.platforms.discord.errors import ALREADY_ANSWERED, NETWORK_ERRORS, UNKNOWN_INTERACTION
from bot.platforms.discord.layout import Part, has_buttons, without_buttons

_LOG = logging.getLogger("ninebark.discord")

TOKEN_LIVES = timedelta(minutes=14)
"""The service lets an answer be edited for fifteen minutes from what it answers."""

Making = Callable[[], Part]
"""Lays a part out anew: a file in it can be read once only."""


@dataclass(frozen=True, slots=True)
class Sent:
    """A message of an answer that has buttons: how it is edited, and for how long it can be."""

    view: ui.LayoutView
    edit: Callable[..., Awaitable[object]]
    asked_at: datetime

    async def take_buttons(self, now: datetime) -> None:
        """Leave the message without its buttons; too late, it keeps them."""
        if now - self.asked_at < TOKEN_LIVES:
            await self.edit(view=without_buttons(self.view))


class Delivery:
    """`has_begun`: the first response is out, so a form can no longer be opened. `in_place`: the
    answer takes the place of the private one that was pressed. `sent`: by the message's id."""

    def __init__(self, interaction: discord.Interaction, *, in_place: bool = False) -> None:
        self._interaction = interaction
        self.has_begun = False
        self.in_place = in_place and is_under_an_answer(interaction)
        self.sent: dict[int, Sent] = {}
        self._is_awaited = False

    async def announce(self) -> None:
        """Say that the answer will come, which gives it fifteen minutes."""
        response = self._interaction.response
        if self.in_place:
            await self._respond(response.defer)
        else:
            await self._respond(lambda: response.defer(ephemeral=True, thinking=True))
        self._is_awaited = True

    async def open_form(self, make: Callable[[], ui.Modal]) -> None:
        """Open a form as the first response; nothing may have been sent before."""
        await self._respond(lambda: self._interaction.response.send_modal(make()))

    async def send(self, make: Making) -> None:
        """Send a part, to this person alone."""
        if not self.has_begun:
            await self._respond(partial(self._answer, make))
        elif self._is_awaited:
            await _once_more(partial(self._fill_in, make))
            self._is_awaited = False
        else:
            await self._follow(make)

    async def _answer(self, make: Making) -> None:
        part, response = make(), self._interaction.response
        if self.in_place:
            answered = await response.edit_message(view=part.view, attachments=part.files)
        else:
            answered = await response.send_message(view=part.view, files=part.files, ephemeral=True)
        if answered is not None and answered.message_id is not None:
            self._note(answered.message_id, part, self._interaction.edit_original_response)

    async def _fill_in(self, make: Making) -> None:
        part, edit = make(), self._interaction.edit_original_response
        filled = await edit(view=part.view, attachments=part.files)
        self._note(filled.id, part, edit)

    async def _follow(self, make: Making) -> None:
        part = make()
        try:
            message = await self._interaction.followup.send(
                view=part.view, files=part.files, ephemeral=True, wait=True
            )
        except NETWORK_ERRORS as error:
            _LOG.warning("a part of an answer may not have arrived: %r", error)
        else:
            self._note(message.id, part, message.edit)

    def _note(self, message_id: int, part: Part, edit: Callable[..., Awaitable[object]]) -> None:
        if has_buttons(part.view):
            self.sent[message_id] = Sent(part.view, edit, self._interaction.created_at)

    async def _respond(self, send: Callable[[], Awaitable[object]]) -> None:
        try:
            await _once_more(send)
        except discord.HTTPException as error:
            if error.code != ALREADY_ANSWERED:
                raise
            _LOG.info("the response to %s was there already", self._interaction.id)
        self.has_begun = True


def is_under_an_answer(interaction: discord.Interaction) -> bool:
    """Tell whether something was pressed under a private answer, or a form sent that it opened."""
    pressed = interaction.message
    return pressed is not None and pressed.flags.ephemeral


async def _once_more(send: Callable[[], Awaitable[object]]) -> None:
    try:
        await send()
    except NETWORK_ERRORS as error:
        _LOG.warning("an answer is sent once more after %r", error)
        await send()


def log_unanswered(interaction: discord.Interaction, error: Exception) -> None:
    """Write down why somebody got no answer."""
    reason = repr(error)
    if isinstance(error, discord.HTTPException):
        late = " (more than three seconds late)" if error.code == UNKNOWN_INTERACTION else ""
        reason = f"HTTP {error.status}, code {error.code}{late}"
    _LOG.warning("interaction %s was not answered: %s", interaction.id, reason)


def log_refused(interaction: discord.Interaction, reason: Exception) -> None:
    """Write down what was sent by somebody's client and not let in."""
    _LOG.warning(
        "interaction %s of user %s in server %s was refused: %s",
        interaction.id, interaction.user.id, interaction.guild_id, reason,
    )  # fmt: skip
