"""The answer to one interaction on its way: the first response, then follow-ups.

A broken connection is tried once more, and a response that had arrived after all counts as given.
Nothing here knows what is said.
"""

from __future__ import annotations

import logging
from collections.abc import Awaitable, Callable

import discord
from discord import ui

from bot.platforms.discord.errors import ALREADY_ANSWERED, NETWORK_ERRORS, UNKNOWN_INTERACTION
from bot.platforms.discord.layout import Part

_LOG = logging.getLogger("ninebark.discord")

Making = Callable[[], Part]
"""Lays a part out anew: a file in it can be read once only."""


class Delivery:
    """`has_begun`: the first response is out, so a form can no longer be opened."""

    def __init__(self, interaction: discord.Interaction) -> None:
        self._interaction = interaction
        self.has_begun = False

    async def announce(self) -> None:
        """Say that the answer will come, which gives it fifteen minutes."""
        response = self._interaction.response
        await self._respond(lambda: response.defer(ephemeral=True, thinking=True))

    async def open_form(self, make: Callable[[], ui.Modal]) -> None:
        """Open a form as the first response; nothing may have been sent before."""
        await self._respond(lambda: self._interaction.response.send_modal(make()))

    async def send(self, make: Making) -> None:
        """Send a part, to this person alone."""

        async def respond() -> object:
            part = make()
            return await self._interaction.response.send_message(
                view=part.view, files=part.files, ephemeral=True
            )

        async def follow() -> object:
            part = make()
            return await self._interaction.followup.send(
                view=part.view, files=part.files, ephemeral=True, wait=True
            )

        if self.has_begun:
            await _once_more(follow)
        else:
            await self._respond(respond)

    async def _respond(self, send: Callable[[], Awaitable[object]]) -> None:
        try:
            await _once_more(send)
        except discord.HTTPException as error:
            if error.code != ALREADY_ANSWERED:
                raise
            _LOG.info("the response to %s was there already", self._interaction.id)
        self.has_begun = True


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
